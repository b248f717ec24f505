// All figures of one output, in the report's names.
import type { AclrReading, EvmReading, OutputReport, WaveformReport } from '../../../shared/schema/report.ts';
import { antennaPowerDbm, drivePowerDbm, outputBackoffDbOf, outputPowerDbm } from '../amplifier/operatingPoint.ts';
import { type ComplexSignal, meanPower, peakPower } from '../dsp/complex.ts';
import { dbmToW, peakToAverageDb, powerRatioToDb } from '../dsp/decibels.ts';
import type { PowerSpectrum } from '../dsp/spectrum.ts';
import type { Waveform } from '../dsp/waveformTypes.ts';
import { measureAclr } from '../measurement/aclr.ts';
import { measurePapr } from '../measurement/ccdf.ts';
import { type EfficiencyReading, measureEfficiency } from '../measurement/efficiency.ts';
import { type EvmResult, measureEvm } from '../measurement/evm.ts';
import { measureNmseDb } from '../measurement/nmse.ts';
import { measureOccupiedBandwidth } from '../measurement/occupiedBandwidth.ts';
import type { GeneratedWaveform } from '../waveform/multicarrier.ts';
import { type DrivenOutput, spectrumOf } from './chain.ts';
import type { Setup } from './checkScenario.ts';

/** EVM and symbols of every carrier that carries symbols. */
export function readSymbols(setup: Setup, waveform: Waveform, output: ComplexSignal): EvmResult[] {
  const { equalizer, reference } = setup.scenario.measurement.evm;
  return waveform.carriers.flatMap((carrier, carrierIndex) =>
    carrier.ofdm === null ? [] : [measureEvm({ output, waveform, carrierIndex, equalizer, reference })],
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

/** Mean density in the worst neighbouring channel at the antenna port. */
function worstDensity(aclr: readonly AclrReading[], own: number, setup: Setup): number | null {
  const first = aclr.filter((reading) => reading.channel === setup.channels[0]?.name);
  if (first.length === 0) return null;
  const worst = first.reduce((a, b) => (a.aclrDb <= b.aclrDb ? a : b));
  const antenna = antennaPowerDbm(own, setup.scenario.amplifier);
  return antenna === null ? null : antenna - worst.aclrDb - powerRatioToDb(worst.bandwidthHz / 1e6);
}

/** What several figures of one output are read from. */
export interface OutputViews {
  readonly spectrum: PowerSpectrum;
  readonly symbols: readonly EvmResult[];
}

export function viewOutput(setup: Setup, waveform: Waveform, output: ComplexSignal): OutputViews {
  return { spectrum: spectrumOf(setup, output), symbols: readSymbols(setup, waveform, output) };
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
    papr: measurePapr(output),
    worstAdjacentDensityDbmPerMHz: worstDensity(aclr, mean, setup),
    occupiedBandwidthHz: measureOccupiedBandwidth(spectrum).occupiedBandwidthHz,
    aclr,
    evm: worstOf(perCarrier),
    evmPerCarrier: perCarrier,
    nmseDb: measureNmseDb(waveform.signal, output),
    heldSampleRatio,
    driveMeanDbm: drivePowerDbm(meanPower(drive), amplifier, g),
    drivePeakDbm: drivePowerDbm(peakPower(drive), amplifier, g),
    ...efficiencyOf(setup, output),
  };
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
  const reduced = signal !== beforeReduction;
  const data = {
    ...setup,
    scenario: {
      ...setup.scenario,
      measurement: { ...setup.scenario.measurement, evm: { equalizer: 'perSubcarrier', reference: 'data' } as const },
    },
  };
  return {
    sampleRateHz,
    sampleCount,
    symbolCount,
    durationS: sampleCount / sampleRateHz,
    occupiedBandwidthHz: measureOccupiedBandwidth(spectrum).occupiedBandwidthHz,
    papr: measurePapr(signal),
    peakToAverageDb: peakToAverageDb(peakPower(signal), meanPower(signal)),
    paprBeforeReduction: measurePapr(beforeReduction),
    aclr: aclrOf(setup, spectrum),
    crestReductionEvmPercent: reduced ? (worstEvm(data, waveform, signal)?.rmsPercent ?? null) : null,
    carriers: waveform.carriers.map(
      ({ offsetHz, occupiedBandwidthHz, channelBandwidthHz, relativePowerDb, label }) => ({
        offsetHz,
        occupiedBandwidthHz,
        channelBandwidthHz,
        relativePowerDb,
        label,
      }),
    ),
  };
}
