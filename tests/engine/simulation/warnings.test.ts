// A remedy belongs to its reason.
import { expect, test } from 'vitest';
import { runBench } from './referenceBench.ts';

const narrow = {
  nonlinearOrders: [1, 3, 5, 7, 9, 11, 13],
  memoryDepth: 8,
  learning: { passCount: 1 },
  waveform: {
    carriers: [{ kind: 'noise', occupiedBandwidthHz: 0.5e6, channelBandwidthHz: 0.55e6 }],
    sampleCount: 4096,
    crestFactorReduction: null,
  },
  measurement: { spectrum: { method: 'wholeRecord' } },
  limits: [],
};

function rejection(report: ReturnType<typeof runBench>): string {
  return report.warnings.find(({ code }) => code === 'correction-rejected')?.message ?? '';
}

// 0.5 MHz of noise at 122.88 Msps: eight taps are one value in double precision.
test('functions that cannot be told apart are no matter of the output back-off', () => {
  const report = runBench(narrow);
  expect(report.learning?.passes).toEqual([]);
  expect(rejection(report)).toMatch(/cannot be told apart; use fewer orders or taps, or a ridge\.$/);
  expect(rejection(report)).not.toContain('output back-off');
});

test('a correction that was made and does not help is one', () => {
  const report = runBench({
    outputBackoffDb: 3,
    learning: { passCount: 1 },
    waveform: { symbolCount: 4, crestFactorReduction: null },
    amplifier: {
      model: {
        kind: 'filterNonlinearityFilter',
        modelRateHz: 122.88e6,
        inputTaps: [{ re: 1 }, { re: 0, im: 0.05 }],
        biasDepthRatio: 0.08,
        biasTimeConstantS: 120e-9,
        kneeSharpness: 1.0,
        amPmDeg: 15,
        outputTaps: [{ re: 1 }, { re: -0.03 }],
      },
    },
  });
  expect(report.learning?.passes).toHaveLength(1);
  expect(report.correctionUsed).toBe(false);
  expect(rejection(report)).toMatch(
    /\. Raise the output back-off, shape the crest factor further, or use fewer orders\.$/,
  );
});
