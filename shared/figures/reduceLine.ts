// A line of many points as a path of few: in each pixel column the first, lowest, highest and last point are kept, so no
// peak is lost and the drawn line covers the same pixels.

/** Pixel places of a line; y grows downwards. Points that are not finite are left out. */
export function reduceLine(
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  toPixelX: (value: number) => number,
  toPixelY: (value: number) => number,
  width: number,
): [number, number][] {
  const points: [number, number][] = [];
  let column: [number, number][] = [];
  let columnIndex = Number.NaN;
  for (let i = 0; i < x.length; i++) {
    const px = toPixelX(x[i] as number);
    const py = toPixelY(y[i] as number);
    // One point beyond each side keeps the line running to the edge.
    if (!Number.isFinite(px) || !Number.isFinite(py) || px < -width || px > 2 * width) continue;
    const index = Math.floor(px);
    if (index !== columnIndex) {
      keepExtremes(column, points);
      column = [];
      columnIndex = index;
    }
    column.push([px, py]);
  }
  keepExtremes(column, points);
  return points;
}

/** First, lowest, highest and last of a column, in their order. */
function keepExtremes(column: readonly [number, number][], out: [number, number][]): void {
  if (column.length <= 4) {
    out.push(...column);
    return;
  }
  let [low, high] = [0, 0];
  for (let i = 1; i < column.length; i++) {
    if ((column[i] as [number, number])[1] < (column[low] as [number, number])[1]) low = i;
    if ((column[i] as [number, number])[1] > (column[high] as [number, number])[1]) high = i;
  }
  const kept = [...new Set([0, low, high, column.length - 1])].sort((a, b) => a - b);
  for (const i of kept) out.push(column[i] as [number, number]);
}
