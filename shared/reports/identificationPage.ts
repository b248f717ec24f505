// One self-contained HTML page of an identification: how far to trust the model, the pictures, the figures, the cautions,
// and the amplifier itself, so that a scenario can take it. It loads nothing and runs nothing.
import { cautions } from '../cautions.ts';
import { drawIdentificationSpectrum, drawLoops } from '../figures/identificationFigures.ts';
import { escapeXml } from '../figures/svgText.ts';
import { identificationVerdict } from '../format/identificationText.ts';
import type { IdentificationReport, IdentificationTraces } from '../schema/identificationReport.ts';
import type { Scenario } from '../schema/scenario.ts';
import {
  type IdentificationPart,
  identificationParts,
  identificationTitle,
  type PairNames,
  trustSentence,
} from './identificationRows.ts';
import { toJson } from './json.ts';
import { figure, foldedText, htmlPage, list, notes, paragraph, section, wordTable } from './page.ts';

export interface IdentificationFindings {
  readonly names: PairNames;
  readonly report: IdentificationReport;
  readonly traces: IdentificationTraces;
  readonly amplifier: Scenario['amplifier'];
  readonly kneepoint: { readonly version: string; readonly format: number };
}

export function identificationPage({ names, report, traces, amplifier, kneepoint }: IdentificationFindings): string {
  const title = identificationTitle(names);
  return htmlPage({
    title,
    answer: identificationVerdict(report),
    sections: [
      paragraph(trustSentence(report).replace(/(\d) dB/g, '$1\u00a0dB')),
      figure(drawIdentificationSpectrum(title, report, traces)),
      figure(drawLoops('Gain and phase of single samples', report, traces)),
      ...identificationParts(report).map(partSection),
      section('Warnings', list(report.warnings.map(({ message }) => message))),
      section('Cautions', list(cautions)),
      foldedText('The amplifier: save it as a JSON file that a scenario names', toJson(amplifier)),
      paragraph(`Kneepoint ${kneepoint.version}, report format ${kneepoint.format}.`, 'note'),
    ],
  });
}

function partSection({ heading, rows, table, note }: IdentificationPart): string {
  const figures = table === null ? '' : tableOf(table);
  return section(heading, `${wordTable(rows)}${figures}${notes(note === '' ? [] : [note])}`);
}

function tableOf({ headings, rows }: NonNullable<IdentificationPart['table']>): string {
  const head = headings.map((heading) => `<th scope="col">${escapeXml(heading)}</th>`).join('');
  const body = rows.map(({ label, cells }) => {
    return `<tr><th scope="row">${escapeXml(label)}</th>${cells.map((cell) => `<td>${escapeXml(cell)}</td>`).join('')}</tr>`;
  });
  return `<div class="wide"><table><thead><tr><td></td>${head}</tr></thead><tbody>${body.join('')}</tbody></table></div>`;
}
