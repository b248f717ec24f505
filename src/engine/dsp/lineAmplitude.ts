// Complex amplitude of one line of a periodic record: a tone on a whole number of cycles.
//
//   a = (1/N)·Σ_n x[n]·exp(−j·2π·k·n/N)
//
// No window: on whole cycles a rectangular record leaks nothing. The phasor is made anew from sine and cosine every
// block and turned by multiplication inside it, so that its rounding stays near 1e-14 of the strongest line.
import type { Complex, ComplexSignal } from './complex.ts';

const BLOCK = 128;

/** Amplitude of the line at `cycles` whole cycles per record (negative below the centre). RangeError for a fraction. */
export function lineAmplitude(x: ComplexSignal, cycles: number): Complex {
  if (!Number.isInteger(cycles)) throw new RangeError(`lineAmplitude: ${cycles} is not a whole number of cycles`);
  const { re, im } = x;
  const length = re.length;
  const stepAngle = (-2 * Math.PI * cycles) / length;
  const [stepRe, stepIm] = [Math.cos(stepAngle), Math.sin(stepAngle)];
  let sumRe = 0;
  let sumIm = 0;
  for (let start = 0; start < length; start += BLOCK) {
    const end = Math.min(start + BLOCK, length);
    // Whole turns are taken off exactly: the product stays below 2^53 for records of up to 2^24 samples.
    const angle = (-2 * Math.PI * ((cycles * start) % length)) / length;
    let c = Math.cos(angle);
    let s = Math.sin(angle);
    let blockRe = 0;
    let blockIm = 0;
    for (let n = start; n < end; n++) {
      blockRe += re[n] * c - im[n] * s;
      blockIm += re[n] * s + im[n] * c;
      const next = c * stepRe - s * stepIm;
      s = c * stepIm + s * stepRe;
      c = next;
    }
    sumRe += blockRe;
    sumIm += blockIm;
  }
  return { re: sumRe / length, im: sumIm / length };
}
