// What the pictures of an amplifier's CW curve show, on the page and in files: marks of the readings, measured points, ends
// of the axes, the condition beneath.
import { formatFixed, formatQuantity, formatSigned } from '../format/numbers.ts';
import { pointsScale } from '../schema/amplifierCurves.ts';
import type { AmplifierCurve, AmplifierReadBack, CwReading } from '../schema/readBack.ts';
import type { AmplifierSettings } from '../schema/scenario.ts';
import { rangeAround } from './chartRange.ts';

export interface AmplifierPicture {
  readonly title: string;
  /** What the model is called. */
  readonly label: string;
  readonly curve: AmplifierCurve;
  readonly readBack: AmplifierReadBack;
  /** As stated or as at the channel: powers and gain are taken from the curve and the readings. */
  readonly settings: Pick<AmplifierSettings, 'model' | 'overBand'>;
}

/** A reading's place on both charts: output, gain re small signal, phase. */
export interface CurveMark {
  readonly name: string;
  readonly output: number;
  readonly gainDb: number;
  readonly phaseDeg: number;
}

/** Measured points as they stand on the charts. */
export interface CurvePoints {
  readonly output: readonly number[];
  readonly gainDb: readonly number[];
  readonly phaseDeg: readonly number[];
}

/** Outputs of the curve on the scale that is known: dBm, or dB re saturated power. */
export function outputsOf({ outputDbm, outputDb }: AmplifierCurve): Float64Array {
  return outputDbm ?? outputDb;
}

export function outputUnit({ outputDbm }: AmplifierCurve): string {
  return outputDbm === null ? 'dB re saturation' : 'dBm';
}

/** Marks of the readings, those that coincide under one name. */
export function curveMarks({ readBack, curve }: Pick<AmplifierPicture, 'readBack' | 'curve'>): CurveMark[] {
  const { saturation, atOneDbCompression, atThreeDbCompression } = readBack;
  const lastOutput = curve.driveDb.at(-1) ?? 0;
  const readings: readonly (readonly [string, CwReading | null])[] = [
    ['1 dB', atOneDbCompression],
    ['3 dB', atThreeDbCompression],
    ['largest output', saturation.driveDb <= lastOutput + 1e-6 ? saturation : null],
  ];
  const marks: CurveMark[] = [];
  for (const [name, reading] of readings) {
    if (reading === null) continue;
    const output = curve.outputDbm === null ? reading.outputDb : (reading.outputDbm ?? reading.outputDb);
    const phaseDeg = reading.amPmDeg + 360 * Math.round((phaseAt(curve, reading.driveDb) - reading.amPmDeg) / 360);
    const mark = { name, output, gainDb: -reading.compressionDb, phaseDeg };
    const same = marks.findIndex((one) => Math.abs(one.gainDb - mark.gainDb) < 0.01);
    const found = marks[same];
    if (found === undefined) marks.push(mark);
    else marks[same] = { ...found, name: `${found.name}, ${name}` };
  }
  return marks;
}

/** Phase of the curve at the nearest drive: which turn a reading within ±180° belongs to. */
function phaseAt({ driveDb, phaseDeg }: AmplifierCurve, db: number): number {
  const first = driveDb[0] ?? 0;
  const step = ((driveDb.at(-1) ?? 1) - first) / (driveDb.length - 1);
  const at = Math.min(driveDb.length - 1, Math.max(0, Math.round((db - first) / step)));
  return phaseDeg[at] ?? 0;
}

/**
 * Measured points on the model's scale: the largest output is 0 dB, gain and phase are against the lowest point, where the
 * model takes its small-signal gain from; null for the other kinds.
 */
export function curvePoints({ settings, curve }: Pick<AmplifierPicture, 'settings' | 'curve'>): CurvePoints | null {
  const { model } = settings;
  // Over a band the channel's model is another where points have their own.
  const isChannels = settings.overBand?.points.every((point) => point.model === null) ?? true;
  if (model.kind !== 'envelopePoints' || !isChannels) return null;
  const [first] = model.points;
  if (first === undefined) return null;
  const scale = pointsScale(model.points);
  const shift = (curve.outputDbm?.[0] ?? 0) - (curve.outputDbm === null ? 0 : (curve.outputDb[0] ?? 0));
  return {
    output: model.points.map(({ outputDbm }) => outputDbm - scale.saturatedPowerDbm + shift),
    gainDb: model.points.map(({ inputDbm, outputDbm }) => outputDbm - inputDbm - scale.gainDb),
    phaseDeg: continuous(model.points.map(({ phaseDeg }) => phaseDeg - first.phaseDeg)),
  };
}

/** Phases the short way round between neighbours. */
function continuous(phases: readonly number[]): number[] {
  let previous = 0;
  return phases.map((phase) => {
    previous = phase - 360 * Math.round((phase - previous) / 360);
    return previous;
  });
}

/** Under which conditions the curve holds, with the intercept. */
export function curveCondition({ label, curve, readBack }: AmplifierPicture): string[] {
  const { intercept } = readBack;
  const [from, to] = [curve.driveDb[0] ?? 0, curve.driveDb.at(-1) ?? 0];
  const drives = `drive ${formatSigned(from, '', 1)} to ${formatSigned(to, 'dB', 1)} re the knee`;
  const level =
    intercept.outputDbm === null
      ? `${formatSigned(intercept.outputDb ?? 0, 'dB', 2)} re saturation`
      : formatQuantity(intercept.outputDbm, 'dBm', 2);
  const toneText =
    intercept.outputDb === null
      ? `no third-order intercept: ${intercept.reason}`
      : `third-order output intercept ${level} per tone, slope ${formatFixed(intercept.slope ?? 0, 3)} dB per dB`;
  return [
    label,
    `constant carrier, ${drives}, slow states at rest; small-signal gain ${formatQuantity(readBack.gainDb, 'dB', 2)}`,
    toneText,
  ];
}

/** Least back-off of the lowest output shown: below, gain and phase are those at small signal. */
const SHOWN_DB = 30;

/** Output from 30 dB below the largest, or all of the measured points. */
export function outputRange(picture: Pick<AmplifierPicture, 'curve' | 'settings'>): readonly [number, number] {
  const output = outputsOf(picture.curve);
  const largest = output.reduce((most, value) => Math.max(most, value), Number.NEGATIVE_INFINITY);
  const measured = curvePoints(picture)?.output ?? [];
  const least = Math.max(output[0] ?? 0, Math.min(largest - SHOWN_DB, ...measured));
  return [Math.floor(least), Math.ceil(largest + 0.5)];
}

/** Deeper compression than this says nothing about an amplifier; a gain that hardly moves is not blown up. */
const LEAST_GAIN_DB = -12;

/** Room beyond the outermost value, in shares of the span: marks there stay whole. */
const ROOM = 0.06;

export function gainRange(values: readonly number[]): readonly [number, number] {
  return withRoom([...values.map((value) => Math.max(LEAST_GAIN_DB, value)), -2, 0.5]);
}

export function phaseRange(values: readonly number[]): readonly [number, number] {
  return withRoom([...values, -2, 2]);
}

function withRoom(values: readonly number[]): readonly [number, number] {
  const [low, high] = [Math.min(...values), Math.max(...values)];
  const room = ROOM * (high - low);
  return rangeAround([low - room, high + room], 5);
}
