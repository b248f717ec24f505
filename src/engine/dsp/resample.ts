// Change of sample rate of a periodic record by its exact spectrum.
//
//   X[b] = DFT of x, length N;  Y[b] = X[b] for the frequencies both lengths have, else 0;  y = IDFT(Y)·N'/N
//
// The record's period stays, its sample count changes; amplitudes stay. A bin at exactly half the smaller rate stands
// for both signs of that frequency: going up it is split in halves, going down its two halves are added, so that
// up and down again returns the record. Band-limited interpolation of periodic sequences (common practice).
import { type ComplexSignal, type Samples, zeros } from './complex.ts';
import { interleave, separate, transformOf } from './fft.ts';

/**
 * The periodic record `x` at `newLength` samples over the same period. Content above half the new rate is dropped.
 * Throws RangeError unless newLength is a whole number of at least 1.
 */
export function resamplePeriodic(x: ComplexSignal, newLength: number): ComplexSignal {
  const length = x.re.length;
  if (!Number.isInteger(newLength) || newLength < 1) {
    throw new RangeError(`resamplePeriodic: new length ${newLength} is not a whole number of samples`);
  }
  if (newLength === length) return { re: x.re.slice(), im: x.im.slice() };
  const from = transformOf(length);
  interleave(x.re, x.im, from.input);
  from.run();
  const to = transformOf(newLength);
  moveBins(from.output, to.input);
  to.run();
  const y = zeros(newLength);
  // moveBins swaps real and imaginary parts: with the swap here the forward transform is the inverse one.
  separate(to.output, y.im, y.re, 1 / length);
  return y;
}

/** The bins both lengths have, real and imaginary parts swapped; all other bins of `to` become zero. */
function moveBins(from: Samples, to: Samples): void {
  const length = from.length / 2;
  const newLength = to.length / 2;
  const shorter = Math.min(length, newLength);
  // Frequencies below half the smaller rate: 0 … half−1 and −(half−1) … −1 for an even shorter length.
  const half = Math.ceil(shorter / 2);
  to.fill(0);
  for (let b = 0; b < half; b++) addBin(from, b, to, b, 1);
  for (let b = 1; b < half; b++) addBin(from, length - b, to, newLength - b, 1);
  if (shorter === 2 * half) addHalfRateBin(from, to, half);
}

function addBin(from: Samples, source: number, to: Samples, target: number, factor: number): void {
  to[2 * target] += factor * from[2 * source + 1];
  to[2 * target + 1] += factor * from[2 * source];
}

/** The bin at half the smaller rate: one bin on the short side, a pair ±b on the long side. */
function addHalfRateBin(from: Samples, to: Samples, b: number): void {
  const length = from.length / 2;
  const newLength = to.length / 2;
  if (length < newLength) {
    addBin(from, b, to, b, 1 / 2);
    addBin(from, b, to, newLength - b, 1 / 2);
    return;
  }
  addBin(from, b, to, b, 1);
  if (length - b !== b) addBin(from, length - b, to, b, 1);
}
