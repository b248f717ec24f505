// Short ways to a resolved and generated waveform for tests.
import { quarryLink } from '../../../shared/presets/quarryLink.ts';
import { formatIssue } from '../../../shared/schema/issue.ts';
import { parseScenario } from '../../../shared/schema/parse.ts';
import type { ScenarioInput, WaveformSettings } from '../../../shared/schema/scenario.ts';
import { type ComplexSignal, zeros } from '../../../src/engine/dsp/complex.ts';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import type { Random } from '../../../src/engine/dsp/random.ts';
import { bandPower, estimateSpectrum } from '../../../src/engine/dsp/spectrum.ts';
import { generateWaveform } from '../../../src/engine/waveform/multicarrier.ts';
import { resolveWaveform } from '../../../src/engine/waveform/resolve.ts';
import type { ResolvedWaveform } from '../../../src/engine/waveform/resolvedWaveform.ts';

export type WaveformInput = ScenarioInput['waveform'];

/** The waveform of the reference bench: 600 × 15 kHz, 122.88 Msps, 513-tap filter, no crest-factor reduction. */
export const bench: WaveformInput = { ...quarryLink.waveform, crestFactorReduction: null };

/** Settings with the schema's defaults filled in. */
export function settings(input: WaveformInput): WaveformSettings {
  const outcome = parseScenario({ ...quarryLink, waveform: input });
  if (outcome.kind === 'invalid') throw new Error(outcome.issues.map(formatIssue).join('\n'));
  return outcome.scenario.waveform;
}

export function resolve(input: WaveformInput): ResolvedWaveform {
  const resolution = resolveWaveform(settings(input));
  if (resolution.kind === 'invalid') throw new Error(resolution.issues.map(formatIssue).join('\n'));
  return resolution.waveform;
}

export function generate(input: WaveformInput, seed = 1) {
  return generateWaveform(resolve(input), seed);
}

/** Issues of settings that may not resolve. */
export function issuesOf(input: WaveformInput) {
  const resolution = resolveWaveform(settings(input));
  return resolution.kind === 'invalid' ? resolution.issues : [];
}

export function notesOf(input: WaveformInput) {
  const resolution = resolveWaveform(settings(input));
  return resolution.kind === 'resolved' ? resolution.notes : [];
}

export interface Channels {
  readonly sampleRateHz: number;
  readonly bandwidthHz: number;
  readonly spacingHz: number;
  readonly centreHz?: number;
}

/** Own power over the power beside it in dB [lower, upper]: 8192-point 4-term Blackman-Harris segments, 50 % overlap. */
export function leakage(signal: ComplexSignal, { sampleRateHz, bandwidthHz, spacingHz, centreHz = 0 }: Channels) {
  const spectrum = estimateSpectrum(signal, {
    sampleRateHz,
    method: 'segments',
    window: 'blackmanHarris',
    segmentLength: 8192,
    overlapRatio: 0.5,
  });
  const own = bandPower(spectrum, centreHz, bandwidthHz);
  return [-1, 1].map((side) => powerRatioToDb(own / bandPower(spectrum, centreHz + side * spacingHz, bandwidthHz)));
}

export function randomSignal(length: number, random: Random): ComplexSignal {
  const x = zeros(length);
  for (let n = 0; n < length; n++) {
    x.re[n] = random.normal();
    x.im[n] = random.normal();
  }
  return x;
}

/** Largest |x − y| over the largest |y|. */
export function largestDifference(x: ComplexSignal, y: ComplexSignal): number {
  let difference = 0;
  let size = 0;
  for (let n = 0; n < y.re.length; n++) {
    difference = Math.max(difference, Math.hypot(x.re[n] - y.re[n], x.im[n] - y.im[n]));
    size = Math.max(size, Math.hypot(y.re[n], y.im[n]));
  }
  return difference / size;
}
