// The on/off envelope of a burst pattern over a periodic record.
//
// Period T, on-time D, ramp R, in samples (fractions allowed), t from the start of a burst:
//   a = 1                              0 ≤ t ≤ D − R
//   a = ½·(1 + cos(π·t/R))             −R < t < 0            raised-cosine rise, half amplitude at −R/2
//   a = ½·(1 + cos(π·(t − D + R)/R))   D − R < t < D         fall, half amplitude at D − R/2
// Mean of a²: (D − R/4)/T, for a raised cosine's mean square is 3/8.
import type { BurstGeometry } from '../../../shared/schema/geometry.ts';
import { type ComplexSignal, type Samples, zeros } from './complex.ts';

type Pattern = Pick<BurstGeometry, 'periodSamples' | 'onSamples' | 'rampSamples'>;

/** A sample this near an edge is on it: rounding of fractional periods. */
const EDGE_SAMPLES = 1e-6;

/** Envelope a at every sample of a record; shape [sampleCount], 0 … 1. */
export function burstEnvelope(pattern: Pattern, sampleCount: number): Samples {
  const { periodSamples, onSamples, rampSamples } = pattern;
  const flat = onSamples - rampSamples;
  const envelope = new Float64Array(sampleCount);
  for (let n = 0; n < sampleCount; n++) {
    const t = phaseOf(n, periodSamples);
    const beyond = t <= flat + EDGE_SAMPLES ? 0 : Math.min(t - flat, periodSamples - t);
    envelope[n] = beyond < rampSamples ? 0.5 * (1 + Math.cos((Math.PI * beyond) / rampSamples)) : beyond > 0 ? 0 : 1;
  }
  return envelope;
}

/** Samples since the last burst's start. */
function phaseOf(n: number, periodSamples: number): number {
  return n - Math.floor((n + EDGE_SAMPLES) / periodSamples) * periodSamples;
}

/** The samples that are fully on, one after the other; the signal itself when there is no pattern. */
export function whileOn(x: ComplexSignal, pattern: Pattern | null): ComplexSignal {
  if (pattern === null) return x;
  const { periodSamples, onSamples, rampSamples } = pattern;
  const flat = onSamples - rampSamples;
  const out = zeros(x.re.length);
  let count = 0;
  for (let n = 0; n < x.re.length; n++) {
    if (phaseOf(n, periodSamples) > flat + EDGE_SAMPLES) continue;
    out.re[count] = x.re[n];
    out.im[count] = x.im[n];
    count++;
  }
  return { re: out.re.subarray(0, count), im: out.im.subarray(0, count) };
}

/** Whether the samples from … to (exclusive, fractions allowed, within one period) are all fully on. */
export function isWhollyOn({ periodSamples, onSamples, rampSamples }: Pattern, from: number, to: number): boolean {
  const start = Math.floor((from + EDGE_SAMPLES) / periodSamples) * periodSamples;
  return from >= start - EDGE_SAMPLES && to <= start + onSamples - rampSamples + EDGE_SAMPLES;
}
