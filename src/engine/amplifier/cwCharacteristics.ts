// What one constant carrier (CW) shows of an amplifier: gain, compression and saturation, from its static response.
//
//   gain(a) = |y(a)|/a;  compression(a) = small-signal gain over gain(a), dB;  |y| = 1 is saturated power.
import { amplitudeRatioToDb } from '../dsp/decibels.ts';
import { largestOnInterval } from './largestOnInterval.ts';
import type { AmplifierModel } from './model.ts';

export interface CwCharacteristics {
  readonly smallSignalGainDb: number;
  /** Highest drive amplitude of the sweep. */
  readonly maximumDrive: number;
  /** Largest CW output up to there, in dB re |y| = 1. */
  readonly cwSaturationDb: number;
  /** Where the CW output first reaches |y| = 1, or, if it never does, where it comes closest. */
  readonly saturation: CwPoint & { readonly reached: boolean };
  /** Output in dB re |y| = 1 where the gain has first fallen 1 dB below the small-signal gain; null when it does not. */
  readonly outputAtOneDbCompressionDb: number | null;
  /** Where the gain has first fallen from above to 1 or 3 dB below the small-signal gain; null when it does not. */
  readonly atOneDbCompression: CwPoint | null;
  readonly atThreeDbCompression: CwPoint | null;
  /** The largest CW output of the sweep. */
  readonly atLargestOutput: CwPoint;
  /** The highest drive of the sweep: its compression and output. */
  readonly atMaximumDrive: CwPoint;
}

export interface CwPoint {
  readonly driveAmplitude: number;
  readonly compressionDb: number;
  /** |y| in dB re |y| = 1. */
  readonly outputDb: number;
}

/** The sweep starts this far below drive 1 (or below the highest drive, if that is less), where models are linear. */
const LINEAR_BELOW_DB = 60;
const STEPS_PER_DB = 20;
const BISECTIONS = 60;
/** A model scaled by its own peak reaches |y| = 1 there up to rounding. */
const ROUNDING = 1e-12;
/** A drive held where a compression is reached has it up to rounding. */
const COMPRESSION_ROUNDING_DB = 1e-9;

/** Highest drive of the sweep when neither a range nor a ceiling is stated: 40 dB over the knee. */
export const CW_SWEEP_DRIVE = 100;

/** Sweeps a constant drive up to `maximumDrive` (a drive ceiling; the drive range, where the model has a smaller one). */
export function cwCharacteristics(
  model: Pick<AmplifierModel, 'staticOutput' | 'smallSignalGain' | 'driveRange'>,
  maximumDrive: number,
): CwCharacteristics {
  if (!(maximumDrive > 0) || !Number.isFinite(maximumDrive)) {
    throw new RangeError(`cwCharacteristics: highest drive amplitude ${maximumDrive} must be a positive number`);
  }
  const highest = Math.min(maximumDrive, model.driveRange ?? Number.POSITIVE_INFINITY);
  const { re, im } = model.smallSignalGain;
  const smallSignalGain = Math.sqrt(re * re + im * im);
  const outputOf = (drive: number) => {
    const y = model.staticOutput(drive);
    return Math.sqrt(y.re * y.re + y.im * y.im);
  };
  const pointAt = (drive: number): CwPoint => ({
    driveAmplitude: drive,
    compressionDb: amplitudeRatioToDb((smallSignalGain * drive) / outputOf(drive)),
    outputDb: amplitudeRatioToDb(outputOf(drive)),
  });
  const driveOf = (db: number) => highest * 10 ** (db / 20);
  const startDb = -LINEAR_BELOW_DB - Math.max(0, amplitudeRatioToDb(highest));
  const peak = largestOnInterval((db) => outputOf(driveOf(db)), startDb, 0);
  const saturationDb = firstCrossing((db) => outputOf(driveOf(db)) - 1 + ROUNDING, startDb, peak.at);
  const atCompression = (compressionDb: number): CwPoint | null => {
    const excess = (at: number) => pointAt(driveOf(at)).compressionDb - compressionDb + COMPRESSION_ROUNDING_DB;
    // A gain that begins far below its largest has not fallen yet: the search begins where it has come up.
    const upDb = excess(startDb) < 0 ? startDb : firstCrossing((at) => -excess(at), startDb, 0);
    const db = upDb === null ? null : firstCrossing(excess, upDb === startDb ? startDb : upDb + 1 / STEPS_PER_DB, 0);
    return db === null ? null : pointAt(driveOf(db));
  };
  const oneDb = atCompression(1);
  return {
    smallSignalGainDb: amplitudeRatioToDb(smallSignalGain),
    maximumDrive: highest,
    cwSaturationDb: amplitudeRatioToDb(peak.value),
    saturation: { ...pointAt(driveOf(saturationDb ?? peak.at)), reached: saturationDb !== null },
    outputAtOneDbCompressionDb: oneDb?.outputDb ?? null,
    atOneDbCompression: oneDb,
    atThreeDbCompression: atCompression(3),
    atLargestOutput: pointAt(driveOf(peak.at)),
    atMaximumDrive: pointAt(highest),
  };
}

/** First drive from `startDb` to `endDb` (dB re the highest) at which f rises to zero, by a scan and bisection, or null. */
export function firstCrossing(f: (db: number) => number, startDb: number, endDb: number): number | null {
  const stepCount = Math.ceil((endDb - startDb) * STEPS_PER_DB);
  for (let i = 0; i <= stepCount; i++) {
    let high = Math.min(endDb, startDb + i / STEPS_PER_DB);
    if (f(high) < 0) continue;
    let low = high - 1 / STEPS_PER_DB;
    for (let step = 0; step < BISECTIONS; step++) {
      const middle = (low + high) / 2;
      if (f(middle) < 0) low = middle;
      else high = middle;
    }
    return high;
  }
  return null;
}
