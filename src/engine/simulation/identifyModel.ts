// The model of a fitted pair, with its scale and what it makes of the drive; and the amplifier section of a scenario.
import { type AmplifierSectionOutcome, parseAmplifierSection } from '../../../shared/schema/parseAmplifierModel.ts';
import type { AmplifierModelSettings } from '../../../shared/schema/scenario.ts';
import { applyBasis } from '../basis/memoryPolynomial.ts';
import { type ComplexSignal, meanPower, peakPower } from '../dsp/complex.ts';
import { gather } from '../identification/samplePart.ts';
import { modelSettings } from './identifiedModel.ts';
import { type CheckedPair, windowsOf } from './identifyChecks.ts';
import type { FittedPair } from './identifyFit.ts';
import { type IdentifyScale, type ModelScale, scaleOf } from './identifyScale.ts';

/** The largest drive itself must not be held for the rounding of a change of scale. */
const RANGE_MARGIN = 1 + 1e-9;

export interface FittedModel extends Pick<ModelScale, 'scale' | 'warnings'> {
  readonly settings: AmplifierModelSettings;
  readonly driveRange: number;
  /** Of the drive, in the record's units. */
  readonly output: ComplexSignal;
  /** Mean |output|² of the samples that count. */
  readonly outputPower: number;
}

export function modelOf(powers: IdentifyScale, checked: CheckedPair, fitted: FittedPair): FittedModel {
  const { signal, sampleRateHz } = checked.pair.drive;
  const { chosen, coefficients } = fitted;
  const windows = windowsOf(checked);
  const driveRange = RANGE_MARGIN * Math.sqrt(peakPower(gather(signal, windows)));
  const output = applyBasis(chosen.structure, coefficients, signal);
  const outputPower = meanPower(gather(output, windows));
  const { scale, saturatedAmplitude, warnings } = scaleOf(powers, outputPower);
  const facts = { modelRateHz: sampleRateHz, driveRange, saturatedAmplitude };
  const settings = modelSettings(chosen.structure, coefficients, facts);
  return { settings, driveRange, output, outputPower, scale, warnings };
}

/**
 * The section a scenario takes. Records do not tell what gain their levels stand for: it is 0 dB, and drive in dBm reads as
 * output at small signal. Invalid when the records stand at levels or at a rate that no scenario has.
 */
export function amplifierSection({ settings, scale }: FittedModel): AmplifierSectionOutcome {
  const { saturatedPowerDbm } = scale;
  const outcome = parseAmplifierSection({ model: settings, saturatedPowerDbm, gainDb: 0 });
  if (outcome.kind === 'amplifier') return outcome;
  const remedy = 'scale both records to amplitudes of about 1, and check their sample rate';
  const issues = outcome.issues.map(({ path, rule, value }) => {
    return { path: 'drive', rule: `must give a model that scenarios take, whose ${path} ${rule}`, value, remedy };
  });
  return { kind: 'invalid', issues };
}
