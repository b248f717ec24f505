// Normalised mean square error after one complex least-squares gain:
//   g = ⟨y, x⟩/⟨x, x⟩,   NMSE = |y − g·x|² / |g·x|²
import { type ComplexSignal, innerProduct, meanPower } from '../dsp/complex.ts';
import { FLOOR_DB, powerRatioToDb } from '../dsp/decibels.ts';

/** NMSE of y against x in dB. The residual is summed sample by sample: a difference of energies loses 150 dB. */
export function measureNmseDb(reference: ComplexSignal, y: ComplexSignal): number {
  const power = meanPower(reference) * reference.re.length;
  const inner = innerProduct(reference, y);
  const gRe = inner.re / power;
  const gIm = inner.im / power;
  const wanted = (gRe * gRe + gIm * gIm) * power;
  if (wanted === 0) return -FLOOR_DB;
  let error = 0;
  for (let n = 0; n < y.re.length; n++) {
    const dRe = y.re[n] - (gRe * reference.re[n] - gIm * reference.im[n]);
    const dIm = y.im[n] - (gRe * reference.im[n] + gIm * reference.re[n]);
    error += dRe * dRe + dIm * dIm;
  }
  return powerRatioToDb(error / wanted);
}
