// The scatter a reading states of itself, against how far readings of other records really lie.
import { describe, expect, test } from 'vitest';
import type { MaskLimitSettings } from '../../../shared/schema/measurement.ts';
import type { Samples } from '../../../src/engine/dsp/complex.ts';
import { scale } from '../../../src/engine/dsp/complex.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { estimateSpectrum } from '../../../src/engine/dsp/spectrum.ts';
import { makeWindow } from '../../../src/engine/dsp/windows.ts';
import { measureAclr } from '../../../src/engine/measurement/aclr.ts';
import { measureMask } from '../../../src/engine/measurement/emissionMask.ts';
import { measureSlots } from '../../../src/engine/measurement/slots.ts';

const SAMPLE_RATE_HZ = 122.88e6;
const SEGMENT = 2048;
const carriers = [{ offsetHz: 0, occupiedBandwidthHz: 9e6, channelBandwidthHz: 10e6 }];
const channel = { name: 'adjacent', offsetHz: 10e6, bandwidthHz: 9e6 };

/** White Gaussian noise: own and adjacent channel are independent and alike. */
function noise(length: number, seed: number) {
  const random = createRandom(seed, 'spread');
  const draw = (): Samples => Float64Array.from({ length }, () => random.normal());
  return scale({ re: draw(), im: draw() }, Math.SQRT1_2);
}

function spectra(segmentCount: number, overlapRatio: number) {
  return Array.from({ length: 60 }, (_, seed) =>
    estimateSpectrum(noise(SEGMENT * segmentCount, seed), {
      sampleRateHz: SAMPLE_RATE_HZ,
      method: 'segments',
      window: 'blackmanHarris',
      segmentLength: SEGMENT,
      overlapRatio,
    }),
  );
}

function readings(segmentCount: number, overlapRatio: number) {
  return spectra(segmentCount, overlapRatio).map((spectrum) => {
    const [reading] = measureAclr(spectrum, SAMPLE_RATE_HZ, carriers, [channel]).readings;
    return { aclrDb: reading.aclrDb, spreadDb: reading.spreadDb ?? Number.NaN };
  });
}

const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;

function deviation(values: readonly number[]): number {
  const middle = mean(values);
  return Math.sqrt(values.reduce((sum, value) => sum + (value - middle) ** 2, 0) / (values.length - 1));
}

/** One standard deviation in dB of the power in 9 MHz of white noise, over segments that do not overlap. */
function bandDeviationDb(segmentCount: number): number {
  const w = makeWindow('blackmanHarris', SEGMENT);
  const power = w.reduce((sum, value) => sum + value ** 2, 0);
  const fourth = w.reduce((sum, value) => sum + value ** 4, 0);
  const independent = (segmentCount * 9e6 * SEGMENT * power ** 2) / (SAMPLE_RATE_HZ * SEGMENT * fourth);
  return (10 / Math.LN10) * Math.sqrt(1 / independent);
}

/** One place of 9 MHz on either side. */
const wideMask: MaskLimitSettings = {
  reading: 'mask',
  name: 'mask',
  unit: 'dBm',
  measuredFrom: 'channelEdge',
  ratedPowerDbm: null,
  pieces: [
    {
      fromHz: 7e6,
      toHz: 7e6,
      startLevel: 0,
      endLevel: 0,
      measuringBandwidthHz: 9e6,
      atMostDbm: null,
      atLeastDbm: null,
    },
  ],
  source: 'own limit',
  status: 'own',
};

describe('spreadDb (product.md F31, pitfall P33)', () => {
  // Source: sampling theory: the deviation of 60 records is known to 1/√118 = 9 %; three of these either way, and as much
  // again for the mean of the stated ones. Half-overlapped segments under this window share 4 % of their amplitude.
  test.each([
    [16, 0],
    [64, 0],
    [16, 0.5],
  ])('%d lengths of a segment, overlap %f: stated and real scatter agree', (segmentCount, overlapRatio) => {
    const all = readings(segmentCount, overlapRatio);
    const real = deviation(all.map(({ aclrDb }) => aclrDb));
    const stated = mean(all.map(({ spreadDb }) => spreadDb));
    expect(stated / real).toBeGreaterThan(0.72);
    expect(stated / real).toBeLessThan(1.38);
  });

  // Source: power of a band B of Gaussian noise under a window over T: variance/mean² = Σw⁴·N/(Σw²)²/(B·T) (Bendat and
  // Piersol, from memory); of the ratio of two independent bands twice that.
  test('16 segments of 9 MHz: the closed form', () => {
    const expected = bandDeviationDb(16) * Math.SQRT2;
    const stated = mean(readings(16, 0).map(({ spreadDb }) => spreadDb));
    expect(stated / expected).toBeGreaterThan(0.94);
    expect(stated / expected).toBeLessThan(1.06);
  });

  // The same closed form: a slot is a ratio of two bands, a mask's level that of one (the higher side counts, which
  // moves its mean by less than its deviation of 3 %).
  test('a slot and a mask state it as well', () => {
    const slot = { name: 'slot', centreHz: 12e6, bandwidthHz: 9e6, referenceCarriers: [] };
    const slotCarriers = [{ ...carriers[0], notch: null, singleCarrier: null }];
    const stated = spectra(16, 0).map((spectrum) => {
      const { reading } = measureMask(spectrum, SAMPLE_RATE_HZ, carriers, wideMask, { unitDbm: 0, meanDbm: 0 });
      const [inSlot] = measureSlots(spectrum, SAMPLE_RATE_HZ, slotCarriers, [slot]);
      return { slot: inSlot.spreadDb ?? Number.NaN, mask: reading?.spreadDb ?? Number.NaN };
    });
    const expected = bandDeviationDb(16);
    expect(mean(stated.map((one) => one.slot)) / (expected * Math.SQRT2)).toBeCloseTo(1, 1);
    // The level is one against the whole power, of which the band is a share: √(1 − 9/122.88).
    expect(mean(stated.map((one) => one.mask)) / (expected * Math.sqrt(1 - 9 / 122.88))).toBeCloseTo(1, 1);
  });

  test('a burst pattern that gates runs of segments does not count as scatter', () => {
    const gated = noise(SEGMENT * 64, 1);
    for (let n = 0; n < gated.re.length; n++) {
      const share = Math.floor(n / SEGMENT / 8) % 2 === 0 ? 1 : 0.1;
      gated.re[n] *= share;
      gated.im[n] *= share;
    }
    const spectrum = estimateSpectrum(gated, {
      sampleRateHz: SAMPLE_RATE_HZ,
      method: 'segments',
      window: 'blackmanHarris',
      segmentLength: SEGMENT,
      overlapRatio: 0,
    });
    const { reading } = measureMask(spectrum, SAMPLE_RATE_HZ, carriers, wideMask, { unitDbm: 0, meanDbm: 0 });
    // 64 segments: half the deviation of 16. Gating alone would be 4.34 dB/√32 = 0.8 dB.
    expect(reading?.spreadDb ?? Number.NaN).toBeLessThan(bandDeviationDb(16));
  });
});
