// All figures of one output, in the report's names.
import type {
  AclrReading,
  EvmReading,
  OutputReport,
  PaprPoint,
  SlotReading,
  WaveformReport,
} from '../../../shared/schema/report.ts';
import { antennaPowerDbm, drivePowerDbm, outputBackoffDbOf, outputPowerDbm } from '../amplifier/operatingPoint.ts';
import { type ComplexSignal, peakPower } from '../dsp/complex.ts';
import { dbmToW, peakToAverageDb } from '../dsp/decibels.ts';
import type { PowerSpectrum } from '../dsp/spectrum.ts';
import type { Waveform } from '../dsp/waveformTypes.ts';
import { measureAclr } from '../measurement/aclr.ts';
import { crestFactorDb, measurePapr } from '../measurement/ccdf.ts';
import { cubicMetricDb } from '../measurement/cubicMetric.ts';
import { countEvmSymbols, type EvmResult, measureEvm } from '../measurement/evm.ts';
import { measureNmseDb } from '../measurement/nmse.ts';
import { worstNotch } from '../measurement/notchPowerRatio.ts';
import { measureOccupiedBandwidth } from '../measurement/occupiedBandwidth.ts';
import { measureSlots } from '../measurement/slots.ts';
import { measureTwoTone } from '../measurement/twoTone.ts';
import type { GeneratedWaveform } from '../waveform/multicarrier.ts';
import { type DrivenOutput, spectrumOf } from './chain.ts';
import type { Setup } from './checkScenario.ts';
import { masksOf } from './maskReadings.ts';
import { evmWithNoise, NO_NOISE, type NoiseTerms, noiseTermsOf, withNoiseTerms } from './noiseTerms.ts';
import { powerReadings } from './powerModel.ts';
import { meanPowerOn, onPart } from './whileOn.ts';

/** EVM and symbols of every carrier that carries symbols, at least one of them wholly on. */
export function readSymbols(setup: Setup, waveform: Waveform, output: ComplexSignal): EvmResult[] {
  const settings = setup.scenario.measurement.evm;
  return waveform.carriers.flatMap((_, carrierIndex) =>
    countEvmSymbols(waveform, carrierIndex) === 0 ? [] : [measureEvm({ output, waveform, carrierIndex, ...settings })],
  );
}

/** The worst carrier's EVM, or null without symbols. */
export function worstEvm(setup: Setup, waveform: Waveform, output: ComplexSignal): EvmReading | null {
  return worstOf(readSymbols(setup, waveform, output).map((symbols) => symbols.reading));
}

function worstOf(readings: readonly EvmReading[]): EvmReading | null {
  return readings.reduce<EvmReading | null>(
    (worst, one) => (worst && worst.rmsPercent >= one.rmsPercent ? worst : one),
    null,
  );
}

/** Every channel of the scenario; `unitDbm` is the antenna port's dBm of |y|² = 1, null without a power scale. */
export function aclrOf(setup: Setup, spectrum: PowerSpectrum, unitDbm: number | null = null): AclrReading[] {
  const geometries = setup.waveform.carriers.map((carrier) => carrier.geometry);
  return measureAclr(spectrum, setup.waveform.sampleRateHz, geometries, setup.channels, unitDbm).readings;
}

/** Every slot of the scenario. */
export function slotsOf(setup: Setup, spectrum: PowerSpectrum, unitDbm: number | null = null): SlotReading[] {
  const geometries = setup.waveform.carriers.map((carrier) => carrier.geometry);
  return measureSlots(spectrum, setup.waveform.sampleRateHz, geometries, setup.scenario.measurement.slots, unitDbm);
}

/** Mean density at the antenna port in the first channel, on the side where it is higher. */
function worstDensity(aclr: readonly AclrReading[]): number | null {
  const first = aclr[0]?.channel;
  const densities = aclr.flatMap(({ channel, densityDbmPerMHz }) =>
    channel === first && densityDbmPerMHz !== null ? [densityDbmPerMHz] : [],
  );
  return densities.length === 0 ? null : Math.max(...densities);
}

/** What several figures of one output are read from. */
export interface OutputViews {
  readonly spectrum: PowerSpectrum;
  readonly symbols: readonly EvmResult[];
  /** What the spectrum contains beside the signal. */
  readonly noise: NoiseTerms;
}

export function viewOutput(setup: Setup, waveform: Waveform, output: ComplexSignal): OutputViews {
  return { spectrum: spectrumOf(setup, output), symbols: readSymbols(setup, waveform, output), noise: NO_NOISE };
}

/** The same with the noise terms of the scenario, as a measurement would show it; constellations stay without. */
export function viewMeasured(setup: Setup, waveform: Waveform, output: ComplexSignal): OutputViews {
  const { spectrum, symbols } = viewOutput(setup, waveform, output);
  const noise = noiseTermsOf(setup, spectrum);
  return {
    spectrum: withNoiseTerms(spectrum, noise),
    symbols: symbols.map((one) => ({ ...one, reading: evmWithNoise(setup, spectrum, noise, one.reading) })),
    noise,
  };
}

/** Reads one amplifier output on the judging record. */
export function readOutput(
  setup: Setup,
  waveform: Waveform,
  driven: DrivenOutput,
  { spectrum, symbols, noise }: OutputViews,
): OutputReport {
  const { amplifier } = setup.scenario;
  const { output, drive, heldSampleRatio } = driven;
  const mean = meanPowerOn(setup, output);
  const peak = peakPower(output);
  const meanPowerDbm = outputPowerDbm(mean, amplifier);
  // Spectra are those while on.
  const unitDbm = antennaPowerDbm(1, amplifier);
  const aclr = aclrOf(setup, spectrum, unitDbm);
  const perCarrier = symbols.map((one) => one.reading);
  const g = setup.amplifier.smallSignalGain;
  return {
    meanPowerDbm,
    meanPowerW: meanPowerDbm === null ? null : dbmToW(meanPowerDbm),
    peakPowerDbm: outputPowerDbm(peak, amplifier),
    antennaMeanDbm: antennaPowerDbm(mean, amplifier),
    outputBackoffDb: outputBackoffDbOf(mean),
    peakToAverageDb: peakToAverageDb(peak, mean),
    papr: withPower(measurePapr(onPart(setup, output), oversamplingOf(setup)), meanPowerDbm),
    worstAdjacentDensityDbmPerMHz: worstDensity(aclr),
    occupiedBandwidthHz: measureOccupiedBandwidth(spectrum).occupiedBandwidthHz,
    aclr,
    masks: masksOf(setup, spectrum, mean),
    slots: slotsOf(setup, spectrum, unitDbm),
    notch: worstNotch(output, waveform, noise.transmitterPerHz + noise.analyserPerHz),
    twoTone: measureTwoTone(output, waveform, antennaPowerDbm(1, amplifier)),
    evm: worstOf(perCarrier),
    evmPerCarrier: perCarrier,
    nmseDb: measureNmseDb(waveform.signal, output),
    heldSampleRatio,
    driveMeanDbm: drivePowerDbm(meanPowerOn(setup, drive), amplifier, g),
    drivePeakDbm: drivePowerDbm(peakPower(drive), amplifier, g),
    ...powerReadings(setup, driven),
  };
}

/** Peak power at each probability, in dBm at the amplifier's output. */
function withPower(points: readonly PaprPoint[], meanDbm: number | null): PaprPoint[] {
  return points.map((point) => ({
    ...point,
    powerDbm: point.db === null || meanDbm === null ? null : meanDbm + point.db,
  }));
}

/** Reads the waveform itself. */
export function readWaveform(setup: Setup, generated: GeneratedWaveform, spectrum: PowerSpectrum): WaveformReport {
  const { waveform } = generated;
  const { signal, beforeReduction } = waveform;
  const { sampleRateHz, sampleCount, symbolCount } = setup.waveform;
  const { reference } = setup.scenario.measurement.evm;
  return {
    sampleRateHz,
    sampleCount,
    symbolCount,
    durationS: sampleCount / sampleRateHz,
    occupiedBandwidthHz: measureOccupiedBandwidth(spectrum).occupiedBandwidthHz,
    papr: measurePapr(onPart(setup, signal), oversamplingOf(setup)),
    peakToAverageDb: crestFactorDb(onPart(setup, signal)),
    paprBeforeReduction: measurePapr(onPart(setup, beforeReduction), oversamplingOf(setup)),
    aclr: aclrOf(setup, spectrum),
    crestReductionEvmPercent: reductionEvmPercent(setup, generated),
    crestReductionEvmPerCarrier: reductionEvmPerCarrier(setup, generated),
    activeRatio: waveform.burst?.activeRatio ?? 1,
    cubicMetricDb: cubicMetricDb(waveform),
    sourceEvmPercent: worstEvm(setup, waveform, reference === 'data' ? beforeReduction : signal)?.rmsPercent ?? null,
    carriers: waveform.carriers.map(
      ({ offsetHz, occupiedBandwidthHz, channelBandwidthHz, relativePowerDb, label, kind }) => ({
        offsetHz,
        occupiedBandwidthHz,
        channelBandwidthHz,
        relativePowerDb,
        label,
        kind,
      }),
    ),
  };
}

/** The worst of what crest-factor reduction spent; null when nothing was reduced. */
function reductionEvmPercent(setup: Setup, generated: GeneratedWaveform): number | null {
  const spent = reductionEvmPerCarrier(setup, generated).filter((percent) => percent !== null);
  return spent.length === 0 ? null : Math.max(...spent);
}

/**
 * EVM that crest-factor reduction spent on each carrier, against its data; carriers without any, or without a symbol
 * wholly on: their error against the record before.
 */
function reductionEvmPerCarrier(setup: Setup, { waveform, crestReduction }: GeneratedWaveform): (number | null)[] {
  if (waveform.signal === waveform.beforeReduction) return waveform.carriers.map(() => null);
  const { scenario } = setup;
  const evm = { equalizer: 'perSubcarrier', windowPosition: 'centre', reference: 'data' } as const;
  const againstData = { ...setup, scenario: { ...scenario, measurement: { ...scenario.measurement, evm } } };
  const readings = readSymbols(againstData, waveform, waveform.signal).map((one) => one.reading);
  return waveform.carriers.map((_, i) => {
    const reading = readings.find(({ carrierIndex }) => carrierIndex === i);
    return reading?.rmsPercent ?? crestReduction?.evmPerCarrierPercent[i] ?? null;
  });
}

/** Sample rate over the carriers' bands together: neighbouring samples of one envelope peak. */
function oversamplingOf({ waveform: { sampleRateHz, carriers } }: Setup): number {
  const occupied = carriers.reduce((sum, { geometry }) => sum + geometry.occupiedBandwidthHz, 0);
  return Math.max(1, sampleRateHz / occupied);
}
