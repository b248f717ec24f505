// Where an axis is marked.

/** About `wanted` round values (1, 2, 5 × 10ⁿ) inside a range. */
export function linearTicks(minimum: number, maximum: number, wanted: number): number[] {
  const rough = (maximum - minimum) / wanted;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = ([1, 2, 5, 10].find((factor) => factor * power >= rough * (1 - 1e-9)) as number) * power;
  const ticks: number[] = [];
  for (let k = Math.ceil(minimum / step - 1e-9); k * step <= maximum + 1e-9 * step; k++) {
    // Rounded to the step's own digits, so that 3 × 0.1 is 0.3.
    ticks.push(Number((k * step).toPrecision(12)));
  }
  return ticks;
}

/** Powers of ten inside a range. */
export function decadeTicks(minimum: number, maximum: number): number[] {
  const ticks: number[] = [];
  const last = Math.floor(Math.log10(maximum) + 1e-9);
  for (let k = Math.ceil(Math.log10(minimum) - 1e-9); k <= last; k++) ticks.push(Number(`1e${k}`));
  return ticks;
}

/** Moves labels apart to the least distance, keeps their order and keeps them between top and bottom. */
export function spreadLabels(positions: readonly number[], distance: number, top: number, bottom: number): number[] {
  const order = positions.map((_, i) => i).sort((a, b) => (positions[a] as number) - (positions[b] as number));
  const placed = [...positions];
  let least = top;
  for (const i of order) {
    placed[i] = Math.max(placed[i] as number, least);
    least = (placed[i] as number) + distance;
  }
  let most = bottom;
  for (const i of order.reverse()) {
    placed[i] = Math.min(placed[i] as number, most);
    most = (placed[i] as number) - distance;
  }
  return placed;
}
