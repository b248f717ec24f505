import { describe, expect, test } from 'vitest';
import { makeWindow, noiseBandwidthBins, type WindowName } from '../../../src/engine/dsp/windows.ts';
import checks from '../../reference/checks.json' with { type: 'json' };

const LENGTH = 4096;
/** Our names of the rows of reference check ME-02 (Harris 1978, Proc. IEEE 66(1), Table I; recomputed for N → ∞). */
const ROWS: [WindowName, keyof (typeof checks)['ME-02']['expected']][] = [
  ['rectangular', 'boxcar'],
  ['hann', 'hann'],
  ['blackmanHarris', 'blackmanharris'],
  ['flatTop', 'flattop'],
];

function sum(values: Float64Array): number {
  return values.reduce((total, value) => total + value, 0);
}

/** |W| at a distance in bins from the window's centre frequency, over |W(0)|. */
function responseAt(w: Float64Array, bins: number): number {
  let re = 0;
  let im = 0;
  w.forEach((value, n) => {
    re += value * Math.cos((2 * Math.PI * bins * n) / w.length);
    im -= value * Math.sin((2 * Math.PI * bins * n) / w.length);
  });
  return Math.hypot(re, im) / sum(w);
}

/** Highest |W| beyond the first null, in dB, on a grid of 1/50 bin. */
function highestSidelobeDb(w: Float64Array, firstNullBins: number): number {
  let highest = 0;
  for (let bins = firstNullBins; bins < 20; bins += 0.02) highest = Math.max(highest, responseAt(w, bins));
  return 20 * Math.log10(highest);
}

/** Correlation of the noise in two segments that overlap by this share. */
function overlapCorrelation(w: Float64Array, share: number): number {
  const hop = Math.round(w.length * (1 - share));
  let cross = 0;
  for (let n = 0; n + hop < w.length; n++) cross += w[n] * w[n + hop];
  return cross / sum(w.map((value) => value * value));
}

// Tolerances of the check itself: ENBW 1e-4, scalloping 0.01 dB, sidelobe 0.3 dB.
describe.each(ROWS)('%s window', (name, row) => {
  const expected = checks['ME-02'].expected[row];
  const w = makeWindow(name, LENGTH);

  test('coherent gain', () => {
    expect(sum(w) / LENGTH).toBeCloseTo(expected.coherent_gain, 6);
  });

  test('equivalent noise bandwidth', () => {
    expect(Math.abs(noiseBandwidthBins(w) - expected.ENBW_bins)).toBeLessThan(1e-4);
  });

  test('scalloping loss half a bin away', () => {
    expect(Math.abs(-20 * Math.log10(responseAt(w, 0.5)) - expected.scallop_dB)).toBeLessThan(0.01);
  });

  test('half-power width', () => {
    expect(20 * Math.log10(responseAt(w, expected.bw3dB_bins / 2))).toBeCloseTo(-10 * Math.log10(2), 2);
  });

  test('highest sidelobe', () => {
    const short = makeWindow(name, 512);
    const sidelobe = highestSidelobeDb(short, expected.first_null_bins);
    expect(Math.abs(sidelobe - expected.highest_sidelobe_dB)).toBeLessThan(0.3);
  });

  test('correlation of overlapping segments', () => {
    expect(overlapCorrelation(w, 0.5)).toBeCloseTo(expected.overlap_corr_50, 4);
    expect(overlapCorrelation(w, 0.75)).toBeCloseTo(expected.overlap_corr_75, 4);
  });

  // Source: DFT-even windows repeat with N and are symmetric about N/2; scipy calls them periodic (sym=False).
  test('is periodic, not symmetric', () => {
    for (let n = 1; n < LENGTH; n++) expect(w[n]).toBeCloseTo(w[LENGTH - n], 12);
    if (name === 'hann') expect([w[0], w[LENGTH / 2]]).toEqual([0, 1]);
  });
});
