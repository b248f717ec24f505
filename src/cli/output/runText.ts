// A run as text: the answer first, then the figures, the limits with their margins, the floors, the caution.
import { SIMULATION_CAUTION } from '../../../shared/cautions.ts';
import { estimatorCondition } from '../../../shared/figures/spectrumFigure.ts';
import { formatEngineering } from '../../../shared/format/numbers.ts';
import { pathTexts } from '../../../shared/reports/pathEffects.ts';
import { amplifierText } from '../../../shared/reports/readBackRows.ts';
import {
  boundsText,
  floorCells,
  learningText,
  unequalPowerText,
  verdictCells,
} from '../../../shared/reports/runParts.ts';
import { runTable } from '../../../shared/reports/runTable.ts';
import type { FloorReport, Verdict } from '../../../shared/schema/report.ts';
import type { Report } from '../../engine/index.ts';
import { overBandPart } from './overBandText.ts';
import { formatLines, formatTable, wrap } from './table.ts';

export function runText(report: Report): string {
  const { headings, rows, notes } = runTable(report);
  const parts = [
    `${heading(report.scenario)}\n${wrap(report.answer)}\n`,
    ...(report.equalPower ? [] : [`${wrap(unequalPowerText(report))}\n`]),
    formatTable(headings, rows),
    [...notes, `${estimatorCondition(report.traces.conditions)}.`].map((note) => `${wrap(note)}\n`).join(''),
    `${wrap(amplifierText(report))}\n`,
    ...overBandPart(report.amplifier.overBand),
    ...(report.verdicts.length === 0 ? [] : [`Limits, at the antenna port\n${verdictLines(report.verdicts)}`]),
    `What bounds the first channel’s ACLR, worse side\n${floorLines(report.floors)}`,
    ...(report.learning === null ? [] : [`${wrap(learningText(report))}\n`]),
    ...pathTexts(report).map((text) => `${wrap(text)}\n`),
    ...(boundsText(report) === '' ? [] : [`${wrap(boundsText(report))}\n`]),
    `${wrap(SIMULATION_CAUTION)}\n`,
  ];
  return parts.join('\n');
}

function heading({ title, carrierFrequencyHz }: Report['scenario']): string {
  return carrierFrequencyHz === null ? title : `${title} at ${formatEngineering(carrierFrequencyHz, 'Hz', 6)}`;
}

function verdictLines(verdicts: readonly Verdict[]): string {
  const rows = verdicts.map(verdictCells);
  const hasFloor = rows.some((row) => row[6] !== '');
  return formatLines(hasFloor ? rows : rows.map((row) => row.filter((_, i) => i !== 6)), '  ');
}

function floorLines(floors: readonly FloorReport[]): string {
  return formatLines(
    floors.map(floorCells).map(([name = '', level = '', meaning = '']) => [name, level.padStart(8), meaning]),
    '  ',
  );
}
