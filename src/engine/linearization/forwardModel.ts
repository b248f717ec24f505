// Forward-model learning: fit the amplifier, drive to observation, and invert the fit on the training waveform.
//
//   M = argmin Σ |y[n] − Σ_i m_i·φ_i(u)[n]|²           noise is on the side it does not bias
//   u ← hold(u + (g·x − M(u))/g₀)  until it settles      g₀ the model's mean gain from u to M(u)
//   c = argmin Σ |u[n] − Σ_i c_i·φ_i(x)[n]|²
//
// Source: common practice (plant inversion by iteration); the iteration is the contraction |1 − M′/g₀| < 1.
import { memoryPolynomialStructure } from '../basis/memoryPolynomial.ts';
import { polynomialRegressors, type Regressors } from '../basis/regressors.ts';
import {
  addScaled,
  type Complex,
  type ComplexSignal,
  leastSquaresGain,
  meanPower,
  peakPower,
  rotate,
} from '../dsp/complex.ts';
import { holdAmplitude } from './idealLimiter.ts';
import { DEPENDENT_FUNCTIONS } from './indirectLearning.ts';
import { fitWindow, type LearningMethod, observationGain, observedOutput, type PassStart } from './learningPasses.ts';
import { fitPostInverse, residualDb } from './postInverse.ts';
import { fitTask } from './recursiveFit.ts';

const MOST_STEPS = 60;
/** Change of the drive against its power at which the inversion has settled. */
const SETTLED_RATIO = 1e-20;
/** How far beyond the drive it was fitted to a polynomial model is believed: 2 dB (judgement). */
const RANGE_RATIO = 1.26;

/** One pass by way of a model: the residual is that of the predistorter against the inverted drive. */
export const forwardModelPass: LearningMethod = (start) => {
  const { task, window, sent } = start;
  const { ridge, solver } = task.settings;
  const model = modelOf(task.settings.forwardModel, task.structure);
  const output = observedOutput(task, sent.training);
  const range = fitWindow(task, window);
  const input = { observation: sent.training.drive, target: output, window: range };
  const modelFit = fitTask(task, model, input, null);
  if (modelFit === null) return 'the amplifier model’s functions cannot be told apart; use a smaller model or a ridge';
  if (typeof modelFit === 'string') return modelFit;
  const gain = observationGain(task, task.training, output);
  const bound = Math.min(start.ceiling, RANGE_RATIO * Math.sqrt(peakPower(sent.training.drive)));
  const modelled = (u: ComplexSignal) => model.apply(modelFit.coefficients, u);
  const target = invert(modelled, task.training, gain, sent.training.drive, bound);
  const fit = fitPostInverse({
    structure: task.structure,
    observation: task.training,
    target,
    window: range,
    ridge,
    solver,
  });
  if (fit === null) return DEPENDENT_FUNCTIONS;
  const freshTarget = invert(modelled, task.selection, gain, sent.selection.drive, bound);
  const fresh = residualDb(freshTarget, task.structure.apply(fit.coefficients, task.selection), wholeOf(start));
  return { ...fit, freshResidualDb: fresh, convergence: modelFit.convergence };
};

function modelOf(settings: PassStart['task']['settings']['forwardModel'], own: Regressors): Regressors {
  if (settings === null) return own;
  return polynomialRegressors(memoryPolynomialStructure(settings.nonlinearOrders, settings.memoryDepth));
}

function wholeOf({ task }: PassStart) {
  return { startSample: 0, sampleCount: task.selection.re.length };
}

/**
 * The drive for which the model gives gain·wanted, none of its samples larger than `bound`. Where the iteration stops
 * approaching, its nearest drive.
 */
export function invert(
  model: (u: ComplexSignal) => ComplexSignal,
  wanted: ComplexSignal,
  gain: Complex,
  start: ComplexSignal,
  bound: number,
): ComplexSignal {
  const aim = rotate(wanted, gain);
  const held = (u: ComplexSignal) => (bound === Infinity ? u : holdAmplitude(u, bound));
  let nearest = held(start);
  let error = errorOf(model, aim, nearest);
  let share = 1;
  for (let step = 0; step < MOST_STEPS && share > 0.05; step++) {
    const next = held(addScaled(nearest, over(error.gain, share), error.signal));
    const change = meanPower(addScaled(next, { re: -1, im: 0 }, nearest));
    const reached = errorOf(model, aim, next);
    if (!(reached.power < error.power)) {
      share /= 2;
      continue;
    }
    [nearest, error] = [next, reached];
    if (change < SETTLED_RATIO * meanPower(next)) break;
  }
  return nearest;
}

function errorOf(model: (u: ComplexSignal) => ComplexSignal, aim: ComplexSignal, u: ComplexSignal) {
  const y = model(u);
  const signal = addScaled(aim, { re: -1, im: 0 }, y);
  return { signal, power: meanPower(signal), gain: leastSquaresGain(u, y) };
}

/** share/g. */
export function over(g: Complex, share: number): Complex {
  const power = g.re * g.re + g.im * g.im;
  return { re: (share * g.re) / power, im: (-share * g.im) / power };
}
