// Verdicts on made-up readings, in closed form.
import { describe, expect, test } from 'vitest';
import type { LimitSettings } from '../../../shared/schema/measurement.ts';
import type { AclrReading, OutputReport } from '../../../shared/schema/report.ts';
import { aclrLimits } from '../../../shared/tables/aclrRules.ts';
import { densityDbmPerMHz } from '../../../src/engine/measurement/aclr.ts';
import { judge, unjudged } from '../../../src/engine/simulation/verdicts.ts';

const reading = (change: Partial<AclrReading>): AclrReading => ({
  channel: 'adjacent',
  side: 'lower',
  offsetHz: 10e6,
  centreHz: -10e6,
  bandwidthHz: 9.36e6,
  filter: 'square',
  aclrDb: 45,
  spreadDb: null,
  densityDbmPerMHz: null,
  limitedBy: null,
  ...change,
});

/** Only what is judged. */
const output = (parts: Partial<OutputReport>) =>
  ({ aclr: [], masks: [], slots: [], notch: null, twoTone: null, evm: null, ...parts }) as unknown as OutputReport;

const aclrLimit = (change: Partial<Extract<LimitSettings, { reading: 'aclr' }>> = {}): LimitSettings => ({
  reading: 'aclr',
  channel: 'adjacent',
  requiredDb: 45,
  absoluteDbmPerMHz: null,
  source: 'own limit',
  status: 'own',
  ...change,
});

const verdict = (parts: Partial<OutputReport>, limit: LimitSettings) => {
  const verdicts = judge('uncorrected', output(parts), [limit]);
  expect(verdicts).toHaveLength(1);
  return verdicts[0];
};

describe('ACLR: ratio or density', () => {
  /** 9.36 MHz at 36.5 dBm, reading this ratio on both sides. */
  const link = (aclrDb: number) => ({
    aclr: (['lower', 'upper'] as const).map((side) =>
      reading({ side, aclrDb, densityDbmPerMHz: densityDbmPerMHz(36.5, aclrDb, 9.36e6) }),
    ),
  });

  // Source: standards.md section 0, from TS 38.104 clause 6.6.3.3: a 9.36 MHz carrier at 36.5 dBm needs 39.8 dB as Wide
  // Area of category A, 41.8 dB of category B, and the full 45 dB as Medium Range. 0.05 dB: printed digits.
  test.each([
    ['Wide Area, Category A', 39.8, 'absolute'],
    ['Wide Area, Category B', 41.8, 'absolute'],
    ['Medium Range', 45, 'ratio'],
    ['Local Area', 45, 'ratio'],
  ] as const)('%s needs %f dB at 36.5 dBm', (className, neededDb, metBy) => {
    const [adjacent] = aclrLimits('ts38104', className);
    const above = verdict(link(neededDb + 0.05), adjacent);
    const below = verdict(link(neededDb - 0.05), adjacent);
    expect([above.state, below.state]).toEqual(['pass', 'fail']);
    expect([above.metBy, below.metBy]).toEqual([metBy, metBy]);
    expect(above.source).toContain(className);
    expect(above.status).toBe('read');
    const { required, unit } = above;
    expect({ required, unit }).toEqual(
      metBy === 'ratio'
        ? { required: 45, unit: 'dB' }
        : { required: className.endsWith('A') ? -13 : -15, unit: 'dBm/MHz' },
    );
  });

  // 36.5 − 40 − 10·log10(9.36) = −13.21 dBm/MHz: 0.21 dB under −13, 5 dB short of 45 dB.
  test('tells the alternative with more room, and its numbers', () => {
    const limit = aclrLimit({ absoluteDbmPerMHz: -13 });
    expect(verdict(link(40), limit)).toMatchObject({
      required: -13,
      measured: expect.closeTo(-13.213, 3),
      marginDb: expect.closeTo(0.213, 3),
      metBy: 'absolute',
      state: 'pass',
    });
    expect(verdict(link(40), aclrLimit({ absoluteDbmPerMHz: -25 }))).toMatchObject({
      required: 45,
      measured: 40,
      marginDb: -5,
      metBy: 'ratio',
      state: 'fail',
    });
  });

  test('without a power scale the ratio alone counts', () => {
    const limit = aclrLimit({ absoluteDbmPerMHz: -13 });
    expect(verdict({ aclr: [reading({ aclrDb: 40 })] }, limit)).toMatchObject({
      unit: 'dB',
      metBy: null,
      marginDb: -5,
    });
  });
});

describe('ACLR: sides and channels', () => {
  // Pitfall P28: a one-sided number hides the worst side.
  test('both sides are judged and the worse is kept, with its place', () => {
    const aclr = [
      reading({ aclrDb: 46.2 }),
      reading({ side: 'upper', aclrDb: 44.1, centreHz: 10e6, limitedBy: 'idealLimiter' }),
      reading({ channel: 'alternate', aclrDb: 30 }),
    ];
    expect(verdict({ aclr }, aclrLimit())).toMatchObject({
      channel: 'adjacent',
      side: 'upper',
      atHz: 10e6,
      measured: 44.1,
      marginDb: expect.closeTo(-0.9, 9),
      limitedBy: 'idealLimiter',
      state: 'fail',
    });
    expect(verdict({ aclr }, aclrLimit({ channel: 'all' }))).toMatchObject({ channel: 'alternate', measured: 30 });
  });

  // Each side by its easier alternative: the upper one has the worse ratio and is met by its density.
  test('the worst side is the one with the least room, not the least ratio', () => {
    const aclr = [
      reading({ aclrDb: 44, densityDbmPerMHz: -12 }),
      reading({ side: 'upper', aclrDb: 41, densityDbmPerMHz: -14 }),
    ];
    expect(verdict({ aclr }, aclrLimit({ absoluteDbmPerMHz: -13 }))).toMatchObject({
      side: 'lower',
      marginDb: -1,
      metBy: 'ratio',
    });
  });

  test('several slots in gaps share a name; the worst speaks', () => {
    const aclr = [44, 43, 46].map((aclrDb, i) => reading({ channel: 'gap', aclrDb, centreHz: i * 5e6 }));
    expect(verdict({ aclr }, aclrLimit({ channel: 'gap' }))).toMatchObject({ channel: 'gap', measured: 43, atHz: 5e6 });
  });
});

describe('marginal', () => {
  // Pitfall P33: no verdict below the scatter; |margin| < 2 standard deviations.
  test.each([
    [45.5, 0.2, 'pass'],
    [45.5, 0.26, 'marginal'],
    [44.5, 0.26, 'marginal'],
    [44.5, 0.24, 'fail'],
    [45, 0.01, 'marginal'],
    [45, null, 'pass'],
    [44.9, null, 'fail'],
  ] as const)('%f dB ± %f against 45 dB is %s', (aclrDb, spreadDb, state) => {
    const one = verdict({ aclr: [reading({ aclrDb, spreadDb })] }, aclrLimit());
    expect(one).toMatchObject({ state, spreadDb });
    expect(Math.sign(one.marginDb)).toBe(Math.sign(aclrDb - 45));
  });
});

describe('other limits', () => {
  const own = { source: 'contract', status: 'own' } as const;

  test.each([
    [9.8e6, 0.0877, 'pass'],
    [10.2e6, -0.086, 'fail'],
  ] as const)('occupied bandwidth %d Hz', (occupiedBandwidthHz, marginDb, state) => {
    const limit: LimitSettings = { reading: 'occupiedBandwidth', requiredHz: 10e6, ...own };
    expect(verdict({ occupiedBandwidthHz }, limit)).toMatchObject({
      required: 10e6,
      measured: occupiedBandwidthHz,
      unit: 'Hz',
      marginDb: expect.closeTo(marginDb, 3),
      state,
    });
  });

  test('mask, by its name', () => {
    const mask = {
      name: 'wide area',
      source: 'contract',
      status: 'own',
      unit: 'dBm',
      worstMarginDb: -1.5,
      side: 'upper',
      atHz: 7.5e6,
      distanceHz: 2.5e6,
      levelDbm: -12.5,
      limitDbm: -14,
      measuringBandwidthHz: 1e5,
      spreadDb: 0.7,
      limitedBy: 'estimator',
      judgedToHz: 10e6,
      isComplete: true,
    } as const;
    const limit = { reading: 'mask', name: 'wide area', ...own } as unknown as LimitSettings;
    expect(verdict({ masks: [{ ...mask, name: 'another', worstMarginDb: 3 }, mask] }, limit)).toMatchObject({
      name: 'wide area',
      side: 'upper',
      atHz: 7.5e6,
      required: -14,
      measured: -12.5,
      unit: 'dBm',
      marginDb: -1.5,
      limitedBy: 'estimator',
      spreadDb: 0.7,
      state: 'fail',
    });
    expect(verdict({ masks: [{ ...mask, spreadDb: 0.8 }] }, limit)).toMatchObject({ state: 'marginal' });
  });

  // Pitfall P18: a notch of the waveform itself less than 15 dB deeper than the reading fills it.
  test.each([
    [35, 'source'],
    [50, null],
  ] as const)('notch 30 dB over a source of %d dB', (sourceRatioDb, limitedBy) => {
    const notch = { carrierIndex: 0, ratioDb: 30, sourceRatioDb, method: 'wholeRecord' } as const;
    const limit: LimitSettings = { reading: 'notch', requiredDb: 28, ...own };
    expect(verdict({ notch }, limit)).toMatchObject({
      measured: 30,
      marginDb: 2,
      unit: 'dB',
      limitedBy,
      state: 'pass',
    });
  });

  test('slot, by its name', () => {
    const slot = (name: string, ratioDb: number) => ({
      name,
      centreHz: 1e6,
      bandwidthHz: 1e6,
      ratioDb,
      spreadDb: 0.6,
      densityDbmPerMHz: null,
      limitedBy: 'idealLimiter' as const,
    });
    const limit: LimitSettings = { reading: 'slot', name: 'empty', requiredDb: 30, ...own };
    expect(verdict({ slots: [slot('other', 10), slot('empty', 29)] }, limit)).toMatchObject({
      name: 'empty',
      atHz: 1e6,
      measured: 29,
      marginDb: -1,
      limitedBy: 'idealLimiter',
      spreadDb: 0.6,
      state: 'marginal',
    });
  });

  // Tones of 0 and −2 dB; third-order products 40 dB under the lower and 42 dB under the upper tone, at −40 and −44 dB:
  // the weaker tone is 38 dB over the stronger product. Fifth order at −60 and −61 dB: 58 dB.
  test.each([
    [3, 38, 'lower'],
    [5, 58, 'lower'],
  ] as const)('intermodulation of order %d: weaker tone over stronger product', (order, measured, side) => {
    const product = (of: number, on: 'lower' | 'upper', ratioDb: number) => ({
      order: of,
      side: on,
      offsetHz: 0,
      powerDbm: null,
      ratioDb,
    });
    const twoTone = {
      carrierIndex: 0,
      toneSpacingHz: 1e6,
      tones: [
        { side: 'lower', powerDbm: null, levelDb: 0 },
        { side: 'upper', powerDbm: null, levelDb: -2 },
      ],
      products: [product(3, 'lower', 40), product(3, 'upper', 42), product(5, 'lower', 60), product(5, 'upper', 59)],
    } as const;
    const limit: LimitSettings = { reading: 'intermodulation', order, requiredDb: 37, ...own };
    expect(verdict({ twoTone }, limit)).toMatchObject({ measured, marginDb: measured - 37, side, unit: 'dB' });
  });

  // 20·log10(5/4) = 1.94 dB.
  test('EVM counts in amplitude', () => {
    const limit: LimitSettings = { reading: 'evm', requiredPercent: 5, ...own };
    const evm = { rmsPercent: 4 } as OutputReport['evm'];
    expect(verdict({ evm }, limit)).toMatchObject({ unit: '%', marginDb: expect.closeTo(1.938, 3), state: 'pass' });
  });

  test('what has no reading has no verdict and says so', () => {
    const limits: LimitSettings[] = [
      aclrLimit(),
      { reading: 'evm', requiredPercent: 5, ...own },
      { reading: 'notch', requiredDb: 28, ...own },
      { reading: 'slot', name: 'empty', requiredDb: 30, ...own },
      { reading: 'intermodulation', order: 3, requiredDb: 30, ...own },
    ];
    const nothing = output({ occupiedBandwidthHz: 9e6 });
    expect(judge('uncorrected', nothing, limits)).toEqual([]);
    const warnings = unjudged(nothing, limits);
    expect(warnings.map(({ code }) => code)).toEqual(Array(5).fill('limit-not-judged'));
    expect(warnings[3]?.message).toContain('slot empty ≥ 30 dB');
    expect(unjudged(output({ aclr: [reading({})] }), [aclrLimit()])).toEqual([]);
  });

  test('verdicts come worst first', () => {
    const limits = [aclrLimit(), aclrLimit({ requiredDb: 50 }), aclrLimit({ requiredDb: 40 })];
    const margins = judge('corrected', output({ aclr: [reading({})] }), limits).map(({ marginDb }) => marginDb);
    expect(margins).toEqual([-5, 0, 5]);
  });
});
