// The best drive and the ideal limiter as bounds of a correction, and direct learning near the wall.
import { describe, expect, test } from 'vitest';
import { mastTopHundred } from '../../../shared/presets/mastTopHundred.ts';
import { boundsText } from '../../../shared/reports/runParts.ts';
import { runScenario } from '../../../src/engine/simulation/runScenario.ts';
import { runBench } from './referenceBench.ts';

describe('the reference bench at 8 dB output back-off', () => {
  const report = runBench({ outputBackoffDb: 8, waveform: { symbolCount: 6 }, learning: { bestDrivePassCount: 8 } });
  const corrected = Math.min(...(report.corrected?.aclr ?? []).slice(0, 2).map(({ aclrDb }) => aclrDb));
  const { bestDrive, bounds } = report;

  // Source: requirement "ILC is no worse than indirect learning at 8 dB output back-off"; here on the same record.
  test('the best drive is no worse than indirect learning, in error and in ACLR', () => {
    expect(bestDrive?.passCount).toBe(8);
    expect(bestDrive?.nmseDb).toBeLessThanOrEqual(report.corrected?.nmseDb ?? -Infinity);
    expect(bestDrive?.worstAclrDb).toBeGreaterThanOrEqual(corrected);
  });

  // Source: clipping is the nearest point under a peak limit (GA-04): no drive beats the ideal limiter's total error.
  test('it lies between the correction and the ideal limiter, under the ceiling', () => {
    expect(bestDrive?.nmseDb).toBeGreaterThan(report.ideal.nmseDb);
    expect(bestDrive?.drivePeakDb).toBeLessThanOrEqual(20 * Math.log10(2.2) + 1e-9);
  });

  test('distance and limit are told in words', () => {
    expect(bounds?.idealLimiterNmseDb).toBe(report.ideal.nmseDb);
    expect(bounds?.distanceFromBestDb).toBeCloseTo((report.corrected?.nmseDb ?? 0) - (bestDrive?.nmseDb ?? 0), 9);
    expect(bounds?.limitedBy).toBe('predistorter');
    expect(boundsText(report)).toMatch(/\d\.\d dB from the best possible.*Limited by the predistorter/);
  });

  test('left out, the distance is not told', () => {
    const without = runBench({ outputBackoffDb: 8, waveform: { symbolCount: 6 }, learning: { bestDrivePassCount: 0 } });
    expect([without.bestDrive, without.bounds?.distanceFromBestDb]).toEqual([null, null]);
    expect(without.corrected?.nmseDb).toBe(report.corrected?.nmseDb);
  });
});

// Source: scenarios.md S5, simulated there with numpy/scipy: at 7.5 dB output back-off 20 coefficients reach −41.3 by direct
// learning (damping 0.6, 12 passes, ridge 1e-6), ±1.5 dB.
test('direct learning reaches 41.3 dB on Mast-Top Hundred at 7.5 dB', () => {
  const outcome = runScenario(
    {
      ...mastTopHundred,
      waveform: { ...mastTopHundred.waveform, symbolCount: 4 },
      operatingPoint: { outputBackoffDb: 7.5 },
      predistorter: {
        nonlinearOrders: [1, 3, 5, 7, 9],
        memoryDepth: 4,
        learning: { method: 'direct', dampingRatio: 0.6, passCount: 12, ridge: 1e-6 },
      },
    },
    { withoutBestDrive: true },
  );
  const report = outcome.kind === 'report' ? outcome.report : null;
  expect(report?.learning?.method).toBe('direct');
  const sides = report?.corrected?.aclr.slice(0, 2).map(({ aclrDb }) => aclrDb) ?? [0];
  expect(Math.abs(Math.min(...sides) - 41.3)).toBeLessThan(1.5);
});
