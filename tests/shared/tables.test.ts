// The standards' tables and the published amplifiers: sources, and arithmetic that must hold within them.
import { describe, expect, test } from 'vitest';
import { apskRingRatios, DEFAULT_APSK_CODE_RATE, ringRatiosAtCodeRate } from '../../shared/tables/apskRingRatios.ts';
import { findNumerology, numerologies, numerologySources } from '../../shared/tables/numerologies.ts';
import { publishedAmplifierOrigin, publishedAmplifiers } from '../../shared/tables/publishedAmplifiers.ts';
import standardRows from '../reference/numerologyRows.json' with { type: 'json' };

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

  // Source: TS 38.104 Tables 5.3.2-1, 5.3.3-1, B.5.2-1 to -3 (read); TS 36.104 Table 5.6-1, E.5.1-1 (as noted there):
  // every cell, kept in tests/reference.
  const printed = [
    ...standardRows.nr.rows.map((row) => ({
      standard: 'nr' as const,
      channelBandwidthHz: row.bw_MHz * 1e6,
      subcarrierSpacingHz: row.scs_kHz * 1e3,
      slotsPerMs: row.slots_per_subframe,
      blocks: row.n_rb,
      fftLength: row.fft,
      prefix: row.cp_normal,
      window: row.evm_window_W_bs,
      guardHz: row.min_guard_kHz * 1e3,
      sampleRateHz: row.sample_rate_Hz,
    })),
    ...standardRows.lte.rows.map((row) => ({
      standard: 'lte' as const,
      channelBandwidthHz: row.bw_MHz * 1e6,
      subcarrierSpacingHz: 15e3,
      slotsPerMs: 1,
      blocks: row.n_rb,
      fftLength: row.fft,
      prefix: row.cp_symbols1to6,
      window: row.evm_window_W_normal,
      guardHz: row.nominal_guard_each_side_MHz * 1e6,
      sampleRateHz: row.sample_rate_Hz,
    })),
  ];

  test('all 41 cells of NR FR1 and 6 of LTE are there, and no other', () => {
    expect(printed.filter(({ standard }) => standard === 'nr')).toHaveLength(41);
    expect(printed.filter(({ standard }) => standard === 'lte')).toHaveLength(6);
    expect(numerologies).toHaveLength(47);
  });

  test.each(printed)('$standard $channelBandwidthHz Hz, $subcarrierSpacingHz Hz is as printed', (cell) => {
    const row = findNumerology(cell.standard, cell.channelBandwidthHz, cell.subcarrierSpacingHz);
    expect(row).toMatchObject({
      resourceBlockCount: cell.blocks,
      fftLength: cell.fftLength,
      cyclicPrefixSamples: cell.prefix,
      evmWindowSamples: cell.window,
    });
    if (row === undefined) return;
    // Guard: what is left of the channel on either side; NR prints half a spacing less (TS 38.104 clause 5.3.3).
    const besideHz = (row.channelBandwidthHz - row.transmissionBandwidthHz) / 2;
    const guardHz = cell.standard === 'nr' ? besideHz - row.subcarrierSpacingHz / 2 : besideHz;
    expect(guardHz).toBeCloseTo(cell.guardHz, 3);
    // One millisecond: 14 symbols a slot, and two prefixes longer by fft·2^µ/128 (16κ·Tc, TS 38.211 clause 5.3.1).
    expect(row.fftLength * row.subcarrierSpacingHz).toBe(cell.sampleRateHz);
    const symbols = 14 * cell.slotsPerMs * (row.fftLength + row.cyclicPrefixSamples);
    const longer = (2 * row.fftLength * cell.slotsPerMs) / 128;
    expect(symbols + longer).toBe(cell.sampleRateHz / 1000);
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

describe('ring ratios of amplitude-phase keying', () => {
  // Source: EN 302 307-1 Tables 9 and 10 (from memory): the higher the code rate, the closer the rings.
  test.each(['16APSK', '32APSK'] as const)('%s: ratios fall with the code rate and rise outwards', (modulation) => {
    const rows = apskRingRatios[modulation];
    const columns = rows[0]?.ratios.map((_, ring) => rows.map(({ ratios }) => ratios[ring] ?? 0)) ?? [];
    for (const column of columns) expect(column).toEqual([...column].sort((a, b) => b - a));
    for (const { ratios } of rows) expect(ratios).toEqual([...ratios].sort((a, b) => a - b));
  });

  test('the rate of "auto" is in both tables; one that is not throws', () => {
    expect(ringRatiosAtCodeRate('16APSK', DEFAULT_APSK_CODE_RATE)).toEqual([2.7]);
    expect(ringRatiosAtCodeRate('32APSK', DEFAULT_APSK_CODE_RATE)).toEqual([2.64, 4.64]);
    expect(() => ringRatiosAtCodeRate('32APSK', '2/3')).toThrow(RangeError);
  });
});
