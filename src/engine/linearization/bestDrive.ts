// The best possible drive: sample-wise iterative learning on the record itself, which no structure limits.
//
//   u ← hold(u + s·(g/h)·(x − y/g)),   levelled to the wanted mean output power each time
//
// g is the least-squares gain of y against the wanted x, h its gain against the drive sent. The drive of least total error
// is kept. A reference only: it holds for this record and amplifier, and nothing could compute it ahead of the samples.
// Source: iterative learning control of amplifiers (Chani-Cahuana et al. 2016, from memory).
import { addScaled, type ComplexSignal, leastSquaresGain, scale } from '../dsp/complex.ts';
import { correctionOf } from './directLearning.ts';
import { holdAmplitude } from './idealLimiter.ts';
import type { LearningBench } from './learningPasses.ts';

export interface BestDriveTask {
  /** The wanted waveform. */
  readonly wanted: ComplexSignal;
  /** A drive to begin with, and the output it gives. */
  readonly start: { readonly drive: ComplexSignal; readonly output: ComplexSignal };
  readonly passCount: number;
  /** Largest drive amplitude; Infinity for none. */
  readonly ceiling: number;
  readonly bench: Pick<LearningBench, 'amplify' | 'level' | 'measureNmseDb'>;
  readonly onPass?: (passIndex: number) => void;
}

export interface BestDrive {
  readonly drive: ComplexSignal;
  readonly output: ComplexSignal;
  readonly nmseDb: number;
  /** Total error after each pass. */
  readonly passNmseDb: readonly number[];
}

/** Below this share of the correction no drive nearer to the wanted one is found. */
const LEAST_SHARE = 0.1;

/** Null when no pass reaches the wanted power behind the ceiling. */
export function findBestDrive({ wanted, start, passCount, ceiling, bench, onPass }: BestDriveTask): BestDrive | null {
  const held = (u: ComplexSignal) => (ceiling === Infinity ? u : holdAmplitude(u, ceiling));
  const passNmseDb: number[] = [];
  let best: BestDrive | null = null;
  let from: Pick<BestDrive, 'drive' | 'output'> = start;
  let share = 1;
  for (let pass = 0; pass < passCount && share >= LEAST_SHARE; pass++) {
    onPass?.(pass);
    const g = leastSquaresGain(wanted, from.output);
    const asked = addScaled(from.drive, { re: share, im: 0 }, correctionOf(wanted, from.output, from.drive, g));
    const sent = bench.level((u) => bench.amplify(held(u)), asked, 1);
    if (sent === null) break;
    const nmseDb = bench.measureNmseDb(wanted, sent.output);
    passNmseDb.push(nmseDb);
    if (best !== null && nmseDb >= best.nmseDb) {
      share /= 2;
      continue;
    }
    best = { drive: held(scale(asked, sent.scale)), output: sent.output, nmseDb, passNmseDb };
    from = best;
  }
  return best;
}
