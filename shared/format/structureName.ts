// A structure by its size, the same in every answer, picture and table.

/** Such as "9th order × 3 taps". */
export function structureName(highestOrder: number, memoryDepth: number): string {
  const ending = { 1: 'st', 2: 'nd', 3: 'rd' }[highestOrder] ?? 'th';
  return `${highestOrder}${ending} order × ${memoryDepth} ${memoryDepth === 1 ? 'tap' : 'taps'}`;
}
