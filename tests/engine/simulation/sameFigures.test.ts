// Same seed, same figures; nothing a caller keeps between runs changes them; a record has no beginning.
import { expect, test } from 'vitest';
import { presetNames, presets } from '../../../shared/presets/index.ts';
import { createAmplifier } from '../../../src/engine/amplifier/model.ts';
import { zeros } from '../../../src/engine/dsp/complex.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { coarseScenario, createRunMemory, runScenario } from '../../../src/engine/index.ts';
import { checkScenario } from '../../../src/engine/simulation/checkScenario.ts';
import { makeWaveform } from '../../../src/engine/simulation/makeWaveform.ts';

function readings(input: unknown, memory = createRunMemory()) {
  const outcome = runScenario(input, { memory });
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  const { traces: _traces, ...rest } = outcome.report;
  return JSON.stringify(rest);
}

test.each(presetNames)('%s: the same figures again, with and without memory, bit by bit in one runtime', (name) => {
  const memory = createRunMemory();
  const input = coarseScenario(presets[name]);
  const first = readings(input, memory);
  expect(readings(input, memory)).toBe(first);
  expect(readings(input)).toBe(first);
});

test.each(presetNames)('%s: the resolved scenario in the report runs to the same figures', (name) => {
  const checked = checkScenario(coarseScenario(presets[name]));
  if (checked.kind === 'invalid') throw new Error(JSON.stringify(checked.issues));
  // A resolved scenario asks for its carriers where they stand, so it is not told that they were moved.
  const figures = (text: string) => ({ ...JSON.parse(text), warnings: [] });
  expect(figures(readings(checked.scenario))).toEqual(figures(readings(coarseScenario(presets[name]))));
});

test('P13: a rotated drive gives the rotated output, so no sample sees a start-up (1e-12: sums in another order)', () => {
  const checked = checkScenario(presets['quarry-link']);
  if (checked.kind === 'invalid') throw new Error(JSON.stringify(checked.issues));
  const sampleCount = 8768 * 2;
  const outcome = createAmplifier(checked.scenario.amplifier.model, { sampleRateHz: 122.88e6, sampleCount });
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  const random = createRandom(5, 'rotation');
  const drive = zeros(sampleCount);
  for (let n = 0; n < sampleCount; n++) {
    drive.re[n] = 0.4 * random.normal();
    drive.im[n] = 0.4 * random.normal();
  }
  const shift = 777;
  const rotated = zeros(sampleCount);
  for (let n = 0; n < sampleCount; n++) {
    rotated.re[(n + shift) % sampleCount] = drive.re[n];
    rotated.im[(n + shift) % sampleCount] = drive.im[n];
  }
  const output = outcome.model.amplify(drive);
  const rotatedOutput = outcome.model.amplify(rotated);
  let largest = 0;
  for (let n = 0; n < sampleCount; n++) {
    largest = Math.max(largest, Math.abs(rotatedOutput.re[(n + shift) % sampleCount] - output.re[n]));
    largest = Math.max(largest, Math.abs(rotatedOutput.im[(n + shift) % sampleCount] - output.im[n]));
  }
  expect(largest).toBeLessThan(1e-12);
});

test('F4: drive beyond a published polynomial’s range is held, counted and named with its share', () => {
  const input = {
    ...presets['quarry-link'],
    waveform: { ...presets['quarry-link']?.waveform, symbolCount: 6 },
    amplifier: { model: { kind: 'published', id: 'GaN_2GHz' }, saturatedPowerDbm: 40, gainDb: 20 },
    operatingPoint: { outputBackoffDb: 4 },
    predistorter: null,
  };
  const outcome = runScenario(input);
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  const { uncorrected, warnings, amplifier } = outcome.report;
  // Counted again on the waveform itself: the uncorrected drive is the waveform at another scale.
  const range = amplifier.driveRange ?? 0;
  const drivePeak = 10 ** (outcome.report.peaks.uncorrectedDrive.reKneeDb / 20);
  const meanDb = outcome.report.peaks.uncorrectedDrive.reKneeDb - outcome.report.peaks.uncorrectedDrive.peakToAverageDb;
  const edgeDb = 20 * Math.log10(range) - meanDb;
  expect(drivePeak).toBeGreaterThan(range);
  const made = makeWaveform(input);
  if (made.kind === 'invalid') throw new Error(JSON.stringify(made.issues));
  const { re, im } = made.waveform.signal;
  const beyond = re.filter((value, n) => 10 * Math.log10(value * value + im[n] * im[n]) > edgeDb).length;
  // One sample at the edge may fall either way: the scale is rebuilt from decibels.
  expect(Math.abs(uncorrected.heldSampleRatio * re.length - beyond)).toBeLessThanOrEqual(1);
  expect(beyond).toBeGreaterThan(100);
  const warning = warnings.find((one) => one.code === 'outside-drive-range-uncorrected');
  expect(warning?.message).toMatch(/Outside the fitted range: [\d.]+ % of the uncorrected drive/);
  expect(uncorrected.peakToAverageDb - uncorrected.outputBackoffDb).toBeLessThanOrEqual(
    (amplifier.outputBoundDb ?? 0) + 1e-9,
  );
});

test('a resolved scenario of noise carriers resolves to itself', () => {
  const noise = {
    ...presets['quarry-link'],
    waveform: { carriers: [{ kind: 'noise', occupiedBandwidthHz: 9e6 }], sampleCount: 2 ** 14, sampleRateHz: 122.88e6 },
    limits: [],
  };
  const once = checkScenario(noise);
  if (once.kind === 'invalid') throw new Error(JSON.stringify(once.issues));
  const again = checkScenario(once.scenario);
  if (again.kind === 'invalid') throw new Error(JSON.stringify(again.issues));
  expect(again.scenario).toEqual(once.scenario);
  // A resolution bandwidth of "auto" is no open choice: it says that the segment length is the one that holds.
  const { resolutionBandwidthHz, ...spectrum } = once.scenario.measurement.spectrum;
  expect(resolutionBandwidthHz).toBe('auto');
  // Without symbols the channel filter has nothing to filter and stays as asked.
  const { spectralEdge: _edge, ...waveform } = once.scenario.waveform;
  const rest = { ...once.scenario, waveform, measurement: { ...once.scenario.measurement, spectrum } };
  expect(JSON.stringify(rest)).not.toContain('"auto"');
});
