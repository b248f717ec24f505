// Which pass of learning is kept, by what each reaches on the selection record.
import type { LearningPass } from '../../../shared/schema/report.ts';

/** What an amplifier output looks like on the selection record. */
export interface PassJudgement {
  /** Worst side of the first channel; null when it cannot be read at this sample rate. */
  readonly worstAclrDb: number | null;
  readonly evmPercent: number | null;
}

/** Larger is better: worst-side ACLR, or the error when no channel can be read. */
export function scoreOf(judged: Pick<PassJudgement, 'worstAclrDb'>, nmseDb: number): number {
  return judged.worstAclrDb ?? -nmseDb;
}

/** A smaller gain than this is scatter between records, not help. */
export const LEAST_HELP_DB = 0.1;

/** What a pass must beat. */
export interface Rivals {
  readonly baseline: PassJudgement;
  /** Score with no correction. */
  readonly without: number;
  /** Score of the coefficients that learning went on from; null where it began anew. */
  readonly initial: number | null;
}

interface Choice {
  readonly chosenPass: number | null;
  readonly bestPass: number | null;
  readonly rejectedBecause: string | null;
  readonly keepsInitial?: boolean;
}

/** The best pass where it beats no correction and what learning went on from; otherwise the better of these two. */
export function choosePass(
  made: { readonly passes: readonly LearningPass[]; readonly stoppedBecause: string | null },
  { baseline, without, initial }: Rivals,
  faults: { readonly keepLastPass?: boolean },
): Choice {
  const { passes, stoppedBecause } = made;
  const keepsInitial = initial !== null && initial > without;
  if (passes.length === 0) {
    const rejectedBecause = stoppedBecause ?? 'no pass was made';
    return { chosenPass: null, bestPass: null, rejectedBecause, keepsInitial };
  }
  const scores = passes.map((pass) => scoreOf(pass, pass.selectionNmseDb));
  let bestPass = 0;
  for (let i = 1; i < passes.length; i++) if (scores[i] > scores[bestPass]) bestPass = i;
  if (faults.keepLastPass) return { chosenPass: passes.length - 1, bestPass: passes.length - 1, rejectedBecause: null };
  const toBeat = keepsInitial ? initial : without;
  if (scores[bestPass] >= toBeat + LEAST_HELP_DB) return { chosenPass: bestPass, bestPass, rejectedBecause: null };
  const [what, sign] = baseline.worstAclrDb === null ? ['an error', -1] : ['an ACLR', 1];
  const rejectedBecause =
    `the best of ${passes.length} passes reaches ${what} of ${(sign * scores[bestPass]).toFixed(1)} dB on the selection record, ` +
    `no better than ${(sign * toBeat).toFixed(1)} dB ${keepsInitial ? 'with the stored coefficients, which are kept' : 'without correction'}`;
  return { chosenPass: null, bestPass, rejectedBecause, keepsInitial };
}

/** A pass this much worse than the best before it is no scatter: learning runs away (judgement). */
const DIVERGENCE_DB = 10;

/** What the last pass lost against the best one before it, when that is divergence; null otherwise. */
export function divergenceOf(passes: readonly LearningPass[]): string | null {
  const scores = passes.map((pass) => scoreOf(pass, pass.selectionNmseDb));
  const last = scores.at(-1) ?? 0;
  const best = Math.max(...scores.slice(0, -1));
  if (!(best - last > DIVERGENCE_DB)) return null;
  return (
    `pass ${passes.length} came out ${(best - last).toFixed(1)} dB worse than pass ${scores.indexOf(best) + 1}: ` +
    'learning diverges here; use a ridge, fewer orders or taps, more damping or more output back-off'
  );
}
