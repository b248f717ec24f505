// Closed forms of a soft limiter under Gaussian noise, through the whole pipeline: levelling, amplifier, exact bins, ACLR.
import { describe, expect, test } from 'vitest';
import { runScenario } from '../../../src/engine/simulation/runScenario.ts';
import tables from '../../reference/aclrTables.json' with { type: 'json' };

/** Flat noise that fills its channel, behind y = x/(1 + |x|^2p)^(1/2p) at this output back-off. */
function run(kneeSharpness: number, outputBackoffDb: number) {
  const outcome = runScenario({
    format: 1,
    title: 'Gaussian',
    waveform: {
      carriers: [{ kind: 'noise', occupiedBandwidthHz: 1e6 }],
      sampleRateHz: 10e6,
      sampleCount: 2 ** 19,
      spectralEdge: { kind: 'none' },
    },
    amplifier: { model: { kind: 'filterNonlinearityFilter', kneeSharpness }, saturatedPowerDbm: 40 },
    operatingPoint: { outputBackoffDb },
    predistorter: null,
    measurement: { spectrum: { method: 'wholeRecord' } },
    limits: [{ reading: 'aclr', requiredDb: 30 }],
  });
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.report;
}

/** Both sides' mean: one record of 2^19 samples scatters by 0.1 dB on a side at 30 dB. */
function meanAdjacentDb(aclr: readonly { channel: string; aclrDb: number }[]): number {
  const sides = aclr.filter(({ channel }) => channel === 'adjacent');
  expect(sides).toHaveLength(2);
  return (sides[0].aclrDb + sides[1].aclrDb) / 2;
}

// Source: GA-15, output back-off that 30 dB of ACLR costs: 6.19 dB with a knee of 2, 4.97 dB with the ideal limiter.
// 0.2 dB of ACLR: two standard deviations of one record, 0.07 dB of back-off.
describe('GA-15 through a run', () => {
  const { expected } = tables['GA-15'];

  test('a knee of 2 reads 30 dB where the series says', () => {
    const report = run(2, expected['2,ACLR1=30']);
    expect(Math.abs(meanAdjacentDb(report.uncorrected.aclr) - 30)).toBeLessThan(0.2);
    // Whole records have one segment: no scatter is known, and no verdict is called marginal.
    expect(report.verdicts[0]).toMatchObject({ spreadDb: null, unit: 'dB' });
    expect(['pass', 'fail']).toContain(report.verdicts[0]?.state);
  });

  test('so does the ideal limiter', () => {
    const report = run(5, expected['ideal limiter,ACLR1=30']);
    expect(Math.abs(meanAdjacentDb(report.ideal.aclr) - 30)).toBeLessThan(0.2);
  });
});
