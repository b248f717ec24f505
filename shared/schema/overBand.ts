// The amplifier over its band: how gain, phase, saturated power and the model itself change with the frequency of the
// channel. Points are joined by straight lines; beyond the outer ones the end value holds.
import * as v from 'valibot';
import { described, quantity, RULE_END } from './field.ts';

const frequency = (label: string, help: string) => quantity({ label, unit: 'Hz', minimum: 1e3, maximum: 1e12, help });

const relative = (label: string, unit: string, most: number, help: string) =>
  v.optional(quantity({ label, unit, minimum: -most, maximum: most, help }), 0);

const MOST_POINTS = 256;

/** Written out: inferred through the models' fork it is deeper than the compiler goes. */
export interface OverBandOf<Model> {
  channelHz: number;
  points: {
    frequencyHz: number;
    gainDb: number;
    phaseDeg: number;
    saturatedPowerDb: number;
    model: Model | null;
  }[];
}

export interface OverBandInputOf<Model> {
  channelHz: number;
  points: {
    frequencyHz: number;
    gainDb?: number | undefined;
    phaseDeg?: number | undefined;
    saturatedPowerDb?: number | undefined;
    model?: Model | null | undefined;
  }[];
}

function pointsOf(model: v.GenericSchema) {
  const point = v.strictObject({
    frequencyHz: frequency('Frequency', 'Radio frequency at which the point holds.'),
    gainDb: relative('Gain difference', 'dB', 40, 'Small-signal gain against amplifier.gainDb.'),
    phaseDeg: relative(
      'Phase',
      '°',
      36000,
      'Small-signal phase; only differences between points count, so it must not jump by whole turns.',
    ),
    saturatedPowerDb: relative(
      'Saturated power difference',
      'dB',
      20,
      'Saturated power against amplifier.saturatedPowerDbm.',
    ),
    model: v.optional(v.nullable(model), null),
  });
  return v.pipe(
    v.array(point, `must be a list of points${RULE_END}write [ { "frequencyHz": 225e6 }, { "frequencyHz": 400e6 } ]`),
    v.minLength(2, `must hold at least two points${RULE_END}give one at each end of the band`),
    v.maxLength(MOST_POINTS, `must hold at most ${MOST_POINTS} points${RULE_END}leave points out`),
    v.check(
      (points) => points.every(({ frequencyHz }, i) => i === 0 || frequencyHz > (points[i - 1]?.frequencyHz ?? 0)),
      `must have strictly rising frequencies${RULE_END}sort the points and remove repeats`,
    ),
    v.metadata(
      described(
        'Points over the band',
        'Between two of them all figures run in straight lines, those of two models of one kind and shape number by number.',
      ),
    ),
  );
}

/** `model`: the schema of an amplifier model, of which any point may have its own; null takes amplifier.model. */
export function overBandSchemaOf<Input, Output>(
  model: v.GenericSchema<Input, Output>,
): v.GenericSchema<OverBandInputOf<Input>, OverBandOf<Output>> {
  const schema = v.pipe(
    v.strictObject({
      channelHz: frequency(
        'Channel',
        'Radio frequency of the record’s centre; the operating point and all powers are those of the amplifier there.',
      ),
      points: pointsOf(model as v.GenericSchema),
    }),
    v.forward(
      v.check(
        ({ channelHz, points }) =>
          channelHz >= (points[0]?.frequencyHz ?? 0) && channelHz <= (points.at(-1)?.frequencyHz ?? 0),
        `must lie within the points${RULE_END}set a frequency between the first point and the last, or add points`,
      ),
      ['channelHz'],
    ),
  );
  return schema as unknown as v.GenericSchema<OverBandInputOf<Input>, OverBandOf<Output>>;
}

/** What runs in straight lines between points, whatever their models. */
export interface OverBandFigures {
  readonly gainDb: number;
  readonly phaseDeg: number;
  readonly saturatedPowerDb: number;
}

interface PlacedFigures extends OverBandFigures {
  readonly frequencyHz: number;
}

export interface OverBandPlace {
  /** The point at or below the frequency, and the one above it; the same when it is on a point or beyond the ends. */
  readonly lowerIndex: number;
  readonly upperIndex: number;
  /** Way from the lower to the upper point: 0 … 1. */
  readonly ratio: number;
}

/** Where a frequency stands among rising points. */
export function placeOverBand(points: readonly { readonly frequencyHz: number }[], frequencyHz: number): OverBandPlace {
  const upperIndex = points.findIndex((point) => point.frequencyHz >= frequencyHz);
  const last = points.length - 1;
  if (upperIndex === -1) return { lowerIndex: last, upperIndex: last, ratio: 0 };
  const upperHz = points[upperIndex]?.frequencyHz ?? frequencyHz;
  if (upperIndex === 0 || upperHz === frequencyHz) return { lowerIndex: upperIndex, upperIndex, ratio: 0 };
  const lowerHz = points[upperIndex - 1]?.frequencyHz ?? frequencyHz;
  return { lowerIndex: upperIndex - 1, upperIndex, ratio: (frequencyHz - lowerHz) / (upperHz - lowerHz) };
}

/** Gain, phase and saturated power at a frequency. Throws RangeError without points. */
export function overBandFiguresAt(points: readonly PlacedFigures[], frequencyHz: number): OverBandFigures {
  const { lowerIndex, upperIndex, ratio } = placeOverBand(points, frequencyHz);
  const [lower, upper] = [points[lowerIndex], points[upperIndex]];
  if (lower === undefined || upper === undefined) throw new RangeError('overBandFiguresAt: there are no points');
  const between = (a: number, b: number) => a + ratio * (b - a);
  return {
    gainDb: between(lower.gainDb, upper.gainDb),
    phaseDeg: between(lower.phaseDeg, upper.phaseDeg),
    saturatedPowerDb: between(lower.saturatedPowerDb, upper.saturatedPowerDb),
  };
}

/** Saturated power of an amplifier section at its channel: what 0 dB output back-off is there. */
export function channelSaturatedPowerDbm(amplifier: {
  readonly saturatedPowerDbm: number | null;
  readonly overBand: { readonly channelHz: number; readonly points: readonly PlacedFigures[] } | null;
}): number | null {
  const { saturatedPowerDbm, overBand } = amplifier;
  if (saturatedPowerDbm === null || overBand === null) return saturatedPowerDbm;
  return saturatedPowerDbm + overBandFiguresAt(overBand.points, overBand.channelHz).saturatedPowerDb;
}

/** The amplifier at one frequency of its band, read from the model by a constant carrier. */
export interface OverBandRow {
  readonly frequencyHz: number;
  /** Small-signal gain. */
  readonly gainDb: number;
  readonly phaseDeg: number;
  /** Largest output, against amplifier.saturatedPowerDbm. */
  readonly saturatedPowerDb: number;
  /** Null when the saturated power is not known. */
  readonly saturatedPowerDbm: number | null;
  /** Where the gain is first 1 dB below that at small signal, against amplifier.saturatedPowerDbm; null when it never is. */
  readonly outputAtOneDbCompressionDb: number | null;
  readonly outputAtOneDbCompressionDbm: number | null;
  /** At the largest output, against small signal. */
  readonly amPmDeg: number;
  /** True for the channel’s own row; one that lies between points is added to them. */
  readonly isChannel: boolean;
}

export interface OverBandReport {
  readonly channelHz: number;
  /** Rising in frequency. */
  readonly rows: readonly OverBandRow[];
}
