// All figures of one output, in the report's names.
import type {
  AclrReading,
  EvmReading,
  OutputReport,
  PaprPoint,
  WaveformReport,
} from '../../../shared/schema/report.ts';
import { antennaPowerDbm, drivePowerDbm, outputBackoffDbOf, outputPowerDbm } from '../amplifier/operatingPoint.ts';
import { type ComplexSignal, meanPower, peakPower } from '../dsp/complex.ts';
import { dbmToW, peakToAverageDb, powerRatioToDb } from '../dsp/decibels.ts';
import { bandPower, type PowerSpectrum } from '../dsp/spectrum.ts';
import type { Waveform } from '../dsp/waveformTypes.ts';
import { densityDbmPerMHz, measureAclr, outerCarrier } from '../measurement/aclr.ts';
import { crestFactorDb, measurePapr } from '../measurement/ccdf.ts';
import { cubicMetricDb } from '../measurement/cubicMetric.ts';
import { type EfficiencyReading, measureEfficiency } from '../measurement/efficiency.ts';
import { countEvmSymbols, type EvmResult, measureEvm } from '../measurement/evm.ts';
import { measureNmseDb } from '../measurement/nmse.ts';
import { worstNotch } from '../measurement/notchPowerRatio.ts';
import { measureOccupiedBandwidth } from '../measurement/occupiedBandwidth.ts';
import { measureTwoTone } from '../measurement/twoTone.ts';
import type { GeneratedWaveform } from '../waveform/multicarrier.ts';
import { type DrivenOutput, spectrumOf } from './chain.ts';
import type { Setup } from './checkScenario.ts';
import { evmWithNoise, NO_NOISE, type NoiseTerms, noiseTermsOf, withNoiseTerms } from './noiseTerms.ts';

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

export function aclrOf(setup: Setup, spectrum: PowerSpectrum): AclrReading[] {
  const geometries = setup.waveform.carriers.map((carrier) => carrier.geometry);
  return measureAclr(spectrum, setup.waveform.sampleRateHz, geometries, setup.channels).readings;
}

/** Mean density at the antenna port in the first channel, on the side where it is higher. */
function worstDensity(
  aclr: readonly AclrReading[],
  spectrum: PowerSpectrum,
  mean: number,
  setup: Setup,
): number | null {
  const antennaDbm = antennaPowerDbm(mean, setup.scenario.amplifier);
  if (antennaDbm === null) return null;
  const carriers = setup.waveform.carriers.map((carrier) => carrier.geometry);
  const densities = aclr
    .filter((reading) => reading.channel === setup.channels[0]?.name)
    .map(({ side, aclrDb, bandwidthHz }) => {
      const { offsetHz, occupiedBandwidthHz } = outerCarrier(carriers, side);
      const own = bandPower(spectrum, offsetHz, occupiedBandwidthHz);
      return densityDbmPerMHz(antennaDbm + powerRatioToDb(own / mean), aclrDb, bandwidthHz);
    });
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
  { spectrum, symbols }: OutputViews,
): OutputReport {
  const { amplifier } = setup.scenario;
  const { output, drive, heldSampleRatio } = driven;
  const mean = meanPower(output);
  const peak = peakPower(output);
  const meanPowerDbm = outputPowerDbm(mean, amplifier);
  const aclr = aclrOf(setup, spectrum);
  const perCarrier = symbols.map((one) => one.reading);
  const g = setup.amplifier.smallSignalGain;
  return {
    meanPowerDbm,
    meanPowerW: meanPowerDbm === null ? null : dbmToW(meanPowerDbm),
    peakPowerDbm: outputPowerDbm(peak, amplifier),
    antennaMeanDbm: antennaPowerDbm(mean, amplifier),
    outputBackoffDb: outputBackoffDbOf(mean),
    peakToAverageDb: peakToAverageDb(peak, mean),
    papr: withPower(measurePapr(output, oversamplingOf(setup)), meanPowerDbm),
    worstAdjacentDensityDbmPerMHz: worstDensity(aclr, spectrum, mean, setup),
    occupiedBandwidthHz: measureOccupiedBandwidth(spectrum).occupiedBandwidthHz,
    aclr,
    masks: [],
    slots: [],
    notch: worstNotch(output, waveform),
    twoTone: measureTwoTone(output, waveform, antennaPowerDbm(1, amplifier)),
    evm: worstOf(perCarrier),
    evmPerCarrier: perCarrier,
    nmseDb: measureNmseDb(waveform.signal, output),
    heldSampleRatio,
    driveMeanDbm: drivePowerDbm(meanPower(drive), amplifier, g),
    drivePeakDbm: drivePowerDbm(peakPower(drive), amplifier, g),
    ...efficiencyOf(setup, output),
  };
}

/** Peak power at each probability, in dBm at the amplifier's output. */
function withPower(points: readonly PaprPoint[], meanDbm: number | null): PaprPoint[] {
  return points.map((point) => ({
    ...point,
    powerDbm: point.db === null || meanDbm === null ? null : meanDbm + point.db,
  }));
}

/** DC power and efficiency of the scenario's ideal power model; null without a power scale. */
function efficiencyOf(
  { scenario: { amplifier } }: Setup,
  output: ComplexSignal,
): EfficiencyReading | { dcPowerW: null; efficiencyPercent: null } {
  const { saturatedPowerDbm, power } = amplifier;
  if (saturatedPowerDbm === null) return { dcPowerW: null, efficiencyPercent: null };
  return measureEfficiency(output, power, dbmToW(saturatedPowerDbm));
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
    papr: measurePapr(signal, oversamplingOf(setup)),
    peakToAverageDb: crestFactorDb(signal),
    paprBeforeReduction: measurePapr(beforeReduction, oversamplingOf(setup)),
    aclr: aclrOf(setup, spectrum),
    crestReductionEvmPercent: reductionEvmPercent(setup, generated),
    crestReductionEvmPerCarrier: waveform.carriers.map(() => null),
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

/** EVM that crest-factor reduction spent, against the data; noise has none, so its error against the record before. */
function reductionEvmPercent(setup: Setup, { waveform, crestReduction }: GeneratedWaveform): number | null {
  if (waveform.signal === waveform.beforeReduction) return null;
  const isNoise = waveform.carriers.some((carrier) => carrier.ofdm === null);
  if (isNoise) return crestReduction?.evmPercent ?? null;
  const { scenario } = setup;
  const evm = { equalizer: 'perSubcarrier', windowPosition: 'centre', reference: 'data' } as const;
  const againstData = { ...setup, scenario: { ...scenario, measurement: { ...scenario.measurement, evm } } };
  return worstEvm(againstData, waveform, waveform.signal)?.rmsPercent ?? null;
}

/** Sample rate over the carriers' bands together: neighbouring samples of one envelope peak. */
function oversamplingOf({ waveform: { sampleRateHz, carriers } }: Setup): number {
  const occupied = carriers.reduce((sum, { geometry }) => sum + geometry.occupiedBandwidthHz, 0);
  return Math.max(1, sampleRateHz / occupied);
}
