// The two-tone question as two pictures: products against the level of one tone, with the line of slope three they should
// follow, and both sides of the products against the spacing. Every figure is the report's.
import { formatEngineering, formatFixed, formatQuantity } from '../../../shared/format/numbers.ts';
import type { Side } from '../../../shared/schema/report.ts';
import type { TonePoint, ToneSide, TonesResult } from '../../../shared/schema/studyReport.ts';
import { BARE_MODEL, type LineCurve, type LineMark, type LineModel, roundedRange } from './lineModel.ts';
import { TRACE_STYLES } from './traceStyles.ts';

const WHOLE = (value: number) => formatFixed(value, Number.isInteger(value) ? 0 : 1);
const SIDES: readonly Side[] = ['lower', 'upper'];
/** Lower sides dashed, upper sides solid: colour is never the only cue. */
const DASHES: Readonly<Record<Side, readonly number[]>> = { lower: [6, 4], upper: [] };
const FIFTH = '--trace-waveform';
/** The fifth order falls out of the picture below: the axis ends this far under the third. */
const ROOM_DB = 10;

type Product = 'im3Dbc' | 'im5Dbc';
type Height = (side: ToneSide) => number | null;

interface CurveLook {
  readonly name: string;
  readonly variable: string;
}

function sideOf(point: TonePoint, side: Side, of: 'uncorrected' | 'corrected'): ToneSide | null {
  return point[of]?.find((one) => one.side === side) ?? null;
}

/** Both sides of one product of one output, where it was read. */
function pairOf(
  points: readonly TonePoint[],
  of: 'uncorrected' | 'corrected',
  { name, variable }: CurveLook,
  x: (point: TonePoint) => number,
  height: Height,
): LineCurve[] {
  return SIDES.flatMap((side) => {
    const found = points.flatMap((point) => {
      const reading = sideOf(point, side, of);
      const y = reading && height(reading);
      return y === null ? [] : [[x(point), y] as const];
    });
    if (found.length === 0) return [];
    const ends = { x: found.map(([at]) => at), y: found.map(([, y]) => y) };
    return [{ name: `${name} ${side}`, variable, dash: DASHES[side], hasPoints: true, ...ends }];
  });
}

function productCurves(
  points: readonly TonePoint[],
  x: (point: TonePoint) => number,
  height: (product: Product) => Height,
): LineCurve[] {
  const third = height('im3Dbc');
  return [
    ...pairOf(points, 'uncorrected', { name: 'IM5', variable: FIFTH }, x, height('im5Dbc')),
    ...pairOf(points, 'uncorrected', { name: 'IM3', variable: TRACE_STYLES.uncorrected.variable }, x, third),
    ...pairOf(points, 'corrected', { name: 'IM3 corr.', variable: TRACE_STYLES.corrected.variable }, x, third),
  ];
}

/** What turns dB re saturation into dBm at the antenna port; null without a power scale. */
function shiftOf(points: readonly TonePoint[]): number | null {
  const [side] = points[0]?.uncorrected ?? [];
  return side === undefined || side.tonePowerDbm === null ? null : side.tonePowerDbm - side.toneLevelDb;
}

export interface ToneLevelModel {
  readonly model: LineModel;
  /** Level of the cursor's stops, one for each point of the sweep. */
  readonly placeOf: (point: TonePoint) => number;
}

/** Tone and products against the power of one tone, in dBm or in dB re saturation. */
export function toneLevelModel({ levels, intercept }: TonesResult): ToneLevelModel {
  const points = [...levels].reverse();
  const shift = shiftOf(points);
  const unit = shift === null ? 'dB re saturation' : 'dBm';
  const placeOf = ({ tonePowerDbm, toneBackoffDb }: TonePoint) => tonePowerDbm ?? -toneBackoffDb;
  const products = productCurves(points, placeOf, (product) => (side) => {
    const dbc = side[product];
    return dbc === null ? null : side.toneLevelDb + dbc + (shift ?? 0);
  });
  const places = points.map(placeOf);
  const tone: LineCurve = { name: 'One tone', variable: '--ink', dash: [], hasPoints: true, x: places, y: places };
  const cross = intercept === null ? null : (intercept.oip3Dbm ?? intercept.oip3OverSaturationDb);
  const thirds = products.filter(({ name }) => name.startsWith('IM3')).flatMap(({ y }) => Array.from(y));
  const x = roundedRange([...places, ...(cross === null ? [] : [cross + 1])], 5);
  const y = roundedRange(
    [...thirds.map((value) => value - ROOM_DB), ...places, ...(cross === null ? [] : [cross + 6])],
    10,
  );
  const reference = cross === null ? [] : [referenceLine(cross, x, y)];
  return {
    placeOf,
    model: {
      ...BARE_MODEL,
      x: { label: `power of one tone, ${unit}`, format: WHOLE, ...x },
      y: { label: `power of one line, ${unit}`, format: WHOLE, ...y },
      curves: places.length === 0 ? [] : [...reference, ...products, tone],
      marks: cross === null ? [] : [crossMark(cross, unit)],
      stops: [...places].sort((a, b) => a - b),
      description: 'Cursor on tones and products against the power of one tone; the same figures follow as a table',
    },
  };
}

/** P₃ = OIP3 + 3·(P − OIP3), as far as it lies inside the picture. */
function referenceLine(cross: number, x: { readonly minimum: number }, y: { readonly minimum: number }): LineCurve {
  const from = Math.max(x.minimum, cross + (y.minimum - cross) / 3);
  const ends = [from, cross];
  const { variable, dash } = TRACE_STYLES.ideal;
  return { name: '3 dB per dB', variable, dash, x: ends, y: ends.map((at) => cross + 3 * (at - cross)) };
}

function crossMark(cross: number, unit: string): LineMark {
  const label = `OIP3 ${formatQuantity(cross, unit, 1)}`;
  return { x: cross, y: cross, variable: '--ink', shape: 'ring', label };
}

/** The axis of the spacings is logarithmic: a place is the decimal logarithm of the spacing in Hz. */
export const spacingPlace = ({ toneSpacingHz }: TonePoint) => Math.log10(toneSpacingHz);

/** Both sides of IM3 and IM5 in dBc against the spacing. */
export function toneSpacingModel({ spacings }: TonesResult): LineModel {
  const curves = productCurves(spacings, spacingPlace, (product) => (side) => side[product]);
  const places = spacings.map(spacingPlace);
  const x = places.length === 0 ? { minimum: 5, maximum: 7 } : spacingRange(places);
  return {
    ...BARE_MODEL,
    x: {
      label: 'tone spacing',
      format: (place) => formatEngineering(10 ** place, 'Hz', 2),
      splits: spacingSplits(x.minimum, x.maximum),
      ...x,
    },
    y: {
      label: 'product over one tone, dBc',
      format: WHOLE,
      ...roundedRange(
        curves.flatMap(({ y }) => Array.from(y)),
        5,
      ),
    },
    curves,
    stops: places,
    description: 'Cursor on the products against the tone spacing; the same figures follow as a table',
  };
}

function spacingRange(places: readonly number[]) {
  return { minimum: Math.min(...places) - 0.08, maximum: Math.max(...places) + 0.08 };
}

/** Powers of ten, and twice and five times them where there are few: a phone has room for five names. */
function spacingSplits(minimum: number, maximum: number): number[] {
  const factors = maximum - minimum > 1.4 ? [1] : [1, 2, 5];
  const places: number[] = [];
  for (let decade = Math.floor(minimum); decade <= maximum; decade++) {
    for (const factor of factors) places.push(decade + Math.log10(factor));
  }
  return places.filter((place) => place >= minimum && place <= maximum);
}
