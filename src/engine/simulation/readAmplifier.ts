// The amplifier of a scenario by itself: its sheet read back, and the model said again as a memory polynomial.
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import type { OverBandReport } from '../../../shared/schema/overBand.ts';
import type { LoadReport, PowerModelReport } from '../../../shared/schema/powerReport.ts';
import type { AmplifierCurve, AmplifierReadBack } from '../../../shared/schema/readBack.ts';
import type { AmplifierSettings, SlowStatesSettings } from '../../../shared/schema/scenario.ts';
import { CW_SWEEP_DRIVE, cwCharacteristics } from '../amplifier/cwCharacteristics.ts';
import { amplifierCurve } from '../amplifier/cwCurve.ts';
import { asMemoryPolynomial, FIT_SAMPLES, fitDrive, type PolynomialFit } from '../amplifier/dataSheetPolynomial.ts';
import { createAmplifier } from '../amplifier/model.ts';
import { readBackAmplifier } from '../amplifier/readBack.ts';
import { settledStates, slowGainOf } from '../amplifier/slowStates.ts';
import type { ComplexSignal } from '../dsp/complex.ts';
import { amplitudeRatioToDb } from '../dsp/decibels.ts';
import { NO_RECORDS, type RecordStore } from '../dsp/waveformTypes.ts';
import { checkScenario } from './checkScenario.ts';
import { overBandRows } from './overBandRows.ts';
import { loadReport, powerModelReport, type SaturatedPowers, saturatedPowers } from './powerModel.ts';

/** Orders 1, 3, … up to the highest, times the delays. */
export interface PolynomialWish {
  readonly highestOrder: number;
  readonly memoryDepth: number;
}

export type AmplifierReading =
  | {
      readonly kind: 'amplifier';
      readonly label: string;
      /** Of a literature model: where it is printed, and whether that was read or is from memory. */
      readonly source: string | null;
      /** Of the scenario. */
      readonly title: string;
      /** The scenario's amplifier section; over a band, as it is at the channel. */
      readonly settings: AmplifierSettings;
      readonly readBack: AmplifierReadBack;
      /** As in the report of a run: at which compression saturated power stands, and the largest CW output against it. */
      readonly compressionAtSaturationDb: number;
      readonly cwSaturationDb: number;
      /** At every point of an amplifier over its band; null without one. The other readings are those of its channel. */
      readonly overBand: OverBandReport | null;
      readonly curve: AmplifierCurve;
      /** What DC power, efficiency and heat are computed with. */
      readonly power: PowerModelReport;
      readonly load: LoadReport;
      /** A constant carrier at saturated power; null without a power scale. */
      readonly saturated: SaturatedPowers | null;
      /** |y| never exceeds it; null without a guard, or when resampling may overshoot it. */
      readonly outputBound: number | null;
      readonly driveRange: number | null;
      /** Null when none was asked for. */
      readonly polynomial: PolynomialFit | null;
      readonly warnings: readonly Warning[];
    }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

/** Reads the amplifier of a scenario by CW and two tones; fits a polynomial at the scenario's rate and band when asked. */
export function readAmplifier(
  input: unknown,
  records: RecordStore = NO_RECORDS,
  wish: PolynomialWish | null = null,
): AmplifierReading {
  const checked = checkScenario(input, records);
  if (checked.kind === 'invalid') return checked;
  const { scenario, waveform, amplifier, warnings } = checked.setup;
  const { sampleRateHz } = waveform;
  const cw = cwCharacteristics(amplifier, amplifier.driveRange ?? CW_SWEEP_DRIVE);
  const common = {
    kind: 'amplifier',
    label: amplifier.label,
    source: amplifier.source,
    title: scenario.title,
    settings: scenario.amplifier,
    readBack: readBackAmplifier(amplifier, scenario.amplifier),
    compressionAtSaturationDb: cw.saturation.compressionDb,
    cwSaturationDb: cw.cwSaturationDb,
    overBand: overBandRows(checked.setup),
    curve: amplifierCurve(amplifier, scenario.amplifier),
    power: powerModelReport(scenario.amplifier),
    load: loadReport(scenario.amplifier),
    saturated: saturatedPowers(scenario.amplifier),
    outputBound: amplifier.outputBound,
    driveRange: amplifier.driveRange,
    warnings,
  } as const;
  if (wish === null) return { ...common, polynomial: null };
  const { model, saturatedPowerDbm, overBand } = scenario.amplifier;
  const record = { sampleRateHz, sampleCount: FIT_SAMPLES, saturatedPowerDbm };
  const outcome = createAmplifier(model, record, null, overBand);
  if (outcome.kind === 'invalid') return outcome;
  const edges = waveform.carriers.map(({ geometry }) => Math.abs(geometry.offsetHz) + geometry.occupiedBandwidthHz / 2);
  const shape = {
    nonlinearOrders: Array.from({ length: Math.ceil(wish.highestOrder / 2) }, (_, i) => 2 * i + 1),
    memoryDepth: wish.memoryDepth,
    sampleRateHz,
    bandwidthHz: 2 * Math.max(...edges),
  };
  const polynomial = asMemoryPolynomial(outcome.model, shape);
  if (polynomial !== null) {
    const left = slowStatesLeftOut(scenario.amplifier.slowStates, fitDrive(outcome.model, shape), sampleRateHz);
    return { ...common, polynomial, warnings: [...warnings, ...left] };
  }
  const remedy = 'ask for fewer delays or a lower order';
  const rule = 'must have terms that can be told apart at this rate and band';
  return { kind: 'invalid', issues: [{ path: 'polynomial', rule, value: JSON.stringify(wish), remedy }] };
}

/** A polynomial of a few delays holds no state of microseconds: how much it lacks, with the drive it was fitted on. */
function slowStatesLeftOut(settings: SlowStatesSettings | null, drive: ComplexSignal, rateHz: number): Warning[] {
  if (settings === null) return [];
  const gain = slowGainOf(settings, settledStates(settings, drive, rateHz));
  if (gain === 1) return [];
  const phaseDeg = settings.phasePerGainDeg * (1 - gain);
  const drift = `${(-amplitudeRatioToDb(gain)).toFixed(2)} dB of gain and turn the phase by ${phaseDeg.toFixed(1).replace('-', '\u2212')}°`;
  const message = `The polynomial leaves the slow states out: settled on the noise it was fitted on they take ${drift}. Keep amplifier.slowStates beside it in a scenario; amplify --with the polynomial’s file alone lacks them.`;
  return [{ code: 'polynomial-without-slow-states', message }];
}
