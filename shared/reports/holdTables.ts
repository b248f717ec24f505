// The study of a frozen correction as tables: what each condition does to the scenario's own coefficients, the stored sets,
// and every cell of the matrix.
import type { HoldCell, HoldCondition, HoldReading, HoldResult, HoldSets } from '../schema/holdReport.ts';
import { type ColumnOf, fillTable, type ReadingTable } from './readingTable.ts';

export function holdTables(result: HoldResult): ReadingTable[] {
  return [conditionsTable(result), setsTable(result), channelsTable(result), matrixTable(result)];
}

/** Words over the conditions. */
export const HOLD_AXIS_NAMES: Readonly<Record<HoldResult['axis'], string>> = {
  level: 'level ahead of the predistorter',
  analogueGain: 'gain behind the predistorter',
  saturatedPower: 'saturated power',
  amPm: 'AM/PM',
  load: 'load',
  channel: 'channel',
  carriers: 'signal',
};

/** The cell of the scenario's own coefficients under each condition; null while missing. */
export function ownCellOf({ conditions, cells }: HoldResult, usedOn: number): HoldCell | null {
  return cells.find((cell) => cell.usedOn === usedOn && conditions[cell.trainedOn]?.isOwn === true) ?? null;
}

const percentOf = (reading: HoldReading | null | undefined) =>
  reading?.heldRatio == null ? null : 100 * reading.heldRatio;

function conditionsTable(result: HoldResult): ReadingTable {
  const rows = result.conditions.map((condition, i) => ({ condition, cell: ownCellOf(result, i) }));
  type Row = (typeof rows)[number];
  const columns: ColumnOf<Row>[] = [
    { heading: HOLD_AXIS_NAMES[result.axis], value: ({ condition }) => condition.label },
    { group: 'ACLR, dB', heading: 'none', decimals: 1, value: ({ condition }) => aclrOf(condition.uncorrected) },
    { group: 'ACLR, dB', heading: 'frozen', decimals: 1, value: ({ cell }) => aclrOf(cell?.reading) },
    { group: 'ACLR, dB', heading: 'retrained', decimals: 1, value: ({ condition }) => aclrOf(condition.retrained) },
    { heading: 'lost, dB', decimals: 1, value: ({ cell }) => cell?.lossDb ?? null },
    { group: 'EVM, %', heading: 'frozen', decimals: 2, value: ({ cell }) => cell?.reading?.evmPercent ?? null },
    {
      group: 'EVM, %',
      heading: 'retrained',
      decimals: 2,
      value: ({ condition }) => condition.retrained?.evmPercent ?? null,
    },
    { heading: 'at ceiling, %', decimals: 2, value: ({ cell }) => percentOf(cell?.reading) },
    { heading: 'margin, dB', decimals: 1, isDetail: true, value: ({ cell }) => cell?.reading?.worstMarginDb ?? null },
    { heading: 'note', value: ({ condition }) => noteOf(condition) },
  ];
  const caption =
    'The scenario’s own coefficients, frozen, under each condition; ACLR of the first channel, worse side';
  return fillTable('conditions', caption, rows, columns);
}

function aclrOf(reading: HoldReading | null | undefined): number | null {
  return reading?.worstAclrDb ?? null;
}

function noteOf({ isOwn, isOutOfReach, uncorrected, retrained }: HoldCondition): string {
  if (isOutOfReach) return 'cannot be run';
  if (uncorrected !== null && retrained === null) return 'correction not used';
  return isOwn ? 'learned here' : '';
}

const WARM_COLUMNS: readonly ColumnOf<HoldSets>[] = [
  { group: 'after warm passes, dB', heading: 'passes', decimals: 0, value: ({ warm }) => warm?.passCount ?? null },
  { group: 'after warm passes, dB', heading: 'worst', decimals: 1, value: ({ warm }) => warm?.worstAclrDb ?? null },
  { group: 'after warm passes, dB', heading: 'median', decimals: 1, value: ({ warm }) => warm?.medianAclrDb ?? null },
];

function setsTable({ sets, cost }: HoldResult): ReadingTable {
  const columns: ColumnOf<HoldSets>[] = [
    { heading: 'sets', decimals: 0, value: ({ setCount }) => setCount },
    { heading: 'coefficients', decimals: 0, value: ({ setCount }) => cost && setCount * cost.coefficientCount },
    { heading: 'memory, bytes', decimals: 0, value: ({ memoryBytes }) => memoryBytes },
    { group: 'ACLR over the channels, dB', heading: 'worst', decimals: 1, value: ({ worstAclrDb }) => worstAclrDb },
    { group: 'ACLR over the channels, dB', heading: 'median', decimals: 1, value: ({ medianAclrDb }) => medianAclrDb },
    ...(sets.some(({ warm }) => warm) ? WARM_COLUMNS : []),
    { heading: 'worst at, MHz', decimals: 3, value: ({ worstChannelHz }) => worstChannelHz && worstChannelHz / 1e6 },
  ];
  const bytes = cost === null ? '' : ` (${cost.bytesPerSet} bytes a set)`;
  return fillTable(
    'sets',
    `Sets stored over the band, learned at the centres of equal sub-bands${bytes}`,
    sets,
    columns,
  );
}

/** One line a channel, one column a number of sets. */
function channelsTable({ sets, conditions }: HoldResult): ReadingTable {
  const rows = sets.length === 0 ? [] : conditions;
  const columns: ColumnOf<HoldCondition>[] = [
    { heading: 'channel', value: ({ label }) => label },
    { group: 'ACLR, dB', heading: 'none', decimals: 1, value: ({ uncorrected }) => aclrOf(uncorrected) },
    ...sets.map(
      ({ setCount, channels }): ColumnOf<HoldCondition> => ({
        group: 'ACLR, dB',
        heading: setCount === 1 ? '1 set' : `${setCount} sets`,
        decimals: 1,
        value: ({ value }) => aclrOf(channels.find(({ channelHz }) => channelHz === value)?.reading),
      }),
    ),
    { group: 'ACLR, dB', heading: 'retrained', decimals: 1, value: ({ retrained }) => aclrOf(retrained) },
  ];
  return fillTable('channels', 'Each channel with the set of its sub-band', rows, columns);
}

function matrixTable(result: HoldResult): ReadingTable {
  const { cells, conditions, worst } = result;
  const label = (index: number) => conditions[index]?.label ?? '';
  const columns: ColumnOf<HoldCell>[] = [
    { heading: 'trained on', value: ({ trainedOn }) => label(trainedOn) },
    { heading: 'used on', value: ({ usedOn }) => label(usedOn) },
    { heading: 'ACLR, dB', decimals: 1, keep: true, value: ({ reading }) => aclrOf(reading) },
    { heading: 'lost, dB', decimals: 1, value: ({ lossDb }) => lossDb },
    { heading: 'EVM, %', decimals: 2, value: ({ reading }) => reading?.evmPercent ?? null },
    { heading: 'at ceiling, %', decimals: 2, value: ({ reading }) => percentOf(reading) },
    { heading: 'margin, dB', decimals: 1, isDetail: true, value: ({ reading }) => reading?.worstMarginDb ?? null },
    { heading: 'note', value: (cell) => (isWorst(cell, worst) ? 'worst' : '') },
  ];
  return fillTable('matrix', 'Every cell: trained on × used on', cells, columns, (cell) => isWorst(cell, worst));
}

function isWorst(cell: HoldCell, worst: HoldResult['worst']): boolean {
  return worst !== null && cell.trainedOn === worst.trainedOn && cell.usedOn === worst.usedOn;
}
