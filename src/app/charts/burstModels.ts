// The start of a burst as a picture: EVM of every symbol against time, one line for each silence and one for the warm
// burst, with the threshold under which a burst counts as settled. Every figure is the report's.
import { burstLook } from '../../../shared/figures/burstFigure.ts';
import { formatFixed } from '../../../shared/format/numbers.ts';
import { burstName, burstsOf } from '../../../shared/reports/burstTables.ts';
import type { BurstResult } from '../../../shared/schema/studyReport.ts';
import { BARE_MODEL, type LineCurve, type LineMark, type LineModel, roundedRange } from './lineModel.ts';

const PLAIN = (value: number) => formatFixed(value, Number.isInteger(value) ? 0 : 1);

/** Where a symbol stands on the axis, in ms: at its middle, because its EVM is a mean over it. */
export function symbolPlace(result: BurstResult, symbol: number): number {
  return 1e3 * (symbol + 0.5) * (result.symbolDurationS ?? 0);
}

/** The symbol at a place of the axis, or null. */
export function symbolAt(result: BurstResult, place: number | null): number | null {
  if (place === null || result.symbolDurationS === null) return null;
  const symbol = Math.floor(place / (1e3 * result.symbolDurationS));
  return symbol >= 0 && symbol < (result.warm?.netPercent.length ?? 0) ? symbol : null;
}

export function burstModel(result: BurstResult): LineModel | null {
  const bursts = burstsOf(result);
  const { warm } = result;
  if (warm === null) return null;
  const places = warm.netPercent.map((_, symbol) => symbolPlace(result, symbol));
  const end = places.length * 1e3 * (result.symbolDurationS ?? 0);
  const curves = bursts.map((burst, i): LineCurve => {
    const { variable, dash } = burstLook(i, bursts.length);
    return { name: burstName(burst), variable, dash, hasPoints: true, x: places, y: burst.netPercent };
  });
  const { evmWithinPercent } = result;
  const y = roundedRange([0, evmWithinPercent, ...curves.flatMap(({ y: heights }) => Array.from(heights))], 2);
  return {
    ...BARE_MODEL,
    x: { label: 'time since the burst began, ms', format: PLAIN, minimum: 0, maximum: end },
    y: { label: 'EVM of the symbol without shaping, %', format: PLAIN, ...y },
    curves,
    limits: [
      {
        path: 'question.evmWithinPercent',
        name: 'settled',
        level: evmWithinPercent,
        unit: '%',
        forbidden: 'above',
        range: { minimum: 0.1, maximum: 100, step: 0.1 },
      },
    ],
    marks: settledMarks(result),
    stops: places,
    description: 'Cursor on EVM against the time since the burst began; the same figures follow as a table',
  };
}

/** A ring on the first symbol from which on a burst stays under the threshold. */
function settledMarks(result: BurstResult): LineMark[] {
  const bursts = burstsOf(result);
  return bursts.flatMap(({ settledAfterSymbols, netPercent }, i): LineMark[] => {
    const height = settledAfterSymbols === null ? undefined : netPercent[settledAfterSymbols];
    if (settledAfterSymbols === null || settledAfterSymbols === 0 || height === undefined) return [];
    const { variable } = burstLook(i, bursts.length);
    return [{ x: symbolPlace(result, settledAfterSymbols), y: height, variable, shape: 'ring', label: '' }];
  });
}
