// F5 and pitfall P29 of the hand-outs, from a whole run: gain and saturated power of a data sheet are what the run's own
// figures show, and saturated power is never told without the compression it stands at.
import { expect, test } from 'vitest';
import { amplifierText } from '../../../shared/reports/readBackRows.ts';
import { runPage } from '../../../shared/reports/runPage.ts';
import { runScenario } from '../../../src/engine/index.ts';

const sheet = {
  kind: 'dataSheet',
  saturationCompressionDb: 3,
  outputAtOneDbCompressionDbm: 44,
  amPmDeg: 8,
  class: 'classABSoft',
  memorySpanS: 30e-9,
  memoryBelowSignalDb: 35,
};

function run(model: object, outputBackoffDb: number) {
  const outcome = runScenario({
    waveform: {
      carriers: [{ kind: 'noise', occupiedBandwidthHz: 9e6, channelBandwidthHz: 10e6 }],
      sampleCount: 2 ** 14,
      sampleRateHz: 122.88e6,
    },
    amplifier: { model, saturatedPowerDbm: 45.5, gainDb: 36 },
    operatingPoint: { outputBackoffDb },
  });
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.report;
}

test('F5: Psat 45.5 dBm, gain 36 dB → 36.0 ± 0.05 dB of small-signal gain, CW saturates at 45.5 ± 0.1 dBm', () => {
  const report = run(sheet, 40);
  const { uncorrected, amplifier } = report;
  // Two powers of the run, 40 dB below saturation: the sheet's gain is nowhere in between.
  expect(Math.abs((uncorrected.meanPowerDbm ?? 0) - (uncorrected.driveMeanDbm ?? 0) - 36)).toBeLessThan(0.05);
  expect(Math.abs((amplifier.readBack.saturation.outputDbm ?? 0) - 45.5)).toBeLessThan(0.1);
  expect(Math.abs(amplifier.compressionAtSaturationDb - 3)).toBeLessThan(0.1);
  const words = amplifierText(report);
  expect(words.replaceAll('\u2009', ' ')).toMatch(
    /^Saturated power, 45\.5 dBm, stands at 3\.0 dB of compression; the largest CW output is [+−]?0\.0\d dB against it\. /,
  );
  expect(runPage(report)).toContain(words);
});

test('P29: another definition of Psat is another compression, and the words say which', () => {
  // A knee nears its saturation for ever: r/(1 + r^2p)^(1/2p) is −0.1 dB at a compression of 16.4 dB for p = 1, so the
  // point that comes closest to |y| = 1 lies at the end of the sweep.
  const report = run({ kind: 'filterNonlinearityFilter', kneeSharpness: 1 }, 20);
  const { amplifier, scenario } = report;
  expect(amplifier.compressionAtSaturationDb).toBeGreaterThan(16.4);
  expect(amplifier.cwSaturationDb).toBeLessThan(0);
  const unknown = { ...scenario, amplifier: { ...scenario.amplifier, saturatedPowerDbm: null } };
  expect(amplifierText({ amplifier, scenario: unknown })).toMatch(
    /^Saturated power stands at \d\d\.\d\u2009dB of compression/,
  );
});
