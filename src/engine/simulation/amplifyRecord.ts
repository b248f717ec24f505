// A record from anywhere through an amplifier model. The samples are the drive in the units in which the model's own
// coefficients and drive range are written, and are never renormalised; so is the output. A model whose taps hold at
// another rate gets the record resampled to it, or refuses with the remedy.
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import type { AmplifierModelSettings, AmplifierSettings, SlowStatesSettings } from '../../../shared/schema/scenario.ts';
import { createAmplifier } from '../amplifier/model.ts';
import { unstatedRateWarning } from '../amplifier/modelRate.ts';
import { type ComplexSignal, meanPower, peakPower, scale } from '../dsp/complex.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { estimateSpectrum } from '../dsp/spectrum.ts';
import { measureOccupiedBandwidth } from '../measurement/occupiedBandwidth.ts';
import type { RecordInput } from './measureRecord.ts';

export interface AmplifiedRecord {
  readonly signal: ComplexSignal;
  readonly sampleRateHz: number;
  readonly amplifierLabel: string;
  /** Rate the model ran at. */
  readonly modelRateHz: number;
  /** Largest drive amplitude of the model, or null without a guard; in the record's units, as is the next. */
  readonly driveRange: number | null;
  readonly drivePeak: number;
  readonly heldSampleRatio: number;
  readonly driveMeanDbfs: number;
  /** Mean output power below the model's saturated power. */
  readonly outputBackoffDb: number;
  readonly warnings: readonly Warning[];
}

export type AmplifyOutcome =
  | { readonly kind: 'record'; readonly record: AmplifiedRecord }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

/** What else of an amplifier section the record meets. */
type ModelSurroundings = Pick<AmplifierSettings, 'saturatedPowerDbm' | 'overBand'>;

/**
 * Passes a periodic record through the model of these settings, behind slow states where there are any. Over a band the
 * settings are those of the channel (`amplifierAtChannel`); gain and phase then vary across the record.
 */
export function amplifyRecord(
  input: RecordInput,
  settings: AmplifierModelSettings,
  slowStates: SlowStatesSettings | null = null,
  { saturatedPowerDbm, overBand }: ModelSurroundings = { saturatedPowerDbm: null, overBand: null },
): AmplifyOutcome {
  const { signal: drive, sampleRateHz } = input;
  const sampleCount = drive.re.length;
  if (sampleCount === 0 || meanPower(drive) === 0) {
    const rule = 'must hold power';
    const issue = {
      path: 'record',
      rule,
      value: `${sampleCount} samples of zero`,
      remedy: 'give a record of a signal',
    };
    return { kind: 'invalid', issues: [issue] };
  }
  const record = { sampleRateHz, sampleCount, occupiedSpanHz: spanOf(drive, sampleRateHz), saturatedPowerDbm };
  const outcome = createAmplifier(settings, record, slowStates, overBand);
  if (outcome.kind === 'invalid') return outcome;
  const { model } = outcome;
  const { ownUnits } = model;
  const scaled = scale(drive, 1 / ownUnits.drive);
  const output = model.amplify(scaled);
  const heldSampleRatio = model.heldSampleRatio(scaled);
  const driveRange = model.driveRange === null ? null : model.driveRange * ownUnits.drive;
  const drivePeak = Math.sqrt(peakPower(drive));
  const warnings: Warning[] = [...model.notes];
  if (heldSampleRatio > 0) warnings.push(heldWarning(heldSampleRatio, drivePeak, driveRange));
  const unstated = unstatedRateWarning(settings, sampleRateHz);
  if (unstated !== null) warnings.push(unstated);
  if (!model.guarded) warnings.push(unguardedWarning(drivePeak));
  return {
    kind: 'record',
    record: {
      signal: scale(output, ownUnits.output),
      sampleRateHz,
      amplifierLabel: model.label,
      modelRateHz: model.modelRateHz ?? sampleRateHz,
      driveRange,
      drivePeak,
      heldSampleRatio,
      driveMeanDbfs: powerRatioToDb(meanPower(drive)),
      outputBackoffDb: -powerRatioToDb(meanPower(output)),
      warnings,
    },
  };
}

/** The band a slower model must keep: twice the farther edge of the occupied band, because it is centred on zero. */
function spanOf(drive: ComplexSignal, sampleRateHz: number): number {
  const options = { sampleRateHz, window: 'rectangular', segmentLength: drive.re.length, overlapRatio: 0 } as const;
  const spectrum = estimateSpectrum(drive, { ...options, method: 'wholeRecord' });
  const { lowerHz, upperHz } = measureOccupiedBandwidth(spectrum);
  return 2 * Math.max(Math.abs(lowerHz), Math.abs(upperHz));
}

function heldWarning(ratio: number, drivePeak: number, driveRange: number | null): Warning {
  const share = ratio >= 0.01 ? `${(100 * ratio).toFixed(1)} %` : `${(1e6 * ratio).toFixed(0)} ppm`;
  const range = driveRange === null ? 'the edge' : driveRange.toPrecision(4);
  const message = `Outside the fitted range: ${share} of the drive’s samples were held at ${range} (largest ${drivePeak.toFixed(3)}). Lower the drive, or take a model fitted for it.`;
  return { code: 'drive-held', message };
}

function unguardedWarning(drivePeak: number): Warning {
  const message = `The model is a polynomial without a drive range, so nothing bounds its output; the drive reached ${drivePeak.toFixed(3)}. State the range it was fitted for.`;
  return { code: 'drive-unguarded', message };
}
