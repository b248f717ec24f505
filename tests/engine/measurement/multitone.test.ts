// PR-03: envelope PAPR of N equal tones with in-phase, Newman and Schroeder phases.
// Source: Newman 1965, Boyd 1986, Schroeder 1970 (phase laws); values computed over a 64× oversampled period in the
// hand-outs' checks.json. Tolerance 0.005 dB as stated there: the grid misses the true maximum by less.
import { describe, expect, test } from 'vitest';
import { zeros } from '../../../src/engine/dsp/complex.ts';
import { inverseFft } from '../../../src/engine/dsp/fft.ts';
import { crestFactorDb } from '../../../src/engine/measurement/ccdf.ts';

type PhaseLaw = (k: number, count: number) => number;

const laws: Record<string, PhaseLaw> = {
  'in phase': () => 0,
  Newman: (k, count) => (Math.PI * k * k) / count,
  Schroeder: (k, count) => (-Math.PI * k * (k + 1)) / count,
};

function paprOf(count: number, law: PhaseLaw): number {
  const bins = zeros(64 * count);
  for (let k = 0; k < count; k++) {
    bins.re[k] = Math.cos(law(k, count));
    bins.im[k] = Math.sin(law(k, count));
  }
  return crestFactorDb(inverseFft(bins));
}

describe('PR-03', () => {
  test.each([2, 4, 8, 16, 32, 64, 128, 256, 512])('%d tones in phase: 10·log10 N', (count) => {
    expect(Math.abs(paprOf(count, laws['in phase'] as PhaseLaw) - 10 * Math.log10(count))).toBeLessThan(0.005);
  });

  test.each([
    [2, 3.010299957],
    [4, 3.010299957],
    [8, 2.537201873],
    [16, 2.618910549],
    [32, 2.635501801],
    [64, 2.60004073],
    [128, 2.598304729],
    [256, 2.599129943],
    [512, 2.591978109],
  ])('%d tones with Newman and Schroeder phases: %d dB', (count, expectedDb) => {
    for (const name of ['Newman', 'Schroeder']) {
      expect(Math.abs(paprOf(count, laws[name] as PhaseLaw) - expectedDb)).toBeLessThan(0.005);
    }
  });
});
