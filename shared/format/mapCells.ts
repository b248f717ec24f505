// Words and signs for the cells of an order map, the same in tables and pictures.
import type { MapCell, MapResult } from '../schema/studyReport.ts';

export type MapStructure = MapCell['structure'];

export const STRUCTURE_NAMES: Readonly<Record<MapStructure, string>> = {
  memoryPolynomial: 'memory polynomial',
  generalizedMemoryPolynomial: 'generalized memory polynomial',
};

/** Structures with at least one cell, in the order they first appear. */
export function structuresOf(cells: readonly MapCell[]): MapStructure[] {
  return [...new Set(cells.map(({ structure }) => structure))];
}

export function isSameCell(a: MapCell, b: MapCell | null): boolean {
  return (
    b !== null && a.structure === b.structure && a.highestOrder === b.highestOrder && a.memoryDepth === b.memoryDepth
  );
}

/** Whether a cell passes, as a sign with a blank behind it; nothing without limits. */
export function cellMark(cell: MapCell, { ringed, wantedMarginDb }: MapResult): string {
  if (cell.worstMarginDb === null) return '';
  if (isSameCell(cell, ringed)) return '◎ ';
  return cell.worstMarginDb >= wantedMarginDb ? '✓ ' : '✕ ';
}
