// Ranges of axes that fit what is drawn.
import { linearTicks } from './ticks.ts';

/** From the mark below the least to the mark above the largest value, about `wanted` marks apart; never empty. */
export function rangeAround(values: readonly (number | null)[], wanted: number): readonly [number, number] {
  const finite = values.filter((value): value is number => value !== null && Number.isFinite(value));
  if (finite.length === 0) return [0, 1];
  const [low, high] = [Math.min(...finite), Math.max(...finite)];
  if (low === high) return [low - 1, high + 1];
  const [first = 0, second = 1] = linearTicks(low - (high - low), high + (high - low), 3 * wanted);
  const step = second - first;
  return [step * Math.floor(low / step + 1e-9), step * Math.ceil(high / step - 1e-9)];
}

/** Numbers on an axis, with a true minus sign. */
export function axisNumber(value: number): string {
  return String(value).replace('-', '\u2212');
}
