// Word lengths and gain tables: the quantiser against its closed form, Quarry Link against figures computed independently.
import { describe, expect, test } from 'vitest';
import { quarryLink } from '../../../shared/presets/quarryLink.ts';
import type { NumbersReport } from '../../../shared/schema/report.ts';
import { memoryPolynomialStructure } from '../../../src/engine/basis/memoryPolynomial.ts';
import { polynomialRegressors } from '../../../src/engine/basis/regressors.ts';
import { type ComplexSignal, fromPairs, meanPower, scale, zeros } from '../../../src/engine/dsp/complex.ts';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import { inverseFft } from '../../../src/engine/dsp/fft.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { bandPower, estimateSpectrum } from '../../../src/engine/dsp/spectrum.ts';
import {
  applyGainTables,
  gainTablesOf,
  quantise,
  quantiseCoefficients,
} from '../../../src/engine/linearization/numbers.ts';
import { driveUncorrected, makeRecords } from '../../../src/engine/simulation/chain.ts';
import { checkScenario } from '../../../src/engine/simulation/checkScenario.ts';
import { linearize } from '../../../src/engine/simulation/linearize.ts';
import { createRunMemory } from '../../../src/engine/simulation/runMemory.ts';
import { runScenario } from '../../../src/engine/simulation/runScenario.ts';

const DOUBLE = {
  coefficientBitCount: 'double',
  dataBitCount: 'double',
  tableEntryCount: 'none',
  tableInterpolation: 'linear',
  rounding: 'nearest',
} as const;

/** Noise of 9 MHz at unit rms in a record of 122.88 Msps, exact bins. */
function bandNoise(): ComplexSignal {
  const length = 16384;
  const binHz = 122.88e6 / length;
  const random = createRandom(5, 'numbers');
  const bins = zeros(length);
  for (let k = 0; k < length; k++) {
    const hz = (k < length / 2 ? k : k - length) * binHz;
    if (Math.abs(hz) >= 4.5e6) continue;
    bins.re[k] = random.normal();
    bins.im[k] = random.normal();
  }
  const x = inverseFft(bins);
  return scale(x, 1 / Math.sqrt(meanPower(x)));
}

describe('quantise', () => {
  // Source: by hand, four bits over ±1: a step of 1/8, held at −1 and 7/8.
  test.each([
    ['nearest', [0.0625, 0.06, -0.07, 0.99, -3], [0.125, 0, -0.125, 0.875, -1]],
    ['truncate', [0.0625, 0.06, -0.07, 0.99, -3], [0, 0, -0.125, 0.875, -1]],
  ] as const)('%s, four bits', (rounding, values, expected) => {
    const x = fromPairs(values.map((re) => ({ re, im: -re })));
    expect([...quantise(x, 4, 1, rounding).re]).toEqual(expected);
  });

  // Source: ACLR = 6.02·b + 1.76 − H + 10·log10(fs/B); b = 12, H = 12 dB, 122.88/9 MHz give 73.35 dB (hand-outs, hand
  // check 6 of product.md; simulated there 73.4 and 73.3). ± 0.3 dB: one record's noise in 1200 bins.
  test('hand check 6: the word-length floor', () => {
    const fullScale = 10 ** (12 / 20);
    const x = quantise(bandNoise(), 12, fullScale, 'nearest');
    const spectrum = estimateSpectrum(x, { method: 'wholeRecord', sampleRateHz: 122.88e6 } as never);
    const own = bandPower(spectrum, 0, 9e6);
    const closed = 20 * Math.log10(2) * 12 + 10 * Math.log10(1.5) - 12 + 10 * Math.log10(122.88 / 9);
    expect(closed).toBeCloseTo(73.35, 1);
    for (const side of [-10e6, 10e6]) {
      expect(Math.abs(powerRatioToDb(own / bandPower(spectrum, side, 9e6)) - closed)).toBeLessThan(0.3);
    }
  });

  // Source: one word holds all coefficients; the largest part stays, the others move by half a step at most.
  test('coefficients: the largest part is full scale', () => {
    const c = fromPairs([
      { re: 1.7, im: -0.3 },
      { re: -0.9, im: 0.01 },
    ]);
    const q = quantiseCoefficients(c, { ...DOUBLE, coefficientBitCount: 8 });
    expect(q.re[0]).toBeCloseTo(1.7, 12);
    const step = 1.7 / 127;
    for (let i = 0; i < 2; i++) {
      expect(Math.abs(q.re[i] - c.re[i])).toBeLessThanOrEqual(step / 2 + 1e-12);
      expect(Math.abs(q.im[i] / step - Math.round(q.im[i] / step))).toBeLessThan(1e-9);
    }
  });
});

describe('gain tables', () => {
  const structure = memoryPolynomialStructure([1, 3, 5], 3);
  const c = fromPairs(Array.from({ length: 9 }, (_, i) => ({ re: Math.cos(i), im: Math.sin(3 * i) / 4 })));
  const x = bandNoise();

  // Source: a straight line misses a curve by h²/8 of its second derivative: four times the entries, 24 dB less.
  test('linear interpolation errs by the square of the step, the nearest entry by the step', () => {
    const exact = polynomialRegressors(structure).apply(c, x);
    const errorDb = (entryCount: number, interpolation: 'linear' | 'nearest') => {
      const y = applyGainTables(gainTablesOf(structure, c, { entryCount, interpolation, range: 4 }), x);
      const error = { re: y.re.map((v, n) => v - exact.re[n]), im: y.im.map((v, n) => v - exact.im[n]) };
      return powerRatioToDb(meanPower(error) / meanPower(exact));
    };
    expect(errorDb(129, 'linear') - errorDb(513, 'linear')).toBeCloseTo(40 * Math.log10(4), 0);
    expect(errorDb(129, 'nearest') - errorDb(513, 'nearest')).toBeCloseTo(20 * Math.log10(4), 0);
    expect(errorDb(513, 'linear')).toBeLessThan(-60);
  });
});

describe('F23 on Quarry Link, 7th order × 3 taps at 9 dB output back-off', () => {
  // Learned once in double precision, then sent as stored coefficients: learning never sees the number format.
  const setup = setupOf({ ...quarryLink.predistorter });
  const records = makeRecords(setup, createRunMemory(), {});
  const levelled = driveUncorrected(setup, records.judging.waveform);
  if ('rule' in levelled) throw new Error(levelled.rule);
  const learned = linearize(setup, records, levelled, {}, () => {})?.coefficients ?? null;
  if (learned === null) throw new Error('nothing learned');
  const stored = {
    coefficients: Array.from(learned.re, (re, i) => ({ re, im: learned.im[i] })),
    sampleRateHz: setup.waveform.sampleRateHz,
    driveScaleRatio: levelled.driveScale,
  };

  function setupOf(predistorter: object) {
    const waveform = { ...quarryLink.waveform, symbolCount: 12 };
    const checked = checkScenario({ ...quarryLink, waveform, predistorter });
    if (checked.kind === 'invalid') throw new Error(JSON.stringify(checked.issues));
    return checked.setup;
  }

  function sent(numbers: Record<string, unknown>): NumbersReport {
    if ('rule' in levelled) throw new Error(levelled.rule);
    const inWords = setupOf({ ...quarryLink.predistorter, numbers, stored });
    const report = linearize(inWords, records, levelled, {}, () => {})?.numbers;
    if (report === undefined) throw new Error('no report of the number format');
    return report;
  }

  // Source: the report's words: the output that is judged is the one in words, and the loss is told.
  test('in a report', () => {
    const waveform = { ...quarryLink.waveform, symbolCount: 4 };
    const predistorter = { ...quarryLink.predistorter, numbers: { dataBitCount: 8 } };
    const outcome = runScenario({ ...quarryLink, waveform, predistorter });
    if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
    const { predistorter: described, corrected } = outcome.report;
    const adjacent = corrected?.aclr.filter(({ channel }) => channel === 'adjacent') ?? [];
    expect(Math.min(...adjacent.map(({ aclrDb }) => aclrDb))).toBeCloseTo(described?.numbers?.aclrDb ?? 0, 6);
    expect(described?.numbers?.lossDb ?? 0).toBeGreaterThan(4);
  });

  // Source: hand-outs, product.md F23, computed independently; ± 1.5 dB as stated there. Floating point 52.9 dB.
  test.each([
    ['8-bit drive', { dataBitCount: 8 }, 45.1],
    ['10-bit drive', { dataBitCount: 10 }, 51.7],
    ['12-bit drive', { dataBitCount: 12 }, 52.8],
    ['table of 32, straight lines', { tableEntryCount: 32 }, 52.9],
    ['table of 16, nearest entry', { tableEntryCount: 16, tableInterpolation: 'nearest' }, 50.2],
  ])('%s', (_, numbers, expected) => {
    const { aclrDb, aclrDoubleDb, lossDb } = sent(numbers);
    expect(Math.abs((aclrDoubleDb ?? 0) - 52.9)).toBeLessThan(1.5);
    expect(Math.abs((aclrDb ?? 0) - expected)).toBeLessThan(1.5);
    expect(lossDb).toBeCloseTo((aclrDoubleDb ?? 0) - (aclrDb ?? 0), 12);
  });

  // Source: 6.02 dB a bit of the drive's noise: the two drives' difference is 1.5·4^b/F² below the drive's power.
  test('the difference of both drives follows the word length', () => {
    const ten = sent({ dataBitCount: 10 });
    const twelve = sent({ dataBitCount: 12 });
    expect(ten.errorDb - twelve.errorDb).toBeCloseTo(12.04, 0);
  });

  // Source: every setting shows: coarse coefficients and truncation cost more than fine and rounded ones.
  test('coefficient word and rounding', () => {
    const coarse = sent({ coefficientBitCount: 5 });
    const fine = sent({ coefficientBitCount: 14 });
    expect(coarse.lossDb ?? 0).toBeGreaterThan((fine.lossDb ?? 0) + 1);
    expect(fine.lossDb ?? 1).toBeLessThan(0.2);
    const truncated = sent({ coefficientBitCount: 8, rounding: 'truncate' });
    expect(truncated.errorDb).toBeGreaterThan(sent({ coefficientBitCount: 8 }).errorDb);
  });
});
