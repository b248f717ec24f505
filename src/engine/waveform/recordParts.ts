// A record from outside cut into parts, each made one period.
//
// Part s of n samples. Where its end does not lead to its beginning, the last F samples fade into the first F:
//   y[i] = a(i)·x[i] + b(i)·x[L + i], 0 ≤ i < F;   y[i] = x[i], F ≤ i < L;   L = n − F
//   a = sin(π/2·sin²(π/2·u)), b = cos(π/2·sin²(π/2·u)), u = (i + ½)/F
// so that y[L] would be x[L]: the step is gone. a² + b² = 1 keeps the power of what is uncorrelated, and flat ends keep
// the skirts low. The join is judged as in dsp/recordPeriod.
import type { ComplexSignal, Samples } from '../dsp/complex.ts';
import { greatestCommonDivisor } from '../dsp/denominator.ts';
import { type JoinSigns, joinSigns, readsAsOnePeriod } from '../dsp/recordPeriod.ts';
import type { SuppliedRecord } from '../dsp/waveformTypes.ts';

export interface PartPlan {
  /** Distance of the parts' starts in the record. */
  readonly partSamples: number;
  /** Length of one period made of a part. */
  readonly periodSamples: number;
  /** 0 where no fade is needed or wanted. */
  readonly fadeSamples: number;
  /** The worst join of all parts, before and after the fade. */
  readonly uncured: JoinSigns;
  readonly cured: JoinSigns | null;
  readonly isUncuredPeriod: boolean;
  readonly isCuredPeriod: boolean;
}

/** Lengths that are multiples of these suit most pairs of rates; the largest that costs below 1 % of a part. */
const LENGTH_UNITS = [1000, 125, 1];
const UNIT_SHARE = 100;
const LEAST_FADE = 32;
/** Shorter, the join cannot be judged. */
const LEAST_PERIOD = 512;

/**
 * How a record is cut. Parts that are periods keep their length; others are faded and, as they are cut anyway, shortened
 * to a multiple of `multiple`, so that they hold whole samples at another rate.
 */
export function planParts(record: SuppliedRecord, partCount: number, joinRatio: number, multiple: number): PartPlan {
  const partSamples = Math.floor(record.signal.re.length / partCount);
  const whole = { partSamples, periodSamples: partSamples, fadeSamples: 0 };
  const uncured = worstJoin(record.signal, whole, partCount);
  const untouched = { ...whole, uncured, cured: null, isUncuredPeriod: true, isCuredPeriod: true };
  if (readsAsOnePeriod(uncured)) {
    if (partSamples % multiple === 0) return untouched;
    // Where no join can be told from the rest, as in noise that fills the rate, another length does as well.
    const shorter = { ...whole, periodSamples: Math.floor(partSamples / multiple) * multiple };
    const isAlike =
      shorter.periodSamples >= LEAST_PERIOD && readsAsOnePeriod(worstJoin(record.signal, shorter, partCount));
    return isAlike ? { ...untouched, ...shorter } : untouched;
  }
  const fadeSamples = joinRatio === 0 ? 0 : Math.max(LEAST_FADE, Math.round(joinRatio * partSamples));
  const units = LENGTH_UNITS.map((unit) => commonMultiple(unit, multiple));
  const unit = units.find((length) => partSamples >= UNIT_SHARE * length) ?? multiple;
  const periodSamples = Math.floor((partSamples - fadeSamples) / unit) * unit;
  const cut = { partSamples, periodSamples, fadeSamples };
  if (periodSamples < Math.max(LEAST_PERIOD, 2 * fadeSamples))
    return { ...untouched, isUncuredPeriod: false, isCuredPeriod: false };
  const cured = worstJoin(record.signal, cut, partCount);
  return { ...cut, uncured, cured, isUncuredPeriod: false, isCuredPeriod: readsAsOnePeriod(cured) };
}

type Cut = Pick<PartPlan, 'partSamples' | 'periodSamples' | 'fadeSamples'>;

/** One period made of the part that a seed takes: part seed mod partCount. */
export function takePart(x: ComplexSignal, cut: Cut, partCount: number, seed: number): ComplexSignal {
  const start = (seed % partCount) * cut.partSamples;
  return { re: faded(x.re, start, cut), im: faded(x.im, start, cut) };
}

function faded(values: Samples, start: number, { periodSamples, fadeSamples }: Cut): Samples {
  const out = values.slice(start, start + periodSamples);
  for (let i = 0; i < fadeSamples; i++) {
    const s = Math.sin((Math.PI / 2) * ((i + 0.5) / fadeSamples));
    const angle = (Math.PI / 2) * s * s;
    out[i] = Math.sin(angle) * out[i] + Math.cos(angle) * values[start + periodSamples + i];
  }
  return out;
}

function worstJoin(x: ComplexSignal, cut: Cut, partCount: number): JoinSigns {
  let worst: JoinSigns = { stepRatio: 0, spectrumRatio: 0 };
  for (let part = 0; part < partCount; part++) {
    const signs = joinSigns(takePart(x, cut, partCount, part));
    const [isPeriod, wasPeriod] = [readsAsOnePeriod(signs), readsAsOnePeriod(worst)];
    const isWorse = isPeriod === wasPeriod ? signs.spectrumRatio > worst.spectrumRatio : wasPeriod;
    if (isWorse) worst = signs;
  }
  return worst;
}

function commonMultiple(a: number, b: number): number {
  return (a / greatestCommonDivisor(a, b)) * b;
}
