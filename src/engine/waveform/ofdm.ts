// CP-OFDM of one carrier about its own centre.
//
// s(n) = Σ_k a_k·exp(j2πk(n − N_CP)/N) over one symbol of N_CP + N samples (TS 38.211 clause 5.3.1), symbols in a row.
// Raised-cosine overlap: each symbol is continued by half the overlap on both sides and faded by
// sin²(π/2·(i + ½)/w); neighbouring fades add to one.
import type { OfdmGeometry } from '../../../shared/schema/geometry.ts';
import type { OfdmCarrierSettings } from '../../../shared/schema/scenario.ts';
import { type ComplexSignal, type Samples, zeros } from '../dsp/complex.ts';
import { inverseFftInto } from '../dsp/fft.ts';
import type { Random } from '../dsp/random.ts';
import { bitsPerSymbol, constellation } from './constellation.ts';
import { wordSource } from './sequences.ts';

/** Equiprobable symbols, row by row [symbol][subcarrier]; the constellation's mean power is 1. */
export function drawSymbols(
  geometry: OfdmGeometry,
  payload: OfdmCarrierSettings['payload'],
  random: Random,
): ComplexSignal {
  const points = constellation(geometry.modulation);
  const nextWord = wordSource(payload, bitsPerSymbol(geometry.modulation), random);
  const count = geometry.symbolCount * geometry.subcarriers.length;
  const data = zeros(count);
  for (let i = 0; i < count; i++) {
    const word = nextWord();
    data.re[i] = points.re[word];
    data.im[i] = points.im[word];
  }
  return data;
}

/**
 * The periodic record of the given symbols, unit power per subcarrier times √subcarrierCount/√fftLength in amplitude
 * (the caller scales). Length symbolCount × symbolSamples.
 */
export function modulate(geometry: OfdmGeometry, data: ComplexSignal, overlapSamples: number): ComplexSignal {
  const { fftLength, cyclicPrefixSamples, symbolSamples, symbolCount, subcarriers } = geometry;
  const out = zeros(symbolCount * symbolSamples);
  const body = zeros(fftLength);
  const half = overlapSamples / 2;
  const fade = raisedCosine(overlapSamples);
  for (let s = 0; s < symbolCount; s++) {
    body.re.fill(0);
    body.im.fill(0);
    for (let i = 0; i < subcarriers.length; i++) {
      const bin = subcarriers[i] < 0 ? subcarriers[i] + fftLength : subcarriers[i];
      body.re[bin] = data.re[s * subcarriers.length + i];
      body.im[bin] = data.im[s * subcarriers.length + i];
    }
    inverseFftInto(body, body);
    // Sample n of the symbol is sample n − prefix of the periodic body; the overlap reaches `half` beyond both ends.
    const start = s * symbolSamples;
    addFaded(out, start - half, body, fftLength - cyclicPrefixSamples - half, symbolSamples + overlapSamples, fade);
  }
  return out;
}

/** Rising edge of a raised cosine, `length` samples; with its reverse it adds to one. */
function raisedCosine(length: number): Samples {
  const fade = new Float64Array(length);
  for (let i = 0; i < length; i++) {
    const s = Math.sin(((Math.PI / 2) * (i + 0.5)) / length);
    fade[i] = s * s;
  }
  return fade;
}

/** out[at + i] += g[i]·body[from + i], both periodic; g fades in and out. Between its fades a symbol is alone. */
function addFaded(
  out: ComplexSignal,
  at: number,
  body: ComplexSignal,
  from: number,
  count: number,
  fade: Samples,
): void {
  const length = out.re.length;
  const mask = body.re.length - 1;
  const width = fade.length;
  const start = at < 0 ? at + length : at;
  for (let i = 0; i < width; i++) {
    addSample(out, (start + i) % length, body, (from + i) & mask, fade[i]);
    const last = count - 1 - i;
    addSample(out, (start + last) % length, body, (from + last) & mask, fade[i]);
  }
  copyRun(out, (start + width) % length, body, (from + width) & mask, count - 2 * width);
}

function addSample(out: ComplexSignal, o: number, body: ComplexSignal, b: number, gain: number): void {
  out.re[o] += gain * body.re[b];
  out.im[o] += gain * body.im[b];
}

/** out[at + i] = body[from + i], both periodic. */
function copyRun(out: ComplexSignal, at: number, body: ComplexSignal, from: number, count: number): void {
  let [o, b, rest] = [at, from, count];
  while (rest > 0) {
    const run = Math.min(rest, out.re.length - o, body.re.length - b);
    out.re.set(body.re.subarray(b, b + run), o);
    out.im.set(body.im.subarray(b, b + run), o);
    o = (o + run) % out.re.length;
    b = (b + run) % body.re.length;
    rest -= run;
  }
}
