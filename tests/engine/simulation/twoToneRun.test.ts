// The pipeline's own two-tone reading against the closed forms of a memoryless amplifier of third and fifth order.
import { describe, expect, test } from 'vitest';
import { runTable } from '../../../shared/reports/runTable.ts';
import type { Report } from '../../../shared/schema/report.ts';
import { runScenario } from '../../../src/engine/index.ts';

interface Complex {
  readonly re: number;
  readonly im: number;
}
const C3: Complex = { re: -0.12, im: 0.05 };
const C5: Complex = { re: 0.015, im: -0.02 };

const base = (change: Record<string, unknown> = {}) => ({
  waveform: {
    carriers: [{ kind: 'twoTone', toneSpacingHz: 1e6, ...change }],
    sampleCount: 8192,
    sampleRateHz: 16e6,
    spectralEdge: { kind: 'none' },
  },
  amplifier: {
    model: {
      kind: 'memoryPolynomial',
      nonlinearOrders: [1, 3, 5],
      memoryDepth: 1,
      coefficients: [{ re: 1 }, C3, C5],
      driveRange: 'none',
      saturatedAmplitude: 1,
    },
    saturatedPowerDbm: 44,
    outputLossDb: 1.5,
  },
  operatingPoint: { outputBackoffDb: 10 },
  predistorter: null,
  measurement: { spectrum: { method: 'wholeRecord' } },
});

function run(scenario: unknown): Report {
  const outcome = runScenario(scenario);
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.report;
}

/** |a₁ + a₂·c₃ + a₃·c₅|². */
const power = (one: number, third: number, fifth: number) =>
  (one + third * C3.re + fifth * C5.re) ** 2 + (third * C3.im + fifth * C5.im) ** 2;
const db = (ratio: number) => 10 * Math.log10(ratio);

describe('two tones through the pipeline', () => {
  test.each([6.5, 10, 20])('%d dB output back-off: tones, IM3 and IM5 within 1e-6 dB of the closed forms', (obo) => {
    const { uncorrected, peaks } = run({ ...base(), operatingPoint: { outputBackoffDb: obo } });
    const reading = uncorrected.twoTone;
    if (reading === null) throw new Error('two tones were not read');
    // Mean drive of two tones of amplitude A is 2A².
    const drive = peaks.uncorrectedDrive;
    const A = Math.sqrt(10 ** ((drive.reKneeDb - drive.peakToAverageDb) / 10) / 2);
    // Lines of x|x|² and x|x|⁴ for two tones A: 3A³, A³ and 10A⁵, 5A⁵, A⁵ (binomial expansion of (2A·cos)^p).
    const tone = power(A, 3 * A ** 3, 10 * A ** 5);
    const im3 = power(0, A ** 3, 5 * A ** 5);
    const im5 = power(0, 0, A ** 5);
    for (const { levelDb, powerDbm } of reading.tones) {
      expect(Math.abs(levelDb - db(tone))).toBeLessThan(1e-6);
      // At the antenna port: 44 dBm less 1.5 dB of loss.
      expect(Math.abs((powerDbm ?? 0) - 42.5 - db(tone))).toBeLessThan(1e-6);
    }
    for (const { order, ratioDb, powerDbm } of reading.products.filter((one) => one.order < 7)) {
      const line = order === 3 ? im3 : im5;
      expect(Math.abs(ratioDb - db(tone / line)), `order ${order}`).toBeLessThan(1e-6);
      expect(Math.abs((powerDbm ?? 0) - 42.5 - db(line)), `order ${order}`).toBeLessThan(1e-6);
    }
    // No amplifier of fifth order makes a product of seventh.
    for (const { ratioDb } of reading.products.filter((one) => one.order === 7)) expect(ratioDb).toBeGreaterThan(240);
    expect(reading.products).toHaveLength(6);
  });

  test('mean power and envelope peak of both tones stand 3.01 and 6.02 dB over one (TT-13)', () => {
    const { uncorrected, waveform } = run({
      ...base(),
      amplifier: { ...base().amplifier, outputLossDb: 0 },
      operatingPoint: { outputBackoffDb: 50 },
    });
    const tone = uncorrected.twoTone?.tones[0]?.powerDbm ?? Number.NaN;
    // 50 dB down the products carry nothing.
    expect(Math.abs((uncorrected.meanPowerDbm ?? 0) - tone - 3.010299957)).toBeLessThan(1e-4);
    // Both tones start in phase: the envelope's peak lies on a sample.
    expect(Math.abs((uncorrected.peakPowerDbm ?? 0) - tone - 6.020599913)).toBeLessThan(1e-3);
    expect(Math.abs(waveform.peakToAverageDb - 3.010299957)).toBeLessThan(1e-3);
  });

  test('a scenario of tones beside another carrier has no reading: its lines would fall on the same bins', () => {
    const two = base();
    const carriers = [...two.waveform.carriers, { kind: 'noise', occupiedBandwidthHz: 1e6, offsetHz: 4e6 }];
    expect(run({ ...two, waveform: { ...two.waveform, carriers } }).uncorrected.twoTone).toBeNull();
  });

  test('the table of a run names tones and products per side, and whose power is stated (P39)', () => {
    const { rows, notes } = runTable(run(base()));
    const labels = rows.map(({ label }) => label);
    for (const label of ['one tone, lower, dBm', 'one tone, upper, dBm', 'IM3, lower, dBc', 'IM5, upper, dBc']) {
      expect(labels).toContain(label);
    }
    const row = rows.find(({ label }) => label === 'IM3, upper, dBc');
    expect(row?.cells[0]).toMatch(/^−\d\d\.\d$/);
    expect(notes.join(' ')).toContain('both together 3.01 dB above the stronger one, envelope peak 6.02 dB');
  });

  test('unequal tones: the weaker one is read by itself', () => {
    const report = run({ ...base({ upperOverLowerDb: -12 }), operatingPoint: { outputBackoffDb: 40 } });
    const [lower, upper] = report.uncorrected.twoTone?.tones ?? [];
    expect((upper?.levelDb ?? 0) - (lower?.levelDb ?? 0)).toBeCloseTo(-12, 2);
  });
});
