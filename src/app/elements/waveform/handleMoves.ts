// Where a key takes a carrier, and which row a handle stands in when several crowd.
import { onRaster } from './carrierPlaces.ts';

/** A page step is this many single steps; so is an arrow with Shift. */
const PAGE_STEPS = 10;
const STEPS: Readonly<Record<string, number>> = {
  ArrowLeft: -1,
  ArrowDown: -1,
  ArrowRight: 1,
  ArrowUp: 1,
  PageDown: -PAGE_STEPS,
  PageUp: PAGE_STEPS,
};

export interface KeyPress {
  readonly key: string;
  readonly shiftKey: boolean;
}

/** The new offset, on the raster; null for keys that move nothing. */
export function moveByKey({ key, shiftKey }: KeyPress, offsetHz: number, stepHz: number): number | null {
  const steps = STEPS[key];
  if (steps === undefined) return null;
  const factor = shiftKey && Math.abs(steps) === 1 ? PAGE_STEPS : 1;
  return onRaster(offsetHz + steps * factor * stepHz, stepHz);
}

/** Row of each handle, from the bottom up, so that no two of one row are nearer than `room`. */
export function handleRows(positions: readonly number[], room: number): number[] {
  const rows = new Array<number>(positions.length).fill(0);
  const ends: number[] = [];
  const fromLeft = positions.map((_, index) => index).sort((a, b) => (positions[a] ?? 0) - (positions[b] ?? 0));
  for (const index of fromLeft) {
    const at = positions[index] ?? 0;
    const free = ends.findIndex((end) => at - end >= room);
    const row = free === -1 ? ends.length : free;
    ends[row] = at;
    rows[index] = row;
  }
  return rows;
}
