// Delay of the amplifier taken out once per run: observation, error and AM/AM compare samples of the same instant.
//
// The delay is the whole number of samples at which the uncorrected output correlates best with its drive,
//   D = argmax_d |Σ_n conj(x[n])·y[n+d]|.
// What is left, less than half a sample, belongs to the amplifier's memory and is the predistorter's to invert.
import { type ComplexSignal, type Samples, zeros } from '../dsp/complex.ts';
import { fftInto, inverseFftInto, multiplyInPlace, nextPowerOfTwo } from '../dsp/fft.ts';
import type { UncorrectedOutput } from './chain.ts';
import type { Setup } from './checkScenario.ts';

const LAGS_TRIED = 128;
/** Samples correlated: the peak is plain long before the record's end. */
const SAMPLES_USED = 8192;

export interface AlignedRun {
  readonly setup: Setup;
  readonly uncorrected: UncorrectedOutput;
}

/** The setup with an amplifier whose output is aligned with its drive, the uncorrected output moved likewise, and a note. */
export function alignAmplifier(setup: Setup, uncorrected: UncorrectedOutput): AlignedRun {
  const delaySamples = bulkDelaySamples(uncorrected.drive, uncorrected.output);
  if (delaySamples === 0) return { setup, uncorrected };
  const { amplify, amplifyAfterSilence } = setup.amplifier;
  const ns = ((1e9 * delaySamples) / setup.waveform.sampleRateHz).toFixed(1);
  const message = `The amplifier model delays by ${delaySamples} samples (${ns} ns). Its output is moved back by that before it is learned from and read.`;
  return {
    setup: {
      ...setup,
      amplifier: {
        ...setup.amplifier,
        amplify: (drive) => advance(amplify(drive), delaySamples),
        amplifyAfterSilence: (...drive) => advance(amplifyAfterSilence(...drive), delaySamples),
      },
      warnings: [...setup.warnings, { code: 'amplifier-delay', message }],
    },
    uncorrected: { ...uncorrected, output: advance(uncorrected.output, delaySamples) },
  };
}

/** The lag, within ±128 samples, of the largest circular correlation. Zero wins a tie. */
export function bulkDelaySamples(x: ComplexSignal, y: ComplexSignal): number {
  const most = Math.min(LAGS_TRIED, Math.floor(x.re.length / 2));
  const values = correlations(x, y, most);
  let best = 0;
  for (let lag = -most; lag <= most; lag++) {
    if (values[most + lag] > values[most + best] * (1 + 1e-9)) best = lag;
  }
  return best;
}

/** |Σ conj(x[n])·y[n+lag]|² over the first samples, for the lags −most … most: by transforms long enough not to wrap. */
function correlations(x: ComplexSignal, y: ComplexSignal, most: number): Samples {
  const count = Math.min(SAMPLES_USED, x.re.length);
  const size = nextPowerOfTwo(count + 2 * most);
  const from = zeros(size);
  const to = zeros(size);
  copyFrom(x, 0, count, from);
  copyFrom(y, x.re.length - most, count + 2 * most, to);
  fftInto(from, from);
  fftInto(to, to);
  for (let b = 0; b < size; b++) from.im[b] = -from.im[b];
  multiplyInPlace(to, from);
  inverseFftInto(to, to);
  return Float64Array.from({ length: 2 * most + 1 }, (_, i) => to.re[i] * to.re[i] + to.im[i] * to.im[i]);
}

/** out[i] = x[start + i] for i < count, round the end of the period. */
function copyFrom(x: ComplexSignal, start: number, count: number, out: ComplexSignal): void {
  for (let i = 0; i < count; i++) {
    const n = (start + i) % x.re.length;
    out.re[i] = x.re[n];
    out.im[i] = x.im[n];
  }
}

/** out[n] = y[n + delay], periodic. */
function advance(y: ComplexSignal, delaySamples: number): ComplexSignal {
  const length = y.re.length;
  const start = ((delaySamples % length) + length) % length;
  const out = zeros(length);
  for (const part of ['re', 'im'] as const) {
    out[part].set(y[part].subarray(start));
    out[part].set(y[part].subarray(0, start), length - start);
  }
  return out;
}
