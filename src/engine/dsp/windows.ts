// Windows for spectrum estimation, periodic (DFT-even): w[n] = Σ_k a_k·cos(2πkn/N), alternating signs.
// Coefficients: Harris 1978, Proc. IEEE 66(1); flat top: five-term window as in general-purpose libraries.
import type { Samples } from './complex.ts';

export type WindowName = 'blackmanHarris' | 'hann' | 'rectangular' | 'flatTop';

const COSINE_TERMS: Readonly<Record<WindowName, readonly number[]>> = {
  rectangular: [1],
  hann: [0.5, 0.5],
  blackmanHarris: [0.35875, 0.48829, 0.14128, 0.01168],
  flatTop: [0.21557895, 0.41663158, 0.277263158, 0.083578947, 0.006947368],
};

export function makeWindow(name: WindowName, length: number): Samples {
  const terms = COSINE_TERMS[name];
  const w = new Float64Array(length);
  for (let n = 0; n < length; n++) {
    let value = 0;
    for (let k = 0; k < terms.length; k++) {
      const sign = k & 1 ? -1 : 1;
      value += sign * terms[k] * Math.cos((2 * Math.PI * k * n) / length);
    }
    w[n] = value;
  }
  return w;
}

/** Equivalent noise bandwidth in bins: N·Σw²/(Σw)². */
export function noiseBandwidthBins(w: Samples): number {
  let sum = 0;
  let sumOfSquares = 0;
  for (let n = 0; n < w.length; n++) {
    sum += w[n];
    sumOfSquares += w[n] * w[n];
  }
  return (w.length * sumOfSquares) / (sum * sum);
}

/** A window with what its users ask of it. */
export interface KnownWindow {
  /** Shared by all users: not to be written to. */
  readonly samples: Samples;
  readonly sumOfSquares: number;
  readonly noiseBandwidthBins: number;
}

const known = new Map<string, KnownWindow>();
const WINDOWS_KEPT = 8;

/** The window of this name and length, computed once. */
export function windowOf(name: WindowName, length: number): KnownWindow {
  const key = `${name}/${length}`;
  let window = known.get(key);
  if (window === undefined) {
    const samples = makeWindow(name, length);
    let sumOfSquares = 0;
    for (let n = 0; n < length; n++) sumOfSquares += samples[n] * samples[n];
    window = { samples, sumOfSquares, noiseBandwidthBins: noiseBandwidthBins(samples) };
    if (known.size >= WINDOWS_KEPT) known.delete(known.keys().next().value as string);
    known.set(key, window);
  }
  return window;
}
