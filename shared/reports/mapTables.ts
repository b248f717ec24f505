// The order map as tables: ACLR and margin over order and memory depth, what would help, the Pareto front, and every cell.
import { cellMark, isSameCell, type MapStructure, STRUCTURE_NAMES, structuresOf } from '../format/mapCells.ts';
import { mapChangeText } from '../format/mapChange.ts';
import { formatFixed } from '../format/numbers.ts';
import { structureName } from '../format/structureName.ts';
import type { MapCell, MapNearest, MapResult, NearestMiss } from '../schema/studyReport.ts';
import { type ColumnOf, fillTable, type ReadingTable } from './readingTable.ts';

export function mapTables(result: MapResult): ReadingTable[] {
  const { cells } = result;
  const front = cells.filter(({ onFront }) => onFront).sort((a, b) => costOf(a) - costOf(b));
  return [
    ...structuresOf(cells).map((structure) => gridTable(result, structure)),
    ...(result.nearest === null ? [] : [changesTable(result.nearest)]),
    cellsTable('front', 'Pareto front: no other structure is both cheaper and better', front, result),
    cellsTable('cells', 'Every structure', cells, result),
  ];
}

const costOf = ({ cost }: MapCell) => cost.realMultipliesPerSample * 1e4 + cost.coefficientCount;

/** Rows are orders, columns memory depths. */
function gridTable(result: MapResult, structure: MapStructure): ReadingTable {
  const own = result.cells.filter((cell) => cell.structure === structure);
  const orders = [...new Set(own.map(({ highestOrder }) => highestOrder))].sort((a, b) => a - b);
  const depths = [...new Set(own.map(({ memoryDepth }) => memoryDepth))].sort((a, b) => a - b);
  const columns: ColumnOf<number>[] = [
    { heading: 'order', value: String },
    ...depths.map((depth): ColumnOf<number> => {
      const at = (order: number) => own.find((cell) => cell.highestOrder === order && cell.memoryDepth === depth);
      // Decimals make it a column of numbers, although each stands behind its mark.
      return { group: 'taps', heading: String(depth), decimals: 1, value: (order) => gridText(at(order), result) };
    }),
  ];
  const caption = `ACLR of the worse side in dB, ${STRUCTURE_NAMES[structure]}; ✓ keeps the wanted margin, ◎ is the cheapest that does`;
  return fillTable(`grid-${structure}`, caption, orders, columns);
}

function gridText(cell: MapCell | undefined, result: MapResult): string | null {
  if (cell === undefined || cell.worstAclrDb === null) return null;
  return `${cellMark(cell, result)}${formatFixed(cell.worstAclrDb, 1)}`;
}

interface ChangeRow {
  readonly what: string;
  readonly margins: readonly NearestMiss[];
}

/** The nearest structure as it is and with each change alone: its margin to every limit. */
function changesTable({ cell, margins, trials }: MapNearest): ReadingTable {
  const name = structureName(cell.highestOrder, cell.memoryDepth);
  const rows: ChangeRow[] = [
    { what: `${name}, as it is`, margins },
    ...trials.map((trial) => ({ what: mapChangeText(trial), margins: trial.margins })),
  ];
  const columns: ColumnOf<ChangeRow>[] = [
    { heading: 'change', value: ({ what }) => what },
    ...margins.map(
      ({ limit }): ColumnOf<ChangeRow> => ({
        group: 'margin, dB',
        heading: limit,
        decimals: 1,
        value: (row) => row.margins.find((one) => one.limit === limit)?.marginDb ?? null,
      }),
    ),
    { heading: 'all limits', value: (row) => (isWithin(row) ? '✓ within' : '✕ over') },
  ];
  return fillTable('changes', 'The nearest structure, and what each change alone does to it', rows, columns, isWithin);
}

function isWithin({ margins }: ChangeRow): boolean {
  return margins.length > 0 && margins.every(({ marginDb }) => marginDb >= 0);
}

function cellsTable(name: string, caption: string, cells: readonly MapCell[], result: MapResult): ReadingTable {
  const columns: ColumnOf<MapCell>[] = [
    { heading: 'structure', value: ({ highestOrder, memoryDepth }) => structureName(highestOrder, memoryDepth) },
    { heading: 'kind', value: ({ structure }) => (structure === 'memoryPolynomial' ? 'MP' : 'GMP') },
    { heading: 'coefficients', decimals: 0, value: ({ cost }) => cost.coefficientCount },
    { heading: 'multiplies', decimals: 0, value: ({ cost }) => cost.realMultipliesPerSample },
    ...(cells.every(({ physicalMultiplierCount }) => physicalMultiplierCount === undefined)
      ? []
      : [
          {
            heading: 'multipliers',
            decimals: 0,
            value: ({ physicalMultiplierCount }: MapCell) => physicalMultiplierCount ?? null,
          },
        ]),
    { heading: 'operations', decimals: 0, value: ({ cost }) => cost.floatingPointOperationsPerSample, isDetail: true },
    { heading: 'tables', decimals: 0, value: ({ cost }) => cost.tableCount, isDetail: true },
    { heading: 'bytes', decimals: 0, value: ({ cost }) => cost.bytesPerSet, isDetail: true },
    { heading: 'ACLR, dB', decimals: 1, value: ({ worstAclrDb }) => worstAclrDb },
    { heading: 'EVM, %', decimals: 2, value: ({ evmPercent }) => evmPercent },
    { heading: 'NMSE, dB', decimals: 1, value: ({ nmseDb }) => nmseDb, isDetail: true },
    { heading: 'condition', decimals: 0, value: ({ conditionNumber }) => conditionNumber, isDetail: true },
    { heading: 'margin, dB', decimals: 1, value: ({ worstMarginDb }) => worstMarginDb },
    { heading: 'note', value: (cell) => cellNote(cell, result) },
  ];
  return fillTable(name, caption, cells, columns, (cell) => isSameCell(cell, result.ringed));
}

function cellNote(cell: MapCell, { ringed }: MapResult): string {
  const parts = [
    ...(isSameCell(cell, ringed) ? ['cheapest that passes'] : []),
    ...(cell.onFront ? ['front'] : []),
    ...(cell.correctionUsed ? [] : ['not used']),
  ];
  return parts.join(', ');
}
