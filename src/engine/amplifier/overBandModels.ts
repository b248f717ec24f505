// The model between two points of an amplifier over its band.
//
//   number a at the lower point and b at the upper, a fraction t of the way:  a + t·(b − a)
//
// taken number by number of two models of the same kind and shape; everything else in them must be equal, and so must
// the numbers that say what others mean (orders, delays, sample rate). A point without a model of its own has that of
// the amplifier section, moved to the point's power: figures that it states in dBm move with the power scale, so that its
// shape stays. Linear interpolation of parameters is our choice; between near points any smooth one does as well.
import { type Issue, printValue } from '../../../shared/schema/issue.ts';
import { placeOverBand } from '../../../shared/schema/overBand.ts';
import type { AmplifierModelSettings, AmplifierSettings, OverBandSettings } from '../../../shared/schema/scenario.ts';
import { formatHz } from '../dsp/frequencyText.ts';

export type ModelOutcome =
  | { readonly kind: 'model'; readonly model: AmplifierModelSettings }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

type Point = OverBandSettings['points'][number];

/** Numbers of which a mean says nothing. */
const MEANINGS: readonly string[] = [
  'modelRateHz',
  'nonlinearOrders',
  'memoryDepth',
  'delaySamples',
  'envelopeDelaySamples',
];

/** The model of one point, in dBm of its own where it states any. */
export function modelOfPoint(amplifier: Pick<AmplifierSettings, 'model'>, point: Point): AmplifierModelSettings {
  return point.model ?? movedModel(amplifier.model, point.saturatedPowerDb, point.gainDb);
}

/** The model at a frequency, or why two neighbours have none between them. */
export function modelOverBand(
  amplifier: Pick<AmplifierSettings, 'model' | 'saturatedPowerDbm'>,
  { points }: Pick<OverBandSettings, 'points'>,
  frequencyHz: number,
): ModelOutcome {
  const { lowerIndex, upperIndex, ratio } = placeOverBand(points, frequencyHz);
  const [lower, upper] = [points[lowerIndex], points[upperIndex]];
  const model = modelOfPoint(amplifier, lower);
  if (lowerIndex === upperIndex) return { kind: 'model', model };
  const other = modelOfPoint(amplifier, upper);
  const differences: Difference[] = [];
  const [from, to] = withOneReference(model, other, amplifier.saturatedPowerDbm, lower, upper);
  const mean = meanOf(from, to, ratio, [], differences);
  if (differences.length === 0) return { kind: 'model', model: mean as AmplifierModelSettings };
  // The one with a model of its own is at fault; of two, the upper.
  const at = upper.model === null ? lowerIndex : upperIndex;
  const issues = differences.map((difference) => issueOf(difference, at, lower, upper, frequencyHz));
  return { kind: 'invalid', issues };
}

interface Difference {
  readonly path: readonly string[];
  readonly lower: unknown;
  readonly upper: unknown;
}

function issueOf({ path, lower, upper }: Difference, at: number, from: Point, to: Point, frequencyHz: number): Issue {
  const [fromHz, toHz] = [formatHz(from.frequencyHz), formatHz(to.frequencyHz)];
  return {
    path: ['amplifier.overBand.points', at, 'model', ...path].join('.'),
    rule: `must be equal, or numbers of models of one kind and shape, at ${fromHz} and at ${toHz}: the channel at ${formatHz(frequencyHz)} lies between them`,
    value: `${printValue(lower)} and ${printValue(upper)}`,
    remedy: 'give both points models of one kind and shape, or set channelHz to one of them',
  };
}

/** Shape of the data is `lower`’s; what cannot be interpolated goes to `differences`. */
function meanOf(
  lower: unknown,
  upper: unknown,
  ratio: number,
  path: readonly string[],
  differences: Difference[],
): unknown {
  const isMeaning = path.some((name) => MEANINGS.includes(name));
  if (typeof lower === 'number' && typeof upper === 'number' && !isMeaning) return lower + ratio * (upper - lower);
  if (lower === upper) return lower;
  if (haveOneShape(lower, upper)) {
    const mean = (key: string) => meanOf(childOf(lower, key), childOf(upper, key), ratio, [...path, key], differences);
    if (Array.isArray(lower)) return lower.map((_, i) => mean(String(i)));
    // Of another kind all other fields differ, too: the kind says it all.
    if (isOtherKind(lower, upper)) {
      differences.push({ path: [...path, 'kind'], lower: childOf(lower, 'kind'), upper: childOf(upper, 'kind') });
      return lower;
    }
    return Object.fromEntries(Object.keys(lower as object).map((key) => [key, mean(key)]));
  }
  differences.push({ path, lower, upper });
  return lower;
}

function childOf(data: unknown, key: string): unknown {
  return (data as Readonly<Record<string, unknown>>)[key];
}

function isOtherKind(lower: unknown, upper: unknown): boolean {
  return childOf(lower, 'kind') !== childOf(upper, 'kind');
}

/** Two lists of one length, or two objects: models have all their fields, whatever the user left out. */
function haveOneShape(lower: unknown, upper: unknown): boolean {
  if (Array.isArray(lower) || Array.isArray(upper)) {
    return Array.isArray(lower) && Array.isArray(upper) && lower.length === upper.length;
  }
  return typeof lower === 'object' && typeof upper === 'object' && lower !== null && upper !== null;
}

/** Two data sheets of which one states its saturated power and the other takes the section's: both state it. */
function withOneReference(
  lower: AmplifierModelSettings,
  upper: AmplifierModelSettings,
  saturatedPowerDbm: number | null,
  from: Point,
  to: Point,
): readonly [AmplifierModelSettings, AmplifierModelSettings] {
  if (lower.kind !== 'dataSheet' || upper.kind !== 'dataSheet' || saturatedPowerDbm === null) return [lower, upper];
  if (typeof lower.saturatedPowerDbm === typeof upper.saturatedPowerDbm) return [lower, upper];
  const stated = (sheet: typeof lower, { saturatedPowerDb }: Point) =>
    sheet.saturatedPowerDbm === 'amplifier'
      ? { ...sheet, saturatedPowerDbm: saturatedPowerDbm + saturatedPowerDb }
      : sheet;
  return [stated(lower, from), stated(upper, to)];
}

/** The same shape at another saturated power and gain: only figures in dBm move. */
function movedModel(model: AmplifierModelSettings, powerDb: number, gainDb: number): AmplifierModelSettings {
  const moved = (dbm: number | null) => (dbm === null ? null : dbm + powerDb);
  if (model.kind === 'dataSheet') {
    const { saturatedPowerDbm } = model;
    return {
      ...model,
      saturatedPowerDbm: saturatedPowerDbm === 'amplifier' ? saturatedPowerDbm : saturatedPowerDbm + powerDb,
      outputAtOneDbCompressionDbm: moved(model.outputAtOneDbCompressionDbm),
      outputAtThreeDbCompressionDbm: moved(model.outputAtThreeDbCompressionDbm),
      outputInterceptDbm: moved(model.outputInterceptDbm),
    };
  }
  if (model.kind === 'envelopePoints') {
    const points = model.points.map((point) => ({
      ...point,
      inputDbm: point.inputDbm + powerDb - gainDb,
      outputDbm: point.outputDbm + powerDb,
    }));
    return { ...model, points };
  }
  return model;
}
