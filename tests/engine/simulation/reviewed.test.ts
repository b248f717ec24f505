// What a correction must prove before it is used, and what is taken out of an amplifier before it is learned from.
import { describe, expect, test } from 'vitest';
import { quarryLink } from '../../../shared/presets/quarryLink.ts';
import { runBench, worstAdjacentDb } from './referenceBench.ts';

const short = { symbolCount: 6 };
const model = quarryLink.amplifier.model as { readonly outputTaps: readonly object[] };

describe('amplifier delay', () => {
  const delayed = { model: { ...model, outputTaps: [{ re: 0 }, { re: 0 }, { re: 0 }, ...model.outputTaps] } };

  test('a pure delay of three samples changes no figure (closed form: a delay is linear) and is told', () => {
    const plain = runBench({ waveform: short });
    const moved = runBench({ waveform: short, amplifier: delayed });
    expect(worstAdjacentDb(moved.corrected)).toBeCloseTo(worstAdjacentDb(plain.corrected), 6);
    expect(moved.uncorrected.nmseDb).toBeCloseTo(plain.uncorrected.nmseDb, 6);
    expect(moved.warnings.find((warning) => warning.code === 'amplifier-delay')?.message).toMatch(
      /3 samples \(24\.4 ns\)/,
    );
    expect(plain.warnings.map((warning) => warning.code)).not.toContain('amplifier-delay');
  });
});

describe('a correction must help', () => {
  test.each([1, 11, 21, 31])(
    'a memoryless order-1 predistorter can do nothing and is not used (seed %d)',
    (judging) => {
      const seeds = { judging, training: judging + 1, selection: judging + 2 };
      const report = runBench({ waveform: short, nonlinearOrders: [1], memoryDepth: 1, seeds });
      expect(report.correctionUsed).toBe(false);
      expect(report.learning?.rejectedBecause).toMatch(/no better than \d+\.\d dB without correction/);
    },
  );

  test('where no channel can be read, the error decides: at 3 dB output back-off the fit is worse and not used', () => {
    const report = runBench({
      outputBackoffDb: 3,
      waveform: { ...short, sampleRateHz: 15.36e6, crestFactorReduction: null, spectralEdge: { kind: 'none' } },
      amplifier: {
        model: { kind: 'filterNonlinearityFilter', modelRateHz: 'any', kneeSharpness: 1.5, amPmDeg: 8 },
      },
      measurement: { spectrum: { segmentLength: 1024 } },
      limits: [],
    });
    expect(report.uncorrected.aclr).toHaveLength(0);
    if (report.correctionUsed) expect(report.corrected?.nmseDb).toBeLessThan(report.uncorrected.nmseDb);
    else expect(report.learning?.rejectedBecause).toContain('error');
  });
});

describe('solvers', () => {
  test('a ridge does the same to Cholesky and QR (closed form: extra rows √λ·‖φ‖; 1e-6 dB)', () => {
    const read = (solver: string) =>
      worstAdjacentDb(runBench({ waveform: short, learning: { ridge: 0.01, solver, passCount: 1 } }).corrected);
    expect(read('qr')).toBeCloseTo(read('cholesky'), 6);
  });

  test('condition numbers are finite or null, never infinite', () => {
    const report = runBench({ waveform: short, memoryDepth: 24, learning: { ridge: 1e-9, passCount: 1 } });
    for (const pass of report.learning?.passes ?? []) {
      expect(pass.conditionNumber === null || Number.isFinite(pass.conditionNumber)).toBe(true);
    }
    expect(JSON.stringify(report.learning)).not.toContain('Infinity');
  });
});
