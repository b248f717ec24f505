// The standards' tables and the published amplifiers: sources, and arithmetic that must hold within them.
import { describe, expect, test } from 'vitest';
import { findNumerology, numerologies, numerologySources } from '../../shared/tables/numerologies.ts';
import { publishedAmplifierOrigin, publishedAmplifiers } from '../../shared/tables/publishedAmplifiers.ts';

describe('numerologies', () => {
  test('each standard names its source', () => {
    expect(numerologySources.nr).toContain('TS 38.104');
    expect(numerologySources.lte).toContain('TS 36.104');
  });

  test('transmission bandwidth is 12 × resource blocks × spacing, inside the channel (TS 38.104 clause 5.3.2)', () => {
    for (const row of numerologies) {
      const width = 12 * row.resourceBlockCount * row.subcarrierSpacingHz;
      expect(row.transmissionBandwidthHz).toBe(width);
      expect(width).toBeLessThan(row.channelBandwidthHz);
      expect(12 * row.resourceBlockCount).toBeLessThan(row.fftLength);
    }
  });

  test('the prefix is 9/128 of the transform and holds the EVM window (144 of 2048, TS 38.211 clause 5.3.1)', () => {
    for (const row of numerologies) {
      expect(row.cyclicPrefixSamples).toBe((9 * row.fftLength) / 128);
      expect(row.evmWindowSamples).toBeGreaterThan(0);
      expect(row.evmWindowSamples).toBeLessThanOrEqual(row.cyclicPrefixSamples);
    }
  });

  // Source: TS 36.104 Table 5.6-1 and TS 38.104 Table 5.3.2-1, rows known by heart in the trade.
  test.each<['lte' | 'nr', number, number, number]>([
    ['lte', 10e6, 15e3, 50],
    ['lte', 20e6, 15e3, 100],
    ['nr', 10e6, 15e3, 52],
    ['nr', 20e6, 30e3, 51],
    ['nr', 100e6, 30e3, 273],
  ])('%s %d Hz at %d Hz holds %d resource blocks', (standard, channelHz, spacingHz, blocks) => {
    expect(findNumerology(standard, channelHz, spacingHz)?.resourceBlockCount).toBe(blocks);
  });

  test('no row twice, and none where the standard has none', () => {
    const keys = numerologies.map((row) => `${row.standard} ${row.channelBandwidthHz} ${row.subcarrierSpacingHz}`);
    expect(new Set(keys).size).toBe(keys.length);
    expect(findNumerology('nr', 5e6, 60e3)).toBeUndefined();
    expect(findNumerology('lte', 10e6, 30e3)).toBeUndefined();
  });
});

describe('published amplifiers', () => {
  test('the collection says where it was printed', () => {
    expect(publishedAmplifierOrigin).toContain('R4-165901');
  });

  test.each(Object.entries(publishedAmplifiers))('%s: a status, and as many real as imaginary parts', (_id, entry) => {
    expect(entry.status).toMatch(/^(read|recalled)/);
    for (const { re, im } of entry.terms ?? []) {
      expect(re.length).toBeGreaterThan(0);
      expect(im).toHaveLength(re.length);
    }
  });

  test('models with memory state the rate at which their taps hold', () => {
    for (const [id, { terms = [], sample_rate_Hz: rateHz }] of Object.entries(publishedAmplifiers)) {
      const hasMemory = terms.some(({ l, m }) => l !== 0 || m !== 0);
      // Ding's paper prints its polynomial per sample of its own test signal and no rate.
      if (hasMemory && id !== 'Ding_2004') expect(rateHz, id).toBeGreaterThan(1e6);
    }
  });
});
