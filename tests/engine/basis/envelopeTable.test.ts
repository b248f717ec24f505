// Tables of complex gain: against sums written out, QR of the matrix itself, and what an entry without data does.
import { describe, expect, test } from 'vitest';
import { envelopeTableRegressors } from '../../../src/engine/basis/envelopeTable.ts';
import { type ComplexSignal, zeros } from '../../../src/engine/dsp/complex.ts';
import { solveByCholesky } from '../../../src/engine/dsp/leastSquares.ts';
import { fitPostInverse } from '../../../src/engine/linearization/postInverse.ts';
import { lcgUniform } from '../../reference/lcg.ts';

const LENGTH = 3000;
/** Amplitudes spread over 0 … 1. */
const x = signalOf(LENGTH, 7);

function signalOf(length: number, seed: number): ComplexSignal {
  const u = lcgUniform(2 * length, seed);
  const out = zeros(length);
  for (let n = 0; n < length; n++) {
    const radius = u[2 * n] + 0.5;
    const angle = 2 * Math.PI * u[2 * n + 1];
    out.re[n] = radius * Math.cos(angle);
    out.im[n] = radius * Math.sin(angle);
  }
  return out;
}

function largestDifference(a: ComplexSignal, b: ComplexSignal): number {
  let largest = 0;
  for (let n = 0; n < a.re.length; n++) {
    largest = Math.max(largest, Math.abs(a.re[n] - b.re[n]), Math.abs(a.im[n] - b.im[n]));
  }
  return largest;
}

describe('reading a table', () => {
  // Source: the definition, sample by sample: neighbours' straight line at 0.3 of the step, and the nearer entry.
  test.each([
    ['linear', 0.7 * 2 + 0.3 * 4],
    ['nearest', 2],
  ] as const)('%s between two entries, the last one held beyond the range', (interpolation, expected) => {
    const table = envelopeTableRegressors({ entryCount: 3, memoryDepth: 1, interpolation, range: 2 });
    const gains = { re: Float64Array.of(1, 2, 4), im: new Float64Array(3) };
    const drive = { re: Float64Array.of(1.3, 5), im: new Float64Array(2) };
    const { re } = table.apply(gains, drive);
    expect(re[0]).toBeCloseTo(1.3 * expected, 12);
    expect(re[1]).toBeCloseTo(5 * 4, 12);
  });

  // Source: the sum over taps by hand; records are periodic.
  test('one table a tap', () => {
    const table = envelopeTableRegressors({ entryCount: 2, memoryDepth: 2, interpolation: 'linear', range: 1 });
    const gains = { re: Float64Array.of(1, 1, 0.5, 0), im: new Float64Array(4) };
    const drive = { re: Float64Array.of(0.2, 0.4, 0.6), im: new Float64Array(3) };
    const expected = [0.2 + 0.6 * 0.5 * 0.4, 0.4 + 0.2 * 0.5 * 0.8, 0.6 + 0.4 * 0.5 * 0.6];
    expect([...table.apply(gains, drive).re].map((v) => v.toFixed(12))).toEqual(expected.map((v) => v.toFixed(12)));
  });
});

describe('fitting a table', () => {
  const table = envelopeTableRegressors({ entryCount: 9, memoryDepth: 3, interpolation: 'linear', range: 1 });

  // Source: ΦᴴΦ and Φᴴu multiplied out from the columns, and a row for each tie.
  test.each(['linear', 'nearest'] as const)('normal equations are those of the columns: %s', (interpolation) => {
    const one = envelopeTableRegressors({ entryCount: 6, memoryDepth: 3, interpolation, range: 0.8 });
    const target = signalOf(LENGTH, 8);
    for (const window of ['whole', { startSample: 2900, sampleCount: 700 }] as const) {
      const range = window === 'whole' ? { startSample: 0, sampleCount: LENGTH } : window;
      const { gram, rightSide, termCount } = one.normalEquations(x, target, window);
      const columns = one.columns(x, range);
      const ties = one.ties?.(x, range.sampleCount) ?? [];
      for (let i = 0; i < termCount; i++) {
        let rRe = 0;
        for (let k = 0; k < range.sampleCount; k++) {
          const n = (range.startSample + k) % LENGTH;
          rRe += columns[i].re[k] * target.re[n] + columns[i].im[k] * target.im[n];
        }
        expect(Math.abs(rightSide.re[i] - rRe)).toBeLessThan(1e-9);
        for (let j = 0; j < termCount; j++) {
          let re = 0;
          let im = 0;
          for (let k = 0; k < range.sampleCount; k++) {
            re += columns[i].re[k] * columns[j].re[k] + columns[i].im[k] * columns[j].im[k];
            im += columns[i].re[k] * columns[j].im[k] - columns[i].im[k] * columns[j].re[k];
          }
          for (const { first, second, weight } of ties) {
            const at = (place: number) => (place === first ? weight : place === second ? -weight : 0);
            re += at(i) * at(j);
          }
          expect(Math.abs(gram.re[i * termCount + j] - re)).toBeLessThan(1e-9);
          expect(Math.abs(gram.im[i * termCount + j] - im)).toBeLessThan(1e-9);
        }
      }
    }
  });

  // Source: a target that the table itself made is in its span.
  test('finds the table that made the record', () => {
    const gains = { re: new Float64Array(27), im: new Float64Array(27) };
    gains.re.forEach((_, i) => {
      gains.re[i] = Math.cos(i / 9);
      gains.im[i] = Math.sin(i / 5);
    });
    const target = table.apply(gains, x);
    for (const solver of ['cholesky', 'qr'] as const) {
      const fit = fitPostInverse({ structure: table, observation: x, target, window: 'whole', ridge: 0, solver });
      if (fit === null) throw new Error('no fit');
      // The ties pull by a thousandth of a difference of neighbours, more where an entry has little energy.
      expect(fit.residualDb).toBeLessThan(-55);
      expect(largestDifference(table.apply(fit.coefficients, x), target)).toBeLessThan(0.03);
    }
  });

  // Source: the tie alone decides there, and it wants no difference: the last entry reached is held.
  test('entries never reached take the gain of the last one reached', () => {
    const wide = envelopeTableRegressors({ entryCount: 40, memoryDepth: 2, interpolation: 'linear', range: 4 });
    const { gram, rightSide } = wide.normalEquations(x, x, 'whole');
    const c = solveByCholesky(gram, rightSide, 0);
    if (c === null) throw new Error('singular');
    for (let i = 0; i < 40; i++) expect(c.re[i]).toBeCloseTo(1, 6);
    for (let i = 40; i < 80; i++) expect(Math.abs(c.re[i])).toBeLessThan(1e-6);
  });

  // Source: QR of the regressor matrix with the ties' rows is another route to the same minimum.
  test('Cholesky and QR agree', () => {
    const target = { re: x.re.map((v, n) => v * (1 - 0.2 * x.re[n] ** 2)), im: x.im };
    const task = { structure: table, observation: x, target, window: 'whole' as const, ridge: 0 };
    const a = fitPostInverse({ ...task, solver: 'cholesky' });
    const b = fitPostInverse({ ...task, solver: 'qr' });
    if (a === null || b === null) throw new Error('no fit');
    expect(largestDifference(table.apply(a.coefficients, x), table.apply(b.coefficients, x))).toBeLessThan(1e-9);
  });
});
