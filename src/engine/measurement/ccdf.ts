// Peaks of the envelope: exceedance curve (CCDF) and peak-to-average power ratio at a stated probability.
//
// γ = |x|²/mean|x|². For a complex Gaussian signal Pr(γ > g) = exp(−g), so the level at probability p is
// 10·log10(ln 1/p): 3.62, 6.63, 8.39, 9.64 dB at 10⁻¹ … 10⁻⁴ (exponential law of the squared Rayleigh envelope).
import type { CcdfTrace, PaprPoint } from '../../../shared/schema/report.ts';
import { type ComplexSignal, meanPower, peakPower, type Samples } from '../dsp/complex.ts';
import { dbToPowerRatio, powerRatioToDb } from '../dsp/decibels.ts';
import { exceedancesOf, exceededPower } from '../dsp/exceedance.ts';

/**
 * Share of samples whose power lies above each level over the mean.
 * @param levelsDb rising, in dB over the mean power.
 * @throws RangeError when the levels do not rise or the signal is empty or silent.
 */
export function ccdf(signal: ComplexSignal, levelsDb: ArrayLike<number>): Samples {
  const mean = requirePower('ccdf', signal);
  const count = levelsDb.length;
  const limits = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    limits[i] = mean * dbToPowerRatio(levelsDb[i]);
    if (i > 0 && !(limits[i] > limits[i - 1])) {
      throw new RangeError(`ccdf: levels must rise, got ${levelsDb[i - 1]} dB before ${levelsDb[i]} dB`);
    }
  }
  const passing = countPassing(signal, limits);
  const probability = new Float64Array(count);
  let above = 0;
  for (let i = count - 1; i >= 0; i--) {
    above += passing[i + 1];
    probability[i] = above / signal.re.length;
  }
  return probability;
}

/** Cells of the table that a power is looked up in. */
const CELLS = 4096;

/** How many samples have exactly the first i of the rising limits below them, i = 0 … limits.length. */
function countPassing({ re, im }: ComplexSignal, limits: Samples): Samples {
  const count = limits.length;
  const passing = new Float64Array(count + 1);
  const cellsPerPower = CELLS / limits[count - 1];
  const firstOfCell = new Int32Array(CELLS);
  for (let cell = 0, i = 0; cell < CELLS; cell++) {
    while (i < count && limits[i] * cellsPerPower < cell) i++;
    // One lower where rounding may have put a limit into the cell before its own.
    firstOfCell[cell] = Math.max(0, i - 1);
  }
  for (let n = 0; n < re.length; n++) {
    const power = re[n] * re[n] + im[n] * im[n];
    const cell = power * cellsPerPower;
    let i = cell < CELLS ? firstOfCell[cell | 0] : count - 1;
    while (i < count && limits[i] < power) i++;
    passing[i]++;
  }
  return passing;
}

/** Exceedance of a complex Gaussian signal at each level over the mean: exp(−10^(level/10)). */
export function gaussianCcdf(levelsDb: ArrayLike<number>): Samples {
  const probability = new Float64Array(levelsDb.length);
  for (let i = 0; i < levelsDb.length; i++) probability[i] = Math.exp(-dbToPowerRatio(levelsDb[i]));
  return probability;
}

/**
 * Level over the mean exceeded with this probability, in dB; null when fewer than 10 samples lie beyond it, because the
 * record is then too short to tell.
 * @throws RangeError when the probability is outside (0, 1) or the signal is empty or silent.
 */
export function paprAtProbability(signal: ComplexSignal, probability: number): number | null {
  const mean = requirePower('paprAtProbability', signal);
  const power = exceededPower(signal, probability);
  return power === null ? null : powerRatioToDb(power / mean);
}

/** Probabilities a report lists. */
export const PAPR_PROBABILITIES: readonly number[] = [1e-1, 1e-2, 1e-3, 1e-4, 1e-5];

/**
 * `paprAtProbability` at each of the report's probabilities. With the signal's oversampling ratio (sample rate over
 * occupied bandwidth) each has its spread, and is null where less than one independent sample lies beyond.
 */
export function measurePapr(signal: ComplexSignal, oversamplingRatio: number | null = null): PaprPoint[] {
  const mean = requirePower('measurePapr', signal);
  const levels = exceedancesOf(signal, PAPR_PROBABILITIES, oversamplingRatio ?? 1);
  return PAPR_PROBABILITIES.map((probability, i) => {
    const level = levels[i];
    const db = level === null ? null : powerRatioToDb(level.power / mean);
    if (oversamplingRatio === null) return { probability, db };
    return { probability, db, spreadDb: level && powerRatioToDb(level.highPower / level.lowPower) / 2 };
  });
}

const CURVE_FROM_DB = -6;
const CURVE_TO_DB = 14;
const CURVE_STEPS_PER_DB = 10;

/** Levels of a plotted curve: −6 … 14 dB over the mean in tenths. */
export function ccdfLevelsDb(): Samples {
  return Float64Array.from(
    { length: (CURVE_TO_DB - CURVE_FROM_DB) * CURVE_STEPS_PER_DB + 1 },
    (_, i) => CURVE_FROM_DB + i / CURVE_STEPS_PER_DB,
  );
}

/** Exceedance curve over the plotted levels. */
export function measureCcdf(signal: ComplexSignal): CcdfTrace {
  const levelDb = ccdfLevelsDb();
  return { levelDb, probability: ccdf(signal, levelDb) };
}

/** The curve of a complex Gaussian signal over the plotted levels. */
export function gaussianCcdfTrace(): CcdfTrace {
  const levelDb = ccdfLevelsDb();
  return { levelDb, probability: gaussianCcdf(levelDb) };
}

/** Largest sample over the mean of this record, in dB. Grows with the record: state its length beside it. */
export function crestFactorDb(signal: ComplexSignal): number {
  return powerRatioToDb(peakPower(signal) / requirePower('crestFactorDb', signal));
}

function requirePower(where: string, signal: ComplexSignal): number {
  const mean = meanPower(signal);
  if (!(mean > 0))
    throw new RangeError(`${where}: ${signal.re.length} samples with mean power ${mean}; needs a signal`);
  return mean;
}
