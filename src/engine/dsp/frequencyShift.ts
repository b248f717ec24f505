// Moving a periodic record in frequency by whole cycles, so that it stays periodic.
import { type ComplexSignal, copy, zeros } from './complex.ts';

/**
 * y[n] = x[n]·exp(j2π·cycles·n/N), N the record's length.
 * @throws RangeError when `cycles` is not a whole number (the record would no longer be periodic).
 */
export function shiftByCycles(x: ComplexSignal, cycles: number): ComplexSignal {
  if (!Number.isInteger(cycles))
    throw new RangeError(`shiftByCycles: ${cycles} cycles per record must be a whole number`);
  if (cycles === 0) return copy(x);
  const length = x.re.length;
  const y = zeros(length);
  const step = ((cycles % length) + length) % length;
  const unit = (2 * Math.PI) / length;
  // The phase is counted in whole steps of one cycle per record, so it is exact at any length.
  let phase = 0;
  for (let n = 0; n < length; n++) {
    const cosine = Math.cos(unit * phase);
    const sine = Math.sin(unit * phase);
    y.re[n] = x.re[n] * cosine - x.im[n] * sine;
    y.im[n] = x.re[n] * sine + x.im[n] * cosine;
    phase += step;
    if (phase >= length) phase -= length;
  }
  return y;
}
