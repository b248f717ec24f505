// A run as text: the answer first, then the figures, the limits with their margins, the floors, the caution.
import { SIMULATION_CAUTION } from '../../../shared/cautions.ts';
import { estimatorCondition } from '../../../shared/figures/spectrumFigure.ts';
import { formatFixed, formatPowerOfTen, formatSigned, NO_READING } from '../../../shared/format/numbers.ts';
import type { FloorName, FloorReport, Verdict } from '../../../shared/schema/report.ts';
import type { Report } from '../../engine/index.ts';
import { runTable } from './runTable.ts';
import { formatLines, formatTable, wrap } from './table.ts';

export function runText(report: Report): string {
  const { headings, rows, notes } = runTable(report);
  const parts = [
    `${report.scenario.title}\n${wrap(report.answer)}\n`,
    ...(report.equalPower ? [] : [`${unequalPowerText(report)}\n`]),
    formatTable(headings, rows),
    [...notes, `${estimatorCondition(report.traces.conditions)}.`].map((note) => `${wrap(note)}\n`).join(''),
    ...(report.verdicts.length === 0 ? [] : [`Limits, at the antenna port\n${verdictLines(report.verdicts)}`]),
    `What bounds the first channel’s ACLR, worse side\n${floorLines(report.floors)}`,
    ...(report.learning === null ? [] : [`${wrap(learningText(report))}\n`]),
    `${wrap(SIMULATION_CAUTION)}\n`,
  ];
  return parts.join('\n');
}

/** Printed on both streams: figures at unequal power must not be compared. */
export function unequalPowerText(report: Report): string {
  const difference = formatFixed(report.powerDifferenceDb, 2);
  return wrap(
    `UNEQUAL POWER: corrected and uncorrected outputs differ by ${difference} dB in mean power; their figures are not to be compared.`,
  );
}

export const FLOOR_NAMES: Readonly<Record<FloorName, string>> = {
  source: 'source',
  estimator: 'estimator',
  idealLimiter: 'ideal limiter',
};

const MARKS: Readonly<Record<Verdict['state'], string>> = { pass: '✓ within', marginal: '~ marginal', fail: '✕ over' };

/** Reading, requirement, margin and what limits it, as cells. */
export function verdictCells(verdict: Verdict): string[] {
  const digits = verdict.unit === 'dB' ? 1 : 2;
  const unit = ` ${verdict.unit}`;
  const what = verdict.limit === 'evm' ? 'EVM' : `ACLR ${verdict.channel}, ${verdict.side}`;
  const relation = verdict.limit === 'evm' ? 'at most' : 'at least';
  const limitedBy = verdict.limitedBy === null ? '' : `limited by: ${FLOOR_NAMES[verdict.limitedBy]}`;
  return [
    MARKS[verdict.state],
    verdict.of,
    what,
    `${formatFixed(verdict.measured, digits)}${unit}`,
    `${relation} ${formatFixed(verdict.required, digits)}${unit}`,
    `margin ${formatSigned(verdict.marginDb, '', 1)} dB`,
    limitedBy,
    verdict.source,
  ];
}

function verdictLines(verdicts: readonly Verdict[]): string {
  const rows = verdicts.map(verdictCells);
  const hasFloor = rows.some((row) => row[6] !== '');
  return formatLines(hasFloor ? rows : rows.map((row) => row.filter((_, i) => i !== 6)), '  ');
}

function floorLines(floors: readonly FloorReport[]): string {
  const rows = floors.map(({ name, aclrDb, meaning }) => {
    const level = aclrDb === null ? NO_READING : `${formatFixed(aclrDb, 1)} dB`;
    return [FLOOR_NAMES[name], level.padStart(8), meaning];
  });
  return formatLines(rows, '  ');
}

export function learningText({ learning, scenario, correctionUsed }: Report): string {
  if (learning === null || scenario.predistorter === null) return '';
  const { nonlinearOrders, memoryDepth } = scenario.predistorter;
  const structure = `orders ${nonlinearOrders.join(', ')}, memory depth ${memoryDepth}: ${learning.coefficientCount} coefficients`;
  const chosen = learning.chosenPass === null ? 'none is used' : `pass ${learning.chosenPass + 1} is used`;
  const passes = `${learning.passes.length} ${learning.passes.length === 1 ? 'pass' : 'passes'}, ${chosen}`;
  const condition = `condition number ${formatPowerOfTen(learning.conditionNumber, 2)} scaled, ${formatPowerOfTen(learning.rawConditionNumber, 2)} raw`;
  const seeds = `training seed ${scenario.seeds.training}, selection seed ${scenario.seeds.selection}, judging seed ${scenario.seeds.judging}`;
  const rejected = correctionUsed || learning.rejectedBecause === null ? '' : ` Not used: ${learning.rejectedBecause}.`;
  return `Predistorter: ${structure}. Indirect learning: ${passes}; ${condition}; ${seeds}.${rejected}`;
}
