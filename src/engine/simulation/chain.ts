// The stages of one run after its scenario is checked: records, uncorrected output, ideal limiter.
import type { Issue } from '../../../shared/schema/issue.ts';
import { type LevelRequest, levelDrive } from '../amplifier/levelDrive.ts';
import { meanPowerOfBackoff, outputBackoffDbOf, outputPowerDbm } from '../amplifier/operatingPoint.ts';
import type { ComplexSignal } from '../dsp/complex.ts';
import { estimateSpectrum, type PowerSpectrum, scaleSpectrum } from '../dsp/spectrum.ts';
import type { Device, Waveform } from '../dsp/waveformTypes.ts';
import { heldRatio, idealLimiter } from '../linearization/idealLimiter.ts';
import type { GeneratedWaveform } from '../waveform/multicarrier.ts';
import type { Setup } from './checkScenario.ts';
import type { RunFaults } from './faults.ts';
import { type RunMemory, waveformFor } from './runMemory.ts';
import { activeRatioOf, heldRatioOn, meanPowerOn, onPart } from './whileOn.ts';

/** Training, selection and judging records: same settings, different seeds. */
export interface Records {
  readonly judging: GeneratedWaveform;
  readonly training: GeneratedWaveform | null;
  readonly selection: GeneratedWaveform | null;
}

/** One amplifier output at the wanted power. */
export interface DrivenOutput {
  readonly driveScale: number;
  readonly drive: ComplexSignal;
  readonly output: ComplexSignal;
  /** Share of the drive's samples beyond the amplifier's drive range. */
  readonly heldSampleRatio: number;
}

/** The uncorrected output, and how fast it grows there: dB of output per dB of drive. */
export interface UncorrectedOutput extends DrivenOutput {
  readonly slope: number;
}

/** Largest rms drive, in units of the knee, that levelling tries: 9.5 dB over it, deeper than any device is driven. */
const MAXIMUM_DRIVE = 3;
/** With a drive range, more than ten times it holds every sample that matters at the edge. */
const RANGES_TRIED = 10;

export function makeRecords(setup: Setup, memory: RunMemory, faults: RunFaults): Records {
  const { seeds, predistorter } = setup.scenario;
  const record = (seed: number) => waveformFor(setup.waveform, seed, memory);
  const judging = record(faults.judgeOnTraining ? seeds.training : seeds.judging);
  if (predistorter === null || predistorter.stored?.passCount === 0)
    return { judging, training: null, selection: null };
  return { judging, training: record(seeds.training), selection: record(seeds.selection) };
}

export function maximumScaleOf(setup: Setup): number {
  const range = setup.amplifier.driveRange;
  return range === null ? MAXIMUM_DRIVE : RANGES_TRIED * range;
}

/** Mean |y|² over the record that gives the wanted output back-off while on. */
export function wantedMeanPowerOf(setup: Setup): number {
  return meanPowerOfBackoff(setup.outputBackoffDb) * activeRatioOf(setup);
}

/** Levels a device's output to the wanted power, or tells the most it gives. */
export function levelAt(
  setup: Setup,
  device: Device,
  input: ComplexSignal,
  start: Pick<LevelRequest, 'startScale' | 'startSlope'> = {},
) {
  return levelDrive({
    device,
    waveform: input,
    wantedMeanPower: wantedMeanPowerOf(setup),
    maximumScale: maximumScaleOf(setup),
    ...start,
  });
}

/** The uncorrected output at the wanted power, or the issue that it is out of reach and how much is the most. */
export function driveUncorrected(setup: Setup, waveform: Waveform): UncorrectedOutput | Issue {
  const levelled = levelAt(setup, setup.amplifier.amplify, waveform.signal);
  if (levelled.kind === 'levelled') {
    return { ...levelled, heldSampleRatio: heldRatioOn(setup, levelled.drive) };
  }
  const mostMeanPower = levelled.mostMeanPower / activeRatioOf(setup);
  const most = outputBackoffDbOf(mostMeanPower);
  const mostDbm = outputPowerDbm(mostMeanPower, setup.scenario.amplifier);
  const mostText = `${mostDbm === null ? '' : `${mostDbm.toFixed(2)} dBm, `}${most.toFixed(2)} dB output back-off`;
  return {
    path: 'operatingPoint',
    rule: `must be within reach: the most this amplifier gives with this waveform is ${mostText}, ${boundText(setup)}`,
    value: `${setup.outputBackoffDb.toFixed(2)} dB output back-off`,
    remedy: 'lower the wanted power, reduce the crest factor or raise amplifier.saturatedPowerDbm',
  };
}

/** Up to which drive the most was sought. */
function boundText(setup: Setup): string {
  const range = setup.amplifier.driveRange;
  return range === null
    ? `at an rms drive of up to ${(20 * Math.log10(MAXIMUM_DRIVE)).toFixed(1)} dB over the knee`
    : 'with the drive held at the edge of its range';
}

/** The ideal limiter at the same mean output power. */
export function driveIdealLimiter(setup: Setup, waveform: Waveform): DrivenOutput {
  const wantedMeanPower = wantedMeanPowerOf(setup);
  const levelled = levelDrive({ device: idealLimiter, waveform: waveform.signal, wantedMeanPower, maximumScale: 1e3 });
  if (levelled.kind === 'levelled')
    return { ...levelled, heldSampleRatio: heldRatio(onPart(setup, levelled.drive), 1) };
  throw new RangeError(`driveIdealLimiter: ${setup.outputBackoffDb} dB output back-off not reached by a hard stop`);
}

/** The scenario's spectrum estimator on one signal; of bursts the mean power while on. */
export function spectrumOf(setup: Setup, signal: ComplexSignal): PowerSpectrum {
  const { method, window, segmentLength, overlapRatio, averageCount } = setup.scenario.measurement.spectrum;
  const { sampleRateHz } = setup.waveform;
  const options = { sampleRateHz, method, window, segmentLength, overlapRatio, averageCount };
  const spectrum = estimateSpectrum(signal, options);
  if (setup.waveform.burst === null) return spectrum;
  // A limited count of averages may fall on bursts or pauses more than the record does: the sum is what holds.
  const sum = spectrum.power.reduce((total, power) => total + power, 0);
  return sum > 0 ? scaleSpectrum(spectrum, meanPowerOn(setup, signal) / sum) : spectrum;
}
