// What each kind of amplifier supplies: its behaviour at its own sample rate, in the scale of the operating point
// (drive with small-signal gain about 1, |y| = 1 is saturated power). model.ts adds the guard and the sample rate.
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import type { Complex, ComplexSignal } from '../dsp/complex.ts';

export interface ModelCore {
  readonly label: string;
  readonly source: string | null;
  /** Rate at which the taps hold; null when they are taken at the record's rate. */
  readonly modelRateHz: number | null;
  /** Largest drive amplitude; held beyond it. Null: the formula itself holds for any drive. */
  readonly driveRange: number | null;
  /** False only for a polynomial without a drive range. */
  readonly guarded: boolean;
  /** |y| at the model's rate never exceeds it, for any drive after the guard; null without a guard. */
  readonly outputBound: number | null;
  /** Static gain at vanishing drive. */
  readonly smallSignalGain: Complex;
  /** Amplitudes of x = 1 and y = 1 in the units that the settings' own coefficients and drive range are written in. */
  readonly ownUnits: { readonly drive: number; readonly output: number };
  /** Samples between the earliest and the latest input that one output sample depends on, counting both. */
  readonly memorySpanSamples: number;
  /** Doubts about the settings, such as figures of a data sheet that are missed by a little. */
  readonly notes?: readonly Warning[];
  /** Output for a periodic record within the drive range. A new record. */
  apply(drive: ComplexSignal): ComplexSignal;
  /** Output for a constant drive of this amplitude within the drive range. */
  staticOutput(amplitude: number): Complex;
}

export type CoreOutcome =
  | { readonly kind: 'core'; readonly core: ModelCore }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };
