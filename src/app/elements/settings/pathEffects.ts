// What each effect of a path costs by itself, and all together, beneath the settings that make it.
import { html, nothing } from 'lit';
import { formatFixed } from '../../../../shared/format/numbers.ts';
import type { PathError, SignalPathReport } from '../../../../shared/schema/pathReport.ts';

function row(label: string, { errorDb, errorPercent, aclrDb }: PathError) {
  return html`<tr>
    <th scope="row">${label}</th>
    <td>${formatFixed(errorDb, 1)}</td>
    <td>${errorPercent < 0.005 ? '0' : formatFixed(errorPercent, 2)}</td>
    <td>${aclrDb === null ? '–' : formatFixed(aclrDb, 1)}</td>
  </tr>`;
}

/** `of` names what passes through the path: the uncorrected drive, or the uncorrected output. */
export function pathEffects(report: SignalPathReport | null, of: string) {
  if (report === null || report.rows.length === 0) return nothing;
  const { rows, together } = report;
  return html`<table class="effects">
    <caption>
      What each does to ${of} by itself
    </caption>
    <thead>
      <tr>
        <th scope="col">Effect</th>
        <th scope="col">Error, dB</th>
        <th scope="col">Error, %</th>
        <th scope="col">ACLR, dB</th>
      </tr>
    </thead>
    <tbody>
      ${rows.map((effect) => row(effect.label, effect))}
      ${rows.length === 1 ? nothing : row('together', together)}
    </tbody>
  </table>`;
}
