// Indirect learning: the post-inverse that turns the observed output back into the drive sent, copied in front.
//
//   c_k = argmin Σ |u_k − Σ_i c_i·φ_i(y_k/g_k)|²
//
// Source: Eun and Powers 1997 (from memory).

import { scale } from '../dsp/complex.ts';
import {
  fitInput,
  type LearningMethod,
  type LearningResult,
  type LearningTask,
  learnByPasses,
  observationGain,
  overGain,
  type PassStart,
} from './learningPasses.ts';
import { type PostInverseFit, residualDb } from './postInverse.ts';
import { fitTask } from './recursiveFit.ts';

export type {
  FitInput,
  LearningBench,
  LearningFaults,
  LearningResult,
  LearningTask,
  Levelled,
  PassJudgement,
} from './learningPasses.ts';
export { firstFitInput, LEAST_HELP_DB } from './learningPasses.ts';

export const DEPENDENT_FUNCTIONS = 'the basis functions cannot be told apart; use fewer orders or taps, or a ridge';

/** One indirect pass: the residual is that of the post-inverse. */
export const indirectPass: LearningMethod = (start) => {
  const { task, sent, window, coefficients } = start;
  const startFrom = coefficients && scale(coefficients, sent.training.scale);
  const fit = fitTask(task, task.structure, fitInput(task, sent.training, window), startFrom);
  if (fit === null) return DEPENDENT_FUNCTIONS;
  return typeof fit === 'string' ? fit : { ...fit, freshResidualDb: freshResidual(start, fit) };
};

export function learnIndirectly(task: LearningTask): LearningResult {
  return learnByPasses(task, indirectPass);
}

function freshResidual({ task, sent: { selection } }: PassStart, fit: PostInverseFit): number {
  const gain = observationGain(task, task.selection, selection.output);
  const fitted = task.structure.apply(fit.coefficients, overGain(selection.output, gain));
  return residualDb(selection.drive, fitted, { startSample: 0, sampleCount: selection.drive.re.length });
}
