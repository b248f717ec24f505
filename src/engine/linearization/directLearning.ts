// Direct learning: the output's error corrects the coefficients themselves.
//
//   c ← c + μ·argmin_d Σ |(g/h)·e[n] − Σ_i d_i·φ_i(x)[n]|²,   e = x − y/g,   h = gain from drive to output
//
// The first coefficients are those that send x as it is. A ridge shrinks the correction, not the coefficients.
// Source: common practice (damped Gauss–Newton with the amplifier's slope taken as its mean gain), no source.
import { addScaled, type Complex, type ComplexSignal, leastSquaresGain, rotate, scale } from '../dsp/complex.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { over } from './forwardModel.ts';
import { DEPENDENT_FUNCTIONS } from './indirectLearning.ts';
import {
  fitWindow,
  type LearningMethod,
  observationGain,
  observedOutput,
  overGain,
  type PassStart,
} from './learningPasses.ts';
import { fitPostInverse, residualDb } from './postInverse.ts';
import { fitTask } from './recursiveFit.ts';

/** One damped correction. The residual is the part of the corrected drive that the structure cannot follow. */
export const directPass: LearningMethod = (start) => {
  const { task, window, sent } = start;
  const range = fitWindow(task, window);
  const before = coefficientsSent(start);
  if (before === null) return DEPENDENT_FUNCTIONS;
  const output = observedOutput(task, sent.training);
  const correction = correctionOf(
    task.training,
    output,
    sent.training.drive,
    observationGain(task, task.training, output),
  );
  const fit = fitTask(task, task.structure, { observation: task.training, target: correction, window: range }, null);
  if (fit === null) return DEPENDENT_FUNCTIONS;
  if (typeof fit === 'string') return fit;
  const coefficients = addScaled(before, { re: task.settings.dampingRatio, im: 0 }, fit.coefficients);
  const { drive, output: freshOutput } = sent.selection;
  const fresh = correctionOf(task.selection, freshOutput, drive, observationGain(task, task.selection, freshOutput));
  const whole = { startSample: 0, sampleCount: fresh.re.length };
  return {
    ...fit,
    coefficients,
    residualDb: fit.residualDb + againstDriveDb(correction, sent.training.drive),
    freshResidualDb:
      residualDb(fresh, task.structure.apply(fit.coefficients, task.selection), whole) + againstDriveDb(fresh, drive),
  };
};

/** What stands in front of the amplifier now, levelling gain included; first the coefficients that change nothing. */
function coefficientsSent({ task, window, sent, coefficients }: PassStart): ComplexSignal | null {
  if (coefficients !== null) return scale(coefficients, sent.training.scale);
  const { ridge, solver } = task.settings;
  const observation = task.training;
  const target = scale(observation, sent.training.scale);
  const fit = fitPostInverse({
    structure: task.structure,
    observation,
    target,
    window: fitWindow(task, window),
    ridge,
    solver,
  });
  return fit?.coefficients ?? null;
}

/** The change of the drive that an amplifier of its mean gain needs: (g/h)·(x − y/g). */
export function correctionOf(x: ComplexSignal, y: ComplexSignal, drive: ComplexSignal, g: Complex): ComplexSignal {
  const h = over(leastSquaresGain(drive, y), 1);
  const error = addScaled(x, { re: -1, im: 0 }, overGain(y, g));
  return rotate(error, { re: g.re * h.re - g.im * h.im, im: g.re * h.im + g.im * h.re });
}

/** Residuals are told against the drive, as everywhere else. */
function againstDriveDb(correction: ComplexSignal, drive: ComplexSignal): number {
  const energy = (v: ComplexSignal) => v.re.reduce((sum, re, n) => sum + re * re + v.im[n] * v.im[n], 0);
  return powerRatioToDb(energy(correction) / energy(drive));
}
