import { describe, expect, test } from 'vitest';
import { chirpPlan } from '../../../src/engine/dsp/chirpTransform.ts';
import type { ComplexSignal } from '../../../src/engine/dsp/complex.ts';
import { fft, inverseFft, transformOf } from '../../../src/engine/dsp/fft.ts';
import { splitPlan } from '../../../src/engine/dsp/splitTransform.ts';
import { recipeFor, type TransformPlan } from '../../../src/engine/dsp/transformPlan.ts';
import { lcgSignal } from '../../reference/lcg.ts';

/** The definition, Σ x[n]·exp(−j2πbn/N), for one bin; b·n is reduced as it grows so that long records keep their digits. */
function binOf(x: ComplexSignal, b: number): { re: number; im: number } {
  const length = x.re.length;
  let re = 0;
  let im = 0;
  for (let n = 0, turn = 0; n < length; n++) {
    const angle = (-2 * Math.PI * turn) / length;
    re += x.re[n] * Math.cos(angle) - x.im[n] * Math.sin(angle);
    im += x.re[n] * Math.sin(angle) + x.im[n] * Math.cos(angle);
    turn = (turn + b) % length;
  }
  return { re, im };
}

/** A plan that is nothing but the definition. */
function definitionPlan(length: number): TransformPlan {
  const input = new Float64Array(2 * length);
  const output = new Float64Array(2 * length);
  const run = () => {
    const x = { re: input.filter((_, i) => i % 2 === 0), im: input.filter((_, i) => i % 2 === 1) };
    for (let b = 0; b < length; b++) {
      const { re, im } = binOf(x, b);
      output[2 * b] = re;
      output[2 * b + 1] = im;
    }
  };
  return { length, input, output, run };
}

function largestError(plan: TransformPlan): number {
  const x = lcgSignal(plan.length);
  // Twice: what a run leaves behind in its buffers must not reach the next.
  for (let turn = 0; turn < 2; turn++) {
    for (let n = 0; n < plan.length; n++) {
      plan.input[2 * n] = x.re[n];
      plan.input[2 * n + 1] = x.im[n];
    }
    plan.run();
  }
  let largest = 0;
  for (let b = 0; b < plan.length; b++) {
    const { re, im } = binOf(x, b);
    largest = Math.max(largest, Math.abs(plan.output[2 * b] - re), Math.abs(plan.output[2 * b + 1] - im));
  }
  return largest;
}

// Tolerance of both: rounding of sums of up to 1000 terms of unit size.
describe('each way equals the definition', () => {
  // Groups of four columns: fewer, exactly, and more, with a rest on either side.
  test.each([
    [3, 4],
    [8, 8],
    [12, 8],
    [25, 40],
    [17, 23],
    [23, 17],
    [1, 40],
    [40, 1],
  ])('columns of %i, rows of %i', (columnLength, rowLength) => {
    expect(largestError(splitPlan(definitionPlan(columnLength), definitionPlan(rowLength)))).toBeLessThan(1e-11);
  });

  test.each([
    [3, 8],
    [5, 16],
    [137, 512],
    [256, 512],
  ])('%i points by a convolution of %i', (length, size) => {
    expect(largestError(chirpPlan(length, definitionPlan(size)))).toBeLessThan(1e-11);
  });
});

describe('long transforms', () => {
  // Quarry Link's record, Paper Bench's at the model's rate, a power of two times a prime, a power of two.
  test.each([24 * 8768, 342_500, 137 * 2 ** 11, 2 ** 20])(
    'of %i samples are split; bins equal the definition, and back again',
    (length) => {
      expect(recipeFor(length).kind).toBe('split');
      const x = lcgSignal(length);
      const spectrum = fft(x);
      for (const b of [0, 1, 411, 512, length / 2, length - 1, 100_003]) {
        const { re, im } = binOf(x, b);
        // Bins of noise are near √N ≈ 1000; the plain sum itself loses about 1e-13 of that.
        expect(Math.abs(spectrum.re[b] - re)).toBeLessThan(1e-9);
        expect(Math.abs(spectrum.im[b] - im)).toBeLessThan(1e-9);
      }
      const back = inverseFft(spectrum);
      let largest = 0;
      for (let n = 0; n < length; n++) {
        largest = Math.max(largest, Math.abs(back.re[n] - x.re[n]), Math.abs(back.im[n] - x.im[n]));
      }
      expect(largest).toBeLessThan(1e-13);
    },
  );

  test('short powers of two run as they are, primes by convolution', () => {
    expect(recipeFor(8192)).toEqual({ kind: 'powerOfTwo' });
    expect(recipeFor(137)).toEqual({ kind: 'chirp', convolutionLength: 512 });
    expect(recipeFor(100_003)).toEqual({ kind: 'chirp', convolutionLength: 2 ** 18 });
  });
});

describe('plans', () => {
  test('are made once for a length', () => {
    expect(transformOf(1234)).toBe(transformOf(1234));
  });

  test('one inside another leaves the outer one alone', () => {
    // 411·512 convolves by 1024, as 411 alone does.
    const x = lcgSignal(411);
    const before = fft(x);
    fft(lcgSignal(411 * 512));
    expect(fft(x)).toEqual(before);
  });
});
