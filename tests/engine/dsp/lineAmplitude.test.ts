import fc from 'fast-check';
import { expect, test } from 'vitest';
import { zeros } from '../../../src/engine/dsp/complex.ts';
import { fft } from '../../../src/engine/dsp/fft.ts';
import { lineAmplitude } from '../../../src/engine/dsp/lineAmplitude.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';

/** A tone of complex amplitude `re + j·im` on `cycles` cycles. */
function addTone(x: ReturnType<typeof zeros>, cycles: number, re: number, im: number): void {
  const length = x.re.length;
  for (let n = 0; n < length; n++) {
    const angle = (2 * Math.PI * ((cycles * n) % length)) / length;
    x.re[n] += re * Math.cos(angle) - im * Math.sin(angle);
    x.im[n] += re * Math.sin(angle) + im * Math.cos(angle);
  }
}

test('a line 280 dB below a strong one beside it is read: nothing leaks on whole cycles', () => {
  const x = zeros(2 ** 16);
  addTone(x, 1001, 1, 0);
  const alone = lineAmplitude(x, 1002);
  expect(Math.hypot(alone.re, alone.im)).toBeLessThan(1e-14);
  addTone(x, -3003, 0.25, -0.5);
  const line = lineAmplitude(x, -3003);
  expect(Math.abs(line.re - 0.25)).toBeLessThan(1e-13);
  expect(Math.abs(line.im + 0.5)).toBeLessThan(1e-13);
});

test('any line of noise is the bin of the whole record’s transform over N', () => {
  const random = createRandom(3, 'lines');
  const x = zeros(3 * 257);
  for (let n = 0; n < x.re.length; n++) [x.re[n], x.im[n]] = [random.normal(), random.normal()];
  const bins = fft(x);
  fc.assert(
    fc.property(fc.integer({ min: -385, max: 385 }), (cycles) => {
      const { re, im } = lineAmplitude(x, cycles);
      const b = (cycles + 771) % 771;
      expect(Math.abs(re - bins.re[b] / 771)).toBeLessThan(1e-13);
      expect(Math.abs(im - bins.im[b] / 771)).toBeLessThan(1e-13);
    }),
    { numRuns: 50 },
  );
});

test('a fraction of a cycle is a programmer’s mistake', () => {
  expect(() => lineAmplitude(zeros(8), 1.5)).toThrow('lineAmplitude: 1.5 is not a whole number of cycles');
});
