// When one intercept may be stated: on points made up from closed forms, without a run.
import { describe, expect, test } from 'vitest';
import type { TonePoint } from '../../../shared/schema/studyReport.ts';
import { interceptOf, localSlopes, oneLevelIntercept } from '../../../src/engine/study/toneIntercept.ts';

/** Levels of a cubic c₁ = 1, c₃ = −0.1 (OIP3 10 dB), highest first; tones at −backoff dB of drive. */
function cubicLevels(backoffs: readonly number[], change: Partial<TonePoint> = {}, slopeOff = 0): TonePoint[] {
  const lines = backoffs.map((backoff) => {
    const a2 = 10 ** (-backoff / 10);
    return { tone: -backoff + 20 * Math.log10(1 - 0.3 * a2), im3: 20 * Math.log10(0.1 * a2) - backoff, a2 };
  });
  const slopes = localSlopes(
    lines.map(({ tone }) => tone),
    lines.map(({ im3 }) => im3),
  );
  return lines.map(({ tone, im3, a2 }, i) => ({
    toneBackoffDb: backoffs[i]!,
    toneSpacingHz: 1e6,
    tonePowerDbm: null,
    bothTonesDbm: null,
    peakEnvelopeDbm: null,
    compressionDb: -20 * Math.log10(1 - 0.3 * a2),
    uncorrected: (['lower', 'upper'] as const).map((side) => ({
      side,
      tonePowerDbm: null,
      toneLevelDb: tone,
      im3Dbc: im3 - tone,
      im5Dbc: null,
      im7Dbc: null,
      im3Dbm: null,
      im5Dbm: null,
      im3Slope: slopes[i] === null ? null : slopes[i]! + slopeOff,
      oip3Dbm: null,
      oip3OverSaturationDb: oneLevelIntercept(tone, tone, im3),
    })),
    corrected: null,
    correctionUsed: false,
    ...change,
  }));
}

const every = (from: number, to: number) => Array.from({ length: to - from + 1 }, (_, i) => from + i);

describe('local slopes', () => {
  test('a straight line of 3 dB per dB has slope 3 everywhere, also at its ends and on uneven steps', () => {
    const x = [0, -1, -3, -4.5];
    const slopes = localSlopes(
      x,
      x.map((value) => 3 * value - 20),
    );
    for (const slope of slopes) expect(slope).toBeCloseTo(3, 12);
  });

  test('a gap leaves its neighbours without a slope, a single point has none', () => {
    expect(localSlopes([0, 1, 2], [0, null, 6])).toEqual([null, 3, null]);
    expect(localSlopes([5], [1])).toEqual([null]);
  });
});

describe('one intercept', () => {
  test('the value moves by 1.5 − s/2 dB per dB of tone power: 0.1 dB at slopes of 2.8 and 3.2', () => {
    for (const slope of [2.8, 3, 3.2]) {
      const at = (tone: number) => oneLevelIntercept(tone, tone, slope * tone - 20);
      expect(at(1) - at(0)).toBeCloseTo(1.5 - slope / 2, 12);
    }
  });

  test('unequal tones: the product beside tone 1 is 2·P₁ + P₂ − 2·OIP3 (binomial expansion of the cubic)', () => {
    const [own, other, oip3] = [-20, -32, 10];
    expect(oneLevelIntercept(own, other, 2 * own + other - 2 * oip3)).toBe(oip3);
  });

  test('averaged over the lowest 10 dB of a run that ends where the tones are compressed by 0.2 dB', () => {
    const levels = cubicLevels(every(5, 30));
    const { intercept } = interceptOf(levels);
    expect(intercept).toMatchObject({ fromToneBackoffDb: 20, toToneBackoffDb: 30, levelCount: 11 });
    // TT-05: the bias of the highest level averaged is 1.5 times its compression.
    expect(Math.abs((intercept?.oip3OverSaturationDb ?? 0) - 10)).toBeLessThan(0.02);
    const short = interceptOf(cubicLevels(every(5, 14))).intercept;
    // 0.3·10^(−b/10) < 1 − 10^(−0.01): b above 11.2 dB.
    expect(short).toMatchObject({ fromToneBackoffDb: 12, toToneBackoffDb: 14, levelCount: 3 });
  });

  test('a lowest level that does not qualify refuses, whatever stands above it', () => {
    const steep = [...cubicLevels(every(20, 29)), ...cubicLevels([30, 31], {}, 0.3).slice(1)];
    const { intercept, refusal } = interceptOf(steep);
    expect(intercept).toBeNull();
    expect(refusal).toMatch(
      /^at the lowest level, one tone 31\.0 dB below saturated power, .* by 3\.30 dB per dB of tone/,
    );
  });

  test.each([
    [0.25, 'compressed by 0.25 dB'],
    [-0.3, 'expanded by 0.30 dB'],
  ])('tones %d dB off their small-signal gain refuse', (compressionDb, words) => {
    expect(interceptOf(cubicLevels([28, 29, 30], { compressionDb })).refusal).toContain(words);
  });

  test('the worse side is the one stated', () => {
    const levels = cubicLevels([28, 29, 30]).map((point) => ({
      ...point,
      uncorrected: point.uncorrected.map((side) =>
        side.side === 'lower' ? { ...side, oip3OverSaturationDb: (side.oip3OverSaturationDb ?? 0) - 2 } : side,
      ),
    }));
    const { intercept } = interceptOf(levels);
    expect(intercept?.side).toBe('lower');
    // Compression of the highest level takes 0.003 dB.
    expect(Math.abs((intercept?.oip3OverSaturationDb ?? 0) - 8)).toBeLessThan(0.01);
    expect(Math.abs((intercept?.sides[1]?.oip3OverSaturationDb ?? 0) - 10)).toBeLessThan(0.01);
  });

  test('nothing read, one level, products outside the band or at rounding: each has its reason', () => {
    expect(interceptOf([]).refusal).toContain('no level of the range is within reach');
    expect(interceptOf(cubicLevels([30])).refusal).toContain('one level has no slope');
    const products = (im3Dbc: number | null) =>
      cubicLevels([29, 30]).map((point) => ({
        ...point,
        uncorrected: point.uncorrected.map((side) => ({ ...side, im3Dbc, im3Slope: im3Dbc === null ? null : 3 })),
      }));
    expect(interceptOf(products(null)).refusal).toContain('outside the record’s band');
    expect(interceptOf(products(-270)).refusal).toContain('arithmetic’s own floor');
  });
});
