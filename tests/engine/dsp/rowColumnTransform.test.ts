import { describe, expect, test } from 'vitest';
import { type ComplexSignal, zeros } from '../../../src/engine/dsp/complex.ts';
import { fft, fftInto, inverseFft } from '../../../src/engine/dsp/fft.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { cheapestColumnLength, rowColumnTransform } from '../../../src/engine/dsp/rowColumnTransform.ts';

function noise(length: number): ComplexSignal {
  const random = createRandom(1, 'row column');
  const x = zeros(length);
  for (let n = 0; n < length; n++) {
    x.re[n] = random.normal();
    x.im[n] = random.normal();
  }
  return x;
}

/** The definition, Σ x[n]·exp(−j2πbn/N), for one bin; b·n is reduced first so that long records keep their digits. */
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

function definition(x: ComplexSignal): ComplexSignal {
  const out = zeros(x.re.length);
  for (let b = 0; b < x.re.length; b++) {
    const { re, im } = binOf(x, b);
    out.re[b] = re;
    out.im[b] = im;
  }
  return out;
}

describe('rowColumnTransform', () => {
  // Strips of eight columns: fewer, exactly, and more, with a rest on either side.
  test.each([
    [8, 4],
    [64, 8],
    [96, 12],
    [1000, 25],
    [391, 17],
    [391, 23],
    [40, 1],
    [40, 40],
  ])('%i samples in columns of %i equal the definition', (length, columnLength) => {
    const x = noise(length);
    const out = zeros(length);
    rowColumnTransform(x, out, columnLength, (short) => {
      const y = definition(short);
      short.re.set(y.re);
      short.im.set(y.im);
    });
    const expected = definition(x);
    for (let b = 0; b < length; b++) {
      // Rounding of sums of up to 1000 unit terms.
      expect(Math.abs(out.re[b] - expected.re[b])).toBeLessThan(1e-11);
      expect(Math.abs(out.im[b] - expected.im[b])).toBeLessThan(1e-11);
    }
  });

  test('columns that do not divide the record are a programmer’s mistake', () => {
    expect(() => rowColumnTransform(noise(10), zeros(10), 4, (x) => fftInto(x, x))).toThrow(
      'rowColumnTransform: columns of 4 do not divide 10 samples',
    );
  });
});

describe('long transforms are split', () => {
  // Quarry Link's record, Paper Bench's at the model's rate, and a long power of two times a prime.
  test.each([24 * 8768, 342_500, 137 * 2 ** 11])('%i samples: bins equal the definition, and back again', (length) => {
    expect(cheapestColumnLength(length, (n) => (n > 2 ** 14 ? 200 : 60))).toBeGreaterThan(1);
    const x = noise(length);
    const spectrum = fft(x);
    for (const b of [0, 1, 411, 512, length / 2, length - 1, 100_003]) {
      const { re, im } = binOf(x, b);
      // Bins of unit noise are near √(2N) ≈ 700; the plain sum itself loses about 1e-13 of that.
      expect(Math.abs(spectrum.re[b] - re)).toBeLessThan(1e-9);
      expect(Math.abs(spectrum.im[b] - im)).toBeLessThan(1e-9);
    }
    const back = inverseFft(spectrum);
    let largest = 0;
    for (let n = 0; n < length; n++) {
      largest = Math.max(largest, Math.abs(back.re[n] - x.re[n]), Math.abs(back.im[n] - x.im[n]));
    }
    expect(largest).toBeLessThan(1e-13);
  });

  test('short ones, primes and dear splits stay whole', () => {
    expect(cheapestColumnLength(8768, () => 1)).toBe(1);
    expect(cheapestColumnLength(100_003, (n) => n)).toBe(1);
    expect(cheapestColumnLength(2 ** 16, () => 10)).toBe(1);
    expect(cheapestColumnLength(2 ** 16, (n) => n)).toBe(256);
  });
});
