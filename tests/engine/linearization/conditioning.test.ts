// Condition numbers and solvers on the reference bench: the Quarry Link amplifier at 9 dB output back-off, whose output is
// the observation of the first pass.

import { describe, expect, test } from 'vitest';
import { quarryLink } from '../../../shared/presets/quarryLink.ts';
import { accumulateNormalEquations, regressorColumns } from '../../../src/engine/basis/gram.ts';
import { applyBasis, memoryPolynomialStructure } from '../../../src/engine/basis/memoryPolynomial.ts';
import { polynomialRegressors } from '../../../src/engine/basis/regressors.ts';
import { type ComplexSignal, leastSquaresGain, meanPower, rotate, scale } from '../../../src/engine/dsp/complex.ts';
import { conditionOfGram, solveByQr, solveNormalEquations } from '../../../src/engine/dsp/leastSquares.ts';
import { fitPostInverse, residualDb } from '../../../src/engine/linearization/postInverse.ts';
import { driveUncorrected } from '../../../src/engine/simulation/chain.ts';
import { checkScenario } from '../../../src/engine/simulation/checkScenario.ts';
import { generateWaveform } from '../../../src/engine/waveform/multicarrier.ts';

function firstPass() {
  const checked = checkScenario({ ...quarryLink, operatingPoint: { outputBackoffDb: 9 } });
  if (checked.kind === 'invalid') throw new Error(JSON.stringify(checked.issues));
  const { waveform } = generateWaveform(checked.setup.waveform, 2);
  const driven = driveUncorrected(checked.setup, waveform);
  if (!('output' in driven)) throw new Error(JSON.stringify(driven));
  const { drive, output } = driven;
  const g = leastSquaresGain(drive, output);
  const power = g.re ** 2 + g.im ** 2;
  return { drive, output, observation: rotate(output, { re: g.re / power, im: -g.im / power }) };
}

const { drive, output, observation } = firstPass();
const unitRms = scale(output, 1 / Math.sqrt(meanPower(output)));
const whole = { startSample: 0, sampleCount: drive.re.length };

// Source: product check F18, computed with numpy on a record of its own seed: data-matrix condition number with the
// output at unit rms, raw and with columns scaled to unit rms. Factor 3, as stated there.
describe('F18: condition numbers at ninth order', () => {
  test.each([
    [5, 3.8e6, 1.6e5],
    [1, 1.7e3, 360],
  ])('%i taps: raw %d, scaled %d', (memoryDepth, raw, scaled) => {
    const structure = memoryPolynomialStructure([1, 3, 5, 7, 9], memoryDepth);
    const { gram, rightSide } = accumulateNormalEquations(structure, unitRms, drive, 'whole');
    const solution = solveNormalEquations(gram, rightSide, 0);
    const ratios = [(solution?.rawConditionNumber ?? 0) / raw, (solution?.conditionNumber ?? 0) / scaled];
    for (const ratio of ratios) expect(Math.max(ratio, 1 / ratio)).toBeLessThan(3);
    expect(conditionOfGram(gram, structure.terms.length)).toBe(solution?.rawConditionNumber);
  });

  test('a fit reports both, whatever the scale of its observation', () => {
    const structure = memoryPolynomialStructure([1, 3, 5, 7, 9], 1);
    const { gram, rightSide } = accumulateNormalEquations(structure, unitRms, drive, 'whole');
    const solution = solveNormalEquations(gram, rightSide, 0);
    const fit = fitPostInverse({
      structure: polynomialRegressors(structure),
      observation,
      target: drive,
      window: 'whole',
      ridge: 0,
      solver: 'cholesky',
    });
    expect((fit?.conditionNumber ?? 0) / (solution?.conditionNumber ?? 1)).toBeCloseTo(1, 6);
    expect((fit?.rawConditionNumber ?? 0) / (solution?.rawConditionNumber ?? 1)).toBeCloseTo(1, 6);
  });
});

// Source: pitfall P24: normal equations square the condition number; compare with QR in double, residual difference below
// 0.1 dB. Consecutive samples of a fifth of the record, so that QR stays quick.
describe('P24: Cholesky against QR', () => {
  const window = { startSample: 1000, sampleCount: 40000 };
  const cut = (x: ComplexSignal) => ({
    re: x.re.slice(window.startSample, window.startSample + window.sampleCount),
    im: x.im.slice(window.startSample, window.startSample + window.sampleCount),
  });

  test.each([
    [[1, 3, 5, 7], 3],
    [[1, 3, 5, 7, 9], 3],
    [[1, 3, 5, 7, 9], 5],
    [[1, 2, 3, 4, 5, 6, 7], 3],
  ])('orders %j, %i taps', (orders, memoryDepth) => {
    const structure = memoryPolynomialStructure(orders, memoryDepth);
    const task = { structure: polynomialRegressors(structure), observation, target: drive, window, ridge: 0 };
    const cholesky = fitPostInverse({ ...task, solver: 'cholesky' });
    const qr = fitPostInverse({ ...task, solver: 'qr' });
    expect(Math.abs((cholesky?.residualDb ?? 0) - (qr?.residualDb ?? 100))).toBeLessThan(0.1);
    expect(cholesky?.residualDb).toBeLessThan(-35);
    // An independent path to the same residual.
    const c = solveByQr(regressorColumns(structure, unitRms, window), cut(drive)) as ComplexSignal;
    expect(residualDb(drive, applyBasis(structure, c, unitRms), window)).toBeCloseTo(qr?.residualDb ?? 0, 6);
  });

  // Source: architecture: beyond a condition number of 1e5 the solution is confirmed by QR, as a difference of signals.
  test('an ill-conditioned fit says how far both solvers differ', () => {
    const task = { observation, target: drive, window, ridge: 0, solver: 'cholesky' as const };
    const large = fitPostInverse({
      ...task,
      structure: polynomialRegressors(memoryPolynomialStructure([1, 3, 5, 7, 9], 5)),
    });
    const small = fitPostInverse({
      ...task,
      structure: polynomialRegressors(memoryPolynomialStructure([1, 3, 5, 7, 9], 1)),
    });
    expect(small?.solverDifferenceDb).toBeNull();
    expect(large?.conditionNumber).toBeGreaterThan(1e5);
    expect(large?.solverDifferenceDb).toBeLessThan(-60);
  });
});

describe('fitPostInverse', () => {
  const structure = memoryPolynomialStructure([1, 3, 5, 7, 9], 3);
  const task = {
    structure: polynomialRegressors(structure),
    observation,
    target: drive,
    window: 'whole',
    ridge: 0,
    solver: 'cholesky',
  } as const;

  // Source: definition of the residual, over the samples fitted.
  test('its residual is that of its coefficients', () => {
    const fit = fitPostInverse(task);
    const fitted = applyBasis(structure, fit?.coefficients as ComplexSignal, observation);
    expect(fit?.residualDb).toBeCloseTo(residualDb(drive, fitted, whole), 8);
  });

  // Source: a ridge trades residual for size: with λ on the unit diagonal Σ G_ii·|c_i|² falls and the residual rises.
  test('a ridge shrinks the coefficients and raises the residual', () => {
    const { gram } = accumulateNormalEquations(structure, observation, drive, 'whole');
    const count = structure.terms.length;
    const size = ({ re, im }: ComplexSignal) =>
      re.reduce((sum, value, i) => sum + gram.re[i * count + i] * (value * value + im[i] * im[i]), 0);
    const fits = [0, 1e-8, 1e-5, 1e-2].map((ridge) => fitPostInverse({ ...task, ridge }));
    for (let i = 1; i < fits.length; i++) {
      expect(size(fits[i]?.coefficients as ComplexSignal)).toBeLessThan(
        size(fits[i - 1]?.coefficients as ComplexSignal),
      );
      expect(fits[i]?.residualDb).toBeGreaterThan(fits[i - 1]?.residualDb ?? 0);
    }
  });

  // Source: scaling the observation by s scales a coefficient of order k by s^−k: the same signal comes out.
  test('does not care about the scale of the observation', () => {
    const fit = fitPostInverse(task);
    const scaled = fitPostInverse({ ...task, observation: scale(observation, 0.01) });
    expect(scaled?.residualDb).toBeCloseTo(fit?.residualDb ?? 0, 6);
    structure.terms.forEach(({ nonlinearOrder }, i) => {
      const back = (scaled?.coefficients.re[i] ?? 0) * 0.01 ** nonlinearOrder;
      expect(Math.abs(back - (fit?.coefficients.re[i] ?? 0))).toBeLessThan(
        1e-5 * Math.abs(fit?.coefficients.re[i] ?? 0),
      );
    });
  });

  test('dependent columns give null', () => {
    const twice = { terms: [...structure.terms, structure.terms[0]] };
    expect(fitPostInverse({ ...task, structure: polynomialRegressors(twice) })).toBeNull();
    const window = { startSample: 0, sampleCount: 2000 };
    expect(fitPostInverse({ ...task, structure: polynomialRegressors(twice), window, solver: 'qr' })).toBeNull();
    expect(fitPostInverse({ ...task, structure: polynomialRegressors(twice), ridge: 1e-9 })).not.toBeNull();
  });
});
