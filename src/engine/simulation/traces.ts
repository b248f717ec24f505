// The arrays behind the charts. Levels are at the antenna port, in the spectrum's resolution bandwidth.
import type {
  ConstellationTrace,
  EvmTrace,
  OrderSplitTrace,
  SpectrumConditions,
  SpectrumTrace,
  Traces,
} from '../../../shared/schema/report.ts';
import { amplifierCurve } from '../amplifier/cwCurve.ts';
import { antennaPowerDbm, outputBackoffDbOf } from '../amplifier/operatingPoint.ts';
import { type ComplexSignal, meanPower, peakPower } from '../dsp/complex.ts';
import { amplitudeRatioToDb, powerRatioToDb } from '../dsp/decibels.ts';
import type { PowerSpectrum } from '../dsp/spectrum.ts';
import type { Waveform } from '../dsp/waveformTypes.ts';
import { measureAmAmAmPm } from '../measurement/amAmAmPm.ts';
import { gaussianCcdfTrace, measureCcdf } from '../measurement/ccdf.ts';
import { viewErrors } from '../measurement/errorVector.ts';
import type { EvmResult } from '../measurement/evm.ts';
import { SPLIT_ORDERS, splitByOrder } from '../measurement/orderSplit.ts';
import type { DrivenOutput } from './chain.ts';
import { spectrumOf } from './chain.ts';
import type { Setup } from './checkScenario.ts';
import { limitLinesOf } from './limitLines.ts';
import type { Linearization } from './linearize.ts';
import { maskLimitLines } from './maskReadings.ts';
import type { OutputViews } from './readings.ts';
import { meanPowerOn, onPart } from './whileOn.ts';

/** What the readings were taken from already. */
export interface RunViews {
  readonly waveform: PowerSpectrum;
  readonly uncorrected: OutputViews;
  readonly corrected: OutputViews | null;
  readonly ideal: OutputViews;
}

export interface TraceSources {
  readonly setup: Setup;
  readonly waveform: Waveform;
  readonly uncorrected: DrivenOutput;
  readonly linearization: Linearization | null;
  readonly views: RunViews;
}

const CONSTELLATION_POINTS = 4000;

export function makeTraces(sources: TraceSources): Traces {
  const { setup, waveform, uncorrected, linearization, views } = sources;
  const corrected = linearization?.corrected ?? null;
  const level = levelScale(setup, uncorrected.output);
  const waveformScale = meanPower(uncorrected.output) / meanPower(waveform.signal);
  return {
    conditions: conditionsOf(setup, views.uncorrected.spectrum),
    spectra: {
      waveform: traceOf(views.waveform, level, waveformScale),
      uncorrected: traceOf(views.uncorrected.spectrum, level),
      corrected: views.corrected && traceOf(views.corrected.spectrum, level),
      ideal: traceOf(views.ideal.spectrum, level),
      drive:
        corrected &&
        traceOf(spectrumOf(setup, corrected.drive), level, meanPower(corrected.output) / meanPower(corrected.drive)),
    },
    ccdf: ccdfTraces(setup, waveform, uncorrected, corrected),
    amAmAmPm: amAmAmPmTraces(sources, corrected),
    amplifierCurve: amplifierCurve(setup.amplifier, setup.scenario.amplifier),
    ...symbolTraces(waveform, views),
    orderSplit: orderSplitOf(setup, uncorrected, level),
    limitLines: [
      ...limitLinesOf(setup, views.uncorrected.spectrum, level),
      ...maskLimitLines(setup, views.uncorrected.spectrum, meanPowerOn(setup, uncorrected.output)),
    ],
  };
}

/** dB to add to 10·log10|y|² for the antenna port's dBm, or for dB re saturation without a power scale. */
function levelScale(setup: Setup, output: ComplexSignal): number {
  const mean = meanPower(output);
  const antenna = antennaPowerDbm(mean, setup.scenario.amplifier);
  return antenna === null ? 0 : antenna + outputBackoffDbOf(mean);
}

function conditionsOf(setup: Setup, spectrum: PowerSpectrum): SpectrumConditions {
  const { method, window: chosen, overlapRatio: asked } = setup.scenario.measurement.spectrum;
  // The whole record is one rectangular window: the segments' settings do not apply.
  const [window, overlapRatio] = method === 'wholeRecord' ? (['rectangular', 0] as const) : [chosen, asked];
  const { segmentLength, segmentCount, resolutionBandwidthHz, binWidthHz } = spectrum;
  const unit = setup.scenario.amplifier.saturatedPowerDbm === null ? 'dBsat' : 'dBm';
  return { unit, method, window, segmentLength, segmentCount, overlapRatio, resolutionBandwidthHz, binWidthHz };
}

function traceOf(spectrum: PowerSpectrum, levelDb: number, powerScale = 1): SpectrumTrace {
  const level = new Float64Array(spectrum.power.length);
  const inBandwidth = (powerScale * spectrum.resolutionBandwidthHz) / spectrum.binWidthHz;
  for (let i = 0; i < level.length; i++) level[i] = levelDb + powerRatioToDb(spectrum.power[i] * inBandwidth);
  return { frequencyHz: spectrum.frequencyHz, level };
}

function ccdfTraces(
  setup: Setup,
  waveform: Waveform,
  uncorrected: DrivenOutput,
  corrected: DrivenOutput | null,
): Traces['ccdf'] {
  const curve = (signal: ComplexSignal) => measureCcdf(onPart(setup, signal));
  return {
    data: curve(waveform.beforeReduction),
    shaped: curve(waveform.signal),
    drive: corrected && curve(corrected.drive),
    output: curve(uncorrected.output),
    correctedOutput: corrected && curve(corrected.output),
    gaussian: gaussianCcdfTrace(),
  };
}

/** Drive axis from 30 dB below the largest drive shown. */
const DRIVE_SPAN_DB = 30;

function amAmAmPmTraces(sources: TraceSources, corrected: DrivenOutput | null): Traces['amAmAmPm'] {
  const { setup, uncorrected } = sources;
  const referenceGain = setup.amplifier.smallSignalGain;
  const driveMaximumDb = amplitudeRatioToDb(Math.sqrt(peakPower(uncorrected.drive))) + 0.5;
  const range = { driveMinimumDb: driveMaximumDb - DRIVE_SPAN_DB, driveMaximumDb };
  // The corrected chain is shown against what enters the predistorter: the waveform at the uncorrected drive’s scale.
  const input = uncorrected.drive;
  return {
    uncorrected: measureAmAmAmPm(input, uncorrected.output, { referenceGain, ...range }),
    corrected: corrected && measureAmAmAmPm(input, corrected.output, { referenceGain, ...range }),
  };
}

/** Symbols and their errors, carrier by carrier. */
function symbolTraces(waveform: Waveform, views: RunViews): Pick<Traces, 'constellation' | 'constellations' | 'evm'> {
  const constellations = {
    uncorrected: views.uncorrected.symbols.map(constellationOf),
    corrected: views.corrected?.symbols.map(constellationOf) ?? null,
  };
  const errors = ({ symbols }: OutputViews) => symbols.map((result) => errorsOf(waveform, result));
  return {
    constellation: {
      uncorrected: constellations.uncorrected[0] ?? null,
      corrected: constellations.corrected?.[0] ?? null,
    },
    constellations,
    evm: { uncorrected: errors(views.uncorrected), corrected: views.corrected && errors(views.corrected) },
  };
}

function errorsOf(waveform: Waveform, { equalized, ideal, reading }: EvmResult): EvmTrace {
  const { carrierIndex } = reading;
  const { label, ofdm } = waveform.carriers[carrierIndex];
  const subcarrierHz = Float64Array.from(ofdm?.subcarriers ?? [], (k) => k * (ofdm?.subcarrierSpacingHz ?? 0));
  const columnCount = Math.max(1, subcarrierHz.length);
  return viewErrors({ equalized, ideal, columnCount }, { carrierIndex, label, subcarrierHz });
}

/** Symbols of one carrier, thinned evenly. */
function constellationOf({ equalized, ideal, reading }: EvmResult): ConstellationTrace {
  const count = Math.min(CONSTELLATION_POINTS, equalized.re.length);
  const step = equalized.re.length / count;
  const pick = (values: Float64Array) => Float64Array.from({ length: count }, (_, i) => values[Math.floor(i * step)]);
  return {
    carrierIndex: reading.carrierIndex,
    re: pick(equalized.re),
    im: pick(equalized.im),
    idealRe: pick(ideal.re),
    idealIm: pick(ideal.im),
  };
}

function orderSplitOf(setup: Setup, uncorrected: DrivenOutput, level: number): OrderSplitTrace {
  const split = splitByOrder(uncorrected.drive, uncorrected.output);
  const parts = split?.parts ?? [];
  const whole = meanPower(uncorrected.output);
  return {
    orders: SPLIT_ORDERS.slice(0, parts.length),
    spectra: parts.map((part) => traceOf(spectrumOf(setup, part), level)),
    powerDb: parts.map((part) => powerRatioToDb(meanPower(part) / whole)),
    residualDb: split?.residualDb ?? null,
  };
}
