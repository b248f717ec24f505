// Parts of a record as lists of windows: what is fitted and what is held out.
//
// The record is cut into blocks; every second one is fitted, the others are held out. Interleaving gives both the same
// levels and the same drift. A held-out block loses `guardSamples` at either end, so that no regressor of a held-out
// sample reaches into a fitted block.
import type { SampleWindow } from '../basis/gram.ts';
import { type ComplexSignal, zeros } from '../dsp/complex.ts';

export interface SplitSamples {
  readonly training: readonly SampleWindow[];
  readonly heldOut: readonly SampleWindow[];
}

/** Even, so that fitted and held-out blocks alternate round the end of a period. */
const BLOCKS = 16;

/**
 * Splits samples from … to − 1. guardSamples: the longest reach of a regressor, ahead or back.
 * Throws RangeError when a block would not be longer than its guards.
 */
export function splitSamples(from: number, to: number, guardSamples: number): SplitSamples {
  const block = Math.floor((to - from) / BLOCKS);
  const heldCount = block - 2 * guardSamples;
  if (heldCount < 1) throw new RangeError(`splitSamples: blocks of ${block} samples between guards of ${guardSamples}`);
  const training: SampleWindow[] = [];
  const heldOut: SampleWindow[] = [];
  for (let b = 0; b < BLOCKS; b++) {
    const start = from + b * block;
    if (b % 2 === 0) training.push({ startSample: start, sampleCount: block });
    else heldOut.push({ startSample: start + guardSamples, sampleCount: heldCount });
  }
  return { training, heldOut };
}

/** `count` samples of from … to − 1 round the largest |x|, so that they hold the levels of all; all of them when fewer. */
export function partRoundPeak(x: ComplexSignal, from: number, to: number, count: number): readonly [number, number] {
  if (to - from <= count) return [from, to];
  let [peak, at] = [-1, from];
  for (let n = from; n < to; n++) {
    const power = x.re[n] * x.re[n] + x.im[n] * x.im[n];
    if (power > peak) [peak, at] = [power, n];
  }
  const start = Math.max(from, Math.min(to - count, at - (count >> 1)));
  return [start, start + count];
}

export function sampleCountOf(windows: readonly SampleWindow[]): number {
  return windows.reduce((sum, { sampleCount }) => sum + sampleCount, 0);
}

/** The samples of the windows, one after the other. Windows do not wrap. */
export function gather(x: ComplexSignal, windows: readonly SampleWindow[]): ComplexSignal {
  const out = zeros(sampleCountOf(windows));
  let at = 0;
  for (const { startSample, sampleCount } of windows) {
    out.re.set(x.re.subarray(startSample, startSample + sampleCount), at);
    out.im.set(x.im.subarray(startSample, startSample + sampleCount), at);
    at += sampleCount;
  }
  return out;
}
