// Numbers that no record holds: not finite, or larger than any converter and any simulation gives.
import type { Issue } from '../../../shared/schema/issue.ts';
import type { ComplexSignal } from '../dsp/complex.ts';

/** Larger magnitudes come of bytes read as the wrong type. */
export const PLAUSIBLE_MAGNITUDE = 1e15;

/** The first sample that cannot be, or null. `placeOf` names the sample of an index. */
export function impossibleSample(
  { re, im }: ComplexSignal,
  placeOf: (index: number) => string,
  remedy: string,
): Issue | null {
  for (let n = 0; n < re.length; n++) {
    if (Math.abs(re[n]) <= PLAUSIBLE_MAGNITUDE && Math.abs(im[n]) <= PLAUSIBLE_MAGNITUDE) continue;
    const rule = `must be a finite number below ${PLAUSIBLE_MAGNITUDE}`;
    return { path: placeOf(n), rule, value: `${re[n]} + j·${im[n]}`, remedy };
  }
  return null;
}
