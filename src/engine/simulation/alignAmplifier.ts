// Delay of the amplifier taken out once per run: observation, error and AM/AM compare samples of the same instant.
//
// The delay is the whole number of samples at which the small-signal output correlates best with the drive,
//   D = argmax_d |Σ_n conj(x[n])·y[n+d]|.
// What is left, less than half a sample, belongs to the amplifier's memory and is the predistorter's to invert.
import type { ComplexSignal } from '../dsp/complex.ts';
import { scale, zeros } from '../dsp/complex.ts';
import type { Waveform } from '../dsp/waveformTypes.ts';
import type { Setup } from './checkScenario.ts';

/** Small signal: 20 dB below the knee. */
const PROBE_SCALE = 0.1;
const LAGS_TRIED = 128;
/** Samples correlated: the peak is plain long before the record's end. */
const SAMPLES_USED = 8192;

/** The setup with an amplifier whose output is aligned with its drive, and a note when that moved anything. */
export function alignAmplifier(setup: Setup, waveform: Waveform): Setup {
  const { amplify } = setup.amplifier;
  const probe = scale(waveform.signal, PROBE_SCALE);
  const delaySamples = bulkDelaySamples(probe, amplify(probe));
  if (delaySamples === 0) return setup;
  const ns = ((1e9 * delaySamples) / waveform.sampleRateHz).toFixed(1);
  const message = `The amplifier model delays by ${delaySamples} samples (${ns} ns). Its output is moved back by that before it is learned from and read.`;
  return {
    ...setup,
    amplifier: { ...setup.amplifier, amplify: (drive) => advance(amplify(drive), delaySamples) },
    warnings: [...setup.warnings, { code: 'amplifier-delay', message }],
  };
}

/** The lag, within ±128 samples, of the largest circular correlation. Zero wins a tie. */
export function bulkDelaySamples(x: ComplexSignal, y: ComplexSignal): number {
  let best = 0;
  let largest = correlation(x, y, 0);
  const most = Math.min(LAGS_TRIED, Math.floor(x.re.length / 2));
  for (let lag = -most; lag <= most; lag++) {
    const value = correlation(x, y, lag);
    if (value > largest * (1 + 1e-9)) {
      best = lag;
      largest = value;
    }
  }
  return best;
}

/** |Σ conj(x[n])·y[n+lag]|² over the first samples. */
function correlation(x: ComplexSignal, y: ComplexSignal, lag: number): number {
  const length = x.re.length;
  const count = Math.min(SAMPLES_USED, length);
  let at = lag < 0 ? length + lag : lag;
  let re = 0;
  let im = 0;
  for (let n = 0; n < count; n++) {
    re += x.re[n] * y.re[at] + x.im[n] * y.im[at];
    im += x.re[n] * y.im[at] - x.im[n] * y.re[at];
    if (++at === length) at = 0;
  }
  return re * re + im * im;
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
