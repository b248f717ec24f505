// Change of sample rate of a periodic record by its exact spectrum.
//
//   X[b] = DFT of x, length N;  Y[b] = X[b] for the frequencies both lengths have, else 0;  y = IDFT(Y)·N'/N
//
// The record's period stays, its sample count changes; amplitudes stay. A bin at exactly half the smaller rate stands
// for both signs of that frequency: going up it is split in halves, going down its two halves are added, so that
// up and down again returns the record. Band-limited interpolation of periodic sequences (common practice).
import { type ComplexSignal, zeros } from './complex.ts';
import { fft, inverseFft } from './fft.ts';

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
  const from = fft(x);
  const to = zeros(newLength);
  const shorter = Math.min(length, newLength);
  const ratio = newLength / length;
  // Frequencies below half the smaller rate: 0 … half−1 and −(half−1) … −1 for an even shorter length.
  const half = Math.ceil(shorter / 2);
  for (let b = 0; b < half; b++) copyBin(from, b, to, b, ratio);
  for (let b = 1; b < half; b++) copyBin(from, length - b, to, newLength - b, ratio);
  if (shorter === 2 * half) copyHalfRateBin(from, to, half, ratio);
  return inverseFft(to);
}

function copyBin(from: ComplexSignal, source: number, to: ComplexSignal, target: number, factor: number): void {
  to.re[target] += factor * from.re[source];
  to.im[target] += factor * from.im[source];
}

/** The bin at half the smaller rate: one bin on the short side, a pair ±b on the long side. */
function copyHalfRateBin(from: ComplexSignal, to: ComplexSignal, b: number, ratio: number): void {
  const length = from.re.length;
  const newLength = to.re.length;
  if (length < newLength) {
    copyBin(from, b, to, b, ratio / 2);
    copyBin(from, b, to, newLength - b, ratio / 2);
    return;
  }
  copyBin(from, b, to, b, ratio);
  if (length - b !== b) copyBin(from, length - b, to, b, ratio);
}
