// One self-contained HTML page of a run: the answer, the pictures, the figures, the limits, the conditions, the cautions,
// and the scenario itself, so that the run can be repeated. It loads nothing and runs nothing.
import { drawCcdf } from '../figures/ccdfFigure.ts';
import { drawSpectrum, estimatorCondition } from '../figures/spectrumFigure.ts';
import { escapeXml } from '../figures/svgText.ts';
import type { FloorReport, Report } from '../schema/report.ts';
import { toJson } from './json.ts';
import { OVER_BAND_TITLE, overBandTable } from './overBandTable.ts';
import { figure, foldedText, htmlPage, list, notes, paragraph, section, wordTable } from './page.ts';
import { pathTexts } from './pathEffects.ts';
import { amplifierText } from './readBackRows.ts';
import { floorCells, learningText, unequalPowerText, verdictCells } from './runParts.ts';
import { type ReadReport, runTable } from './runTable.ts';

export function runPage(report: Report): string {
  const { scenario } = report;
  return htmlPage({
    title: scenario.title,
    answer: report.answer,
    sections: [
      report.equalPower ? '' : paragraph(unequalPowerText(report), 'over'),
      paragraph(scenario.story),
      figure(drawSpectrum(report)),
      limitsSection(report),
      figuresSection(report),
      floorsSection(report.floors),
      overBandSection(report.amplifier.overBand),
      figure(drawCcdf(report)),
      section('Warnings', list(report.warnings.map(({ message }) => message))),
      section('Cautions', list(report.cautions)),
      foldedText('The scenario, fully resolved: save it as a JSON file to repeat this run', toJson(scenario)),
      paragraph(`Kneepoint ${report.kneepoint.version}, report format ${report.kneepoint.format}.`, 'note'),
    ],
  });
}

export function limitsSection({ verdicts }: ReadReport): string {
  const rows = verdicts.map(verdictCells);
  const colour = (row: number) => ((verdicts[row]?.marginDb ?? 0) < 0 ? 'over' : 'within');
  return section('Limits, at the antenna port', wordTable(rows, colour));
}

export function figuresSection(report: ReadReport): string {
  const table = runTable(report);
  const head = table.headings.map((heading) => `<th scope="col">${escapeXml(heading)}</th>`).join('');
  const body = table.rows.map(({ label, cells }) => {
    return `<tr><th scope="row">${escapeXml(label)}</th>${cells.map((cell) => `<td>${escapeXml(cell)}</td>`).join('')}</tr>`;
  });
  const conditions = `${estimatorCondition(report.traces.conditions)}.`;
  const texts = [...table.notes, conditions, amplifierText(report), learningText(report), ...pathTexts(report)];
  return section(
    'Figures',
    `<div class="wide"><table><thead><tr><td></td>${head}</tr></thead><tbody>${body.join('')}</tbody></table></div>${notes(texts)}`,
  );
}

function overBandSection(overBand: Report['amplifier']['overBand']): string {
  if (overBand === null) return '';
  const { headings, rows } = overBandTable(overBand);
  return section(OVER_BAND_TITLE, wordTable([['', ...headings], ...rows.map(({ label, cells }) => [label, ...cells])]));
}

export function floorsSection(floors: readonly FloorReport[]): string {
  return section('What bounds the first channel’s ACLR, worse side', wordTable(floors.map(floorCells)));
}
