// Masks against scipy on the same samples: tests/reference/maskLevels.py writes the figures.
import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { emissionMask, maskLimit } from '../../../shared/tables/emissionMasks.ts';
import { meanPower } from '../../../src/engine/dsp/complex.ts';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import { estimateSpectrum } from '../../../src/engine/dsp/spectrum.ts';
import { measureMask } from '../../../src/engine/measurement/emissionMask.ts';
import reference from '../../reference/maskLevels.json' with { type: 'json' };

const SAMPLE_RATE_HZ = 122.88e6;
const { capture, segmentLength, meanDbm, channelHz, rangeHz, masks } = reference;

const bytes = readFileSync(new URL(`../../captures/${capture}.sigmf-data`, import.meta.url));
const samples = new Int16Array(bytes.buffer, bytes.byteOffset, bytes.byteLength / 2);
const signal = {
  re: Float64Array.from({ length: samples.length / 2 }, (_, i) => samples[2 * i] / 32768),
  im: Float64Array.from({ length: samples.length / 2 }, (_, i) => samples[2 * i + 1] / 32768),
};
const spectrum = estimateSpectrum(signal, {
  sampleRateHz: SAMPLE_RATE_HZ,
  method: 'segments',
  window: 'blackmanHarris',
  segmentLength,
  overlapRatio: 0.5,
  periodic: false,
});

// Tolerance: both integrate the same bins; what is left is rounding. Required: within 0.01 dB.
test.each(Object.entries(masks))('%s: worst room, its place and its level', (id, known) => {
  const mask = maskLimit(emissionMask(id), { name: id, rangeHz, ratedPowerDbm: meanDbm });
  const scale = { unitDbm: meanDbm - powerRatioToDb(meanPower(signal)), meanDbm };
  const carriers = [{ offsetHz: 0, channelBandwidthHz: channelHz }];
  const { reading } = measureMask(spectrum, SAMPLE_RATE_HZ, carriers, mask, scale);
  if (reading === null) throw new Error('no reading');
  expect(reading.worstMarginDb).toBeCloseTo(known.worstMarginDb, 6);
  expect(reading.levelDbm).toBeCloseTo(known.levelDbm, 6);
  expect(reading.limitDbm).toBeCloseTo(known.limitDbm, 6);
  expect(reading.side).toBe(known.sign < 0 ? 'lower' : 'upper');
  expect(reading.distanceHz).toBeCloseTo(known.distanceHz, 3);
  expect(reading.measuringBandwidthHz).toBe(known.measuringBandwidthHz);
});
