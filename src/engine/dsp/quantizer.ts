// Uniform converters: what a word length leaves of a record, and the floor it puts under a reading.
//
// Mid-rise, 2^b levels over ±fullScale, step q = 2·fullScale/2^b: x → q·(⌊x/q⌋ + ½), stopped at the outermost levels.
// Rounding is taken as white and uniform, q²/12 a rail (Bennett 1948).
import { type ComplexSignal, zeros } from './complex.ts';

/**
 * Both rails of a record through a converter of `bits`.
 * @throws RangeError for bits outside 1 … 32 or a full scale that is not above 0.
 */
export function quantize(x: ComplexSignal, bits: number, fullScale = 1): ComplexSignal {
  if (!Number.isInteger(bits) || bits < 1 || bits > 32) throw new RangeError(`quantize: ${bits} bits`);
  if (!(fullScale > 0)) throw new RangeError(`quantize: full scale ${fullScale}`);
  const step = (2 * fullScale) / 2 ** bits;
  const last = 2 ** (bits - 1) - 1;
  const out = zeros(x.re.length);
  const convert = (value: number) => step * (Math.min(last, Math.max(-last - 1, Math.floor(value / step))) + 0.5);
  for (let n = 0; n < out.re.length; n++) {
    out.re[n] = convert(x.re[n]);
    out.im[n] = convert(x.im[n]);
  }
  return out;
}

/**
 * Ratio, in dB, of a carrier's power to the rounding noise of its converter inside a band: per rail the full-scale sine
 * has (3/2)·4^b over the noise, a carrier of mean power P (|x|², full scale 1 a rail) stands P/1 over that, and the
 * noise spreads evenly over the sample rate:
 *   6.02·b + 1.76 + 10·log10(P) + 10·log10(sampleRate/bandwidth)
 */
export function quantizerFloorDb(bits: number, meanPower: number, sampleRateHz: number, bandwidthHz: number): number {
  return 10 * Math.log10(1.5 * 4 ** bits * meanPower * (sampleRateHz / bandwidthHz));
}
