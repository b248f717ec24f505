// One self-contained HTML page of a run: the answer, the pictures, the figures, the limits, the conditions, the cautions,
// and the scenario itself, so that the run can be repeated. It loads nothing and runs nothing.
import { drawCcdf } from '../../../shared/figures/ccdfFigure.ts';
import { PALETTE, SANS } from '../../../shared/figures/palette.ts';
import { drawSpectrum, estimatorCondition } from '../../../shared/figures/spectrumFigure.ts';
import { escapeXml } from '../../../shared/figures/svgText.ts';
import { formatFixed, NO_READING } from '../../../shared/format/numbers.ts';
import type { Report } from '../../engine/index.ts';
import { toJson } from './json.ts';
import { runTable } from './runTable.ts';
import { FLOOR_NAMES, learningText, unequalPowerText, verdictCells } from './runText.ts';

const STYLE = `
body { margin: 0; background: ${PALETTE.paper}; color: ${PALETTE.ink}; font: 15px/1.5 ${SANS}; }
main { max-width: 960px; margin: 0 auto; padding: 32px 16px 64px; }
h1 { font-size: 19px; margin: 0 0 8px; font-weight: 600; }
h2 { font-size: 15px; margin: 40px 0 8px; }
p { max-width: 70ch; }
.answer { font-size: 27px; line-height: 1.3; margin: 0 0 24px; max-width: 40ch; }
.muted, caption, .note { color: ${PALETTE.muted}; }
.note { font-size: 13px; margin: 4px 0; }
.over { color: ${PALETTE.over}; font-weight: 600; }
.within { color: ${PALETTE.within}; font-weight: 600; }
figure { margin: 24px 0; overflow-x: auto; }
svg { max-width: 100%; height: auto; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; font-variant-numeric: tabular-nums; }
th { text-align: left; font-weight: 400; }
th, td { padding: 4px 24px 4px 0; border-bottom: 1px solid ${PALETTE.rule}; }
thead th { color: ${PALETTE.muted}; text-align: right; }
td { text-align: right; }
.words td { text-align: left; white-space: nowrap; }
pre { font: 13px/1.45 ui-monospace, Menlo, Consolas, monospace; overflow-x: auto; }
@media print { body { background: none; } details { display: none; } }
`;

export function htmlReport(report: Report): string {
  const { scenario } = report;
  const sections = [
    `<h1>${escapeXml(scenario.title)}</h1>`,
    `<p class="answer">${escapeXml(report.answer)}</p>`,
    report.equalPower ? '' : `<p class="over">${escapeXml(unequalPowerText(report))}</p>`,
    scenario.story === '' ? '' : `<p>${escapeXml(scenario.story)}</p>`,
    `<figure>${drawSpectrum(report)}</figure>`,
    limitsSection(report),
    figuresSection(report),
    floorsSection(report),
    `<figure>${drawCcdf(report)}</figure>`,
    warningsSection(report),
    `<h2>Cautions</h2><ul>${report.cautions.map((caution) => `<li>${escapeXml(caution)}</li>`).join('')}</ul>`,
    `<details><summary>The scenario, fully resolved: save it as a JSON file to repeat this run</summary><pre>${escapeXml(toJson(scenario))}</pre></details>`,
    `<p class="note">Kneepoint ${escapeXml(report.kneepoint.version)}, report format ${report.kneepoint.format}.</p>`,
  ];
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<title>${escapeXml(scenario.title)}</title>
<style>${STYLE}</style>
</head>
<body><main>
${sections.filter((section) => section !== '').join('\n')}
</main></body>
</html>
`;
}

function limitsSection({ verdicts }: Report): string {
  if (verdicts.length === 0) return '';
  const rows = verdicts.map((verdict) => {
    const [mark = '', ...cells] = verdictCells(verdict).map(escapeXml);
    const colour = verdict.state === 'fail' ? 'over' : 'within';
    return `<tr><td class="${colour}">${mark}</td>${cells.map((cell) => `<td>${cell}</td>`).join('')}</tr>`;
  });
  return `<h2>Limits, at the antenna port</h2><div class="wide"><table class="words"><tbody>${rows.join('')}</tbody></table></div>`;
}

function figuresSection(report: Report): string {
  const { headings, rows, notes } = runTable(report);
  const head = headings.map((heading) => `<th scope="col">${escapeXml(heading)}</th>`).join('');
  const body = rows.map(({ label, cells }) => {
    return `<tr><th scope="row">${escapeXml(label)}</th>${cells.map((cell) => `<td>${escapeXml(cell)}</td>`).join('')}</tr>`;
  });
  const texts = [...notes, `${estimatorCondition(report.traces.conditions)}.`, learningText(report)];
  const lines = texts.filter((text) => text !== '').map((text) => `<p class="note">${escapeXml(text)}</p>`);
  return `<h2>Figures</h2><div class="wide"><table><thead><tr><th></th>${head}</tr></thead><tbody>${body.join('')}</tbody></table></div>${lines.join('')}`;
}

function floorsSection({ floors }: Report): string {
  const rows = floors.map(({ name, aclrDb, meaning }) => {
    const level = aclrDb === null ? NO_READING : `${formatFixed(aclrDb, 1)} dB`;
    return `<tr><td>${FLOOR_NAMES[name]}</td><td>${level}</td><td>${escapeXml(meaning)}</td></tr>`;
  });
  return `<h2>What bounds the first channel’s ACLR, worse side</h2><div class="wide"><table class="words"><tbody>${rows.join('')}</tbody></table></div>`;
}

function warningsSection({ warnings }: Report): string {
  if (warnings.length === 0) return '';
  return `<h2>Warnings</h2><ul>${warnings.map(({ message }) => `<li>${escapeXml(message)}</li>`).join('')}</ul>`;
}
