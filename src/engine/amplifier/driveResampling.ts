// Drives at a model's own rate. Levelling sends one record at several scales, and resampling is linear: a multiple of
// the last drive arrives as the same multiple of what arrived then, without another pair of long transforms.
import { type ComplexSignal, scale } from '../dsp/complex.ts';
import { resamplePeriodic } from '../dsp/resample.ts';

/** Relative error of two products by different factors, and of their ratio: a few roundings of 2^−53. */
const ROUNDING = 2e-15;

/** A function that resamples periodic drives to `modelLength` samples. It remembers the last one. */
export function createDriveResampler(modelLength: number): (drive: ComplexSignal) => ComplexSignal {
  let last: { readonly drive: ComplexSignal; readonly arrived: ComplexSignal } | null = null;
  return (drive) => {
    const factor = last === null ? null : multipleOf(last.drive, drive);
    if (last !== null && factor !== null) return scale(last.arrived, factor);
    last = { drive, arrived: resamplePeriodic(drive, modelLength) };
    return last.arrived;
  };
}

/** The real factor with y = factor·x to rounding in every sample, or null. */
export function multipleOf(x: ComplexSignal, y: ComplexSignal): number | null {
  if (x.re.length !== y.re.length) return null;
  let largest = 0;
  for (let n = 1; n < x.re.length; n++) if (Math.abs(x.re[n]) > Math.abs(x.re[largest])) largest = n;
  const factor = y.re[largest] / x.re[largest];
  if (!Number.isFinite(factor)) return null;
  for (let n = 0; n < x.re.length; n++) {
    const re = Math.abs(factor * x.re[n] - y.re[n]);
    const im = Math.abs(factor * x.im[n] - y.im[n]);
    if (!(re <= ROUNDING * Math.abs(y.re[n]) && im <= ROUNDING * Math.abs(y.im[n]))) return null;
  }
  return factor;
}
