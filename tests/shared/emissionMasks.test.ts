// The tables against a copy of the standards' values (tests/reference/standardLimits.json: TS 38.104 v19.4.0 and others,
// with what was read and what recalled), piece by piece.

import * as v from 'valibot';
import { describe, expect, test } from 'vitest';
import { limitSchema } from '../../shared/schema/measurement.ts';
import {
  emissionMask,
  emissionMasks,
  equipmentMaskLimit,
  equipmentMasks,
  maskLimit,
  maskSource,
  maskSources,
} from '../../shared/tables/emissionMasks.ts';
import { evmLimitPercent, evmTables } from '../../shared/tables/evmLimits.ts';
import { fccAttenuationDb, fccMaskLimit } from '../../shared/tables/fccMask.ts';
import reference from '../reference/standardLimits.json' with { type: 'json' };

interface ReferencePiece {
  readonly type: string;
  readonly foffset_MHz: readonly (number | null)[];
  readonly df_MHz: readonly (number | null)[];
  readonly mbw_kHz: number;
  readonly start?: number;
  readonly end?: number;
  readonly value?: number;
  readonly also_at_most_dBm?: number;
  readonly slope_per_MHz?: number;
}

const stations = [
  ...reference.obue_masks,
  { ...reference.utra_bs_sem, id: 'utra.bs.ge43', table: '6.3', unit: 'dBm' },
] as unknown as readonly {
  id: string;
  table: string;
  unit: string;
  status: string;
  spec: string;
  pieces: ReferencePiece[];
}[];

describe('base stations', () => {
  test('37 masks of operating-band emissions and the one of UTRA', () => {
    expect(reference.obue_masks).toHaveLength(37);
    expect(emissionMasks.map(({ id }) => id)).toEqual(stations.map(({ id }) => id));
  });

  test.each(stations.map((one) => [one.id, one] as const))('%s, piece by piece', (id, known) => {
    const mask = emissionMask(id);
    expect(known.spec.startsWith(mask.standard)).toBe(true);
    expect(mask.table).toBe(known.table);
    expect(mask.unit).toBe(known.unit === 'dBm' ? 'dBm' : 'dBrRated');
    expect(mask.pieces).toHaveLength(known.pieces.length);
    mask.pieces.forEach((piece, i) => {
      const { foffset_MHz, mbw_kHz, start, end, value, also_at_most_dBm, slope_per_MHz } = known.pieces[i]!;
      expect(piece.fromHz / 1e6).toBeCloseTo(foffset_MHz[0] as number, 9);
      if (foffset_MHz[1] === null || foffset_MHz[1] === undefined) expect(piece.toHz).toBeNull();
      else expect((piece.toHz as number) / 1e6).toBeCloseTo(foffset_MHz[1], 9);
      expect(piece.measuringBandwidthHz).toBe(mbw_kHz * 1e3);
      expect(piece.startLevel).toBeCloseTo((start ?? value) as number, 9);
      expect(piece.endLevel).toBeCloseTo((end ?? value) as number, 9);
      expect(piece.atMostDbm).toBe(also_at_most_dBm);
      if (slope_per_MHz === undefined) return;
      const slope = (piece.endLevel - piece.startLevel) / (((piece.toHz as number) - piece.fromHz) / 1e6);
      expect(slope).toBeCloseTo(slope_per_MHz, 9);
    });
  });

  test('recalled values are never called read', () => {
    for (const { id, status: known } of stations) {
      const { status } = emissionMask(id);
      if (known.startsWith('recalled')) expect(status, id).toBe('recalled');
      if (known.includes('recalled')) expect(status, id).not.toBe('read');
    }
    const count = (status: string) => emissionMasks.filter((mask) => mask.status === status).length;
    expect([count('read'), count('read+recalled'), count('recalled')]).toEqual([1, 16, 21]);
    for (const { sources } of [...emissionMasks, ...equipmentMasks]) {
      for (const name of sources) expect(maskSources[name]).toBeDefined();
    }
  });

  // Continuity: at a breakpoint f_offset both neighbours of one measuring bandwidth agree, except where the table steps:
  // −14 to −13 or −16 dBm at 10 MHz, and the like; those steps are the tables' own.
  test('slopes land on the constant that follows', () => {
    let slopes = 0;
    for (const { id, pieces } of emissionMasks) {
      pieces.slice(0, -1).forEach((piece, i) => {
        const next = pieces[i + 1]!;
        if (piece.startLevel === piece.endLevel) return;
        slopes++;
        expect(piece.toHz, id).toBe(next.fromHz);
        expect(piece.endLevel, id).toBeCloseTo(next.startLevel, 9);
      });
    }
    expect(slopes).toBeGreaterThanOrEqual(38);
  });

  test('the filters cover the spectrum without a hole: each begins where the one before ends', () => {
    for (const { id, pieces } of emissionMasks) {
      pieces.slice(1).forEach((piece, i) => {
        const before = pieces[i]!;
        const end = (before.toHz as number) + before.measuringBandwidthHz / 2;
        expect(piece.fromHz - piece.measuringBandwidthHz / 2, id).toBeLessThanOrEqual(end + 1);
      });
    }
  });
});

describe('masks as limits', () => {
  test('every mask is a limit that the schema takes, with source and status', () => {
    for (const mask of emissionMasks) {
      const limit = maskLimit(mask, { name: mask.id, rangeHz: null, ratedPowerDbm: 35 });
      expect(v.parse(limitSchema, limit)).toEqual(limit);
      expect(limit.status).toBe(mask.status);
      expect(limit.source).toBe(maskSource(mask));
      expect(limit.source).toContain(`Table ${mask.table}`);
      expect(limit.pieces.at(-1)?.toHz).toBe('end');
    }
  });

  // Source: notes of TS 38.104 Tables 6.6.4.2.1-1 and -2 (read): cut at f_offset_max; the last piece not below Δf_max 10 MHz.
  test('pieces end at f_offset_max, and the last one falls away below Δf_max = 10 MHz', () => {
    const at = (rangeHz: number) => maskLimit(emissionMask('nr.wa.A.gt1g'), { name: 'x', rangeHz }).pieces;
    expect(at(40e6).map(({ fromHz, toHz }) => [fromHz, toHz])).toEqual([
      [0.05e6, 5.05e6],
      [5.05e6, 10.05e6],
      [10.5e6, 40e6],
    ]);
    // 1 MHz filter: Δf_max = f_offset_max − 0.5 MHz.
    expect(at(10.5e6)).toHaveLength(3);
    expect(at(10.49e6)).toHaveLength(2);
    expect(at(10e6).at(-1)).toMatchObject({ fromHz: 5.05e6, toHz: 10e6, endLevel: -14 });
    // In the slope: −7 − 7/5·(2.55 − 0.05) = −10.5 dBm.
    expect(at(2.55e6)).toHaveLength(1);
    expect(at(2.55e6)[0]?.endLevel).toBeCloseTo(-10.5, 9);
  });
});

describe('user equipment', () => {
  const levelAt = (id: string, channelMHz: number, dfMHz: number) => {
    const mask = equipmentMasks.find((one) => one.id === id)!;
    const limit = equipmentMaskLimit(mask, channelMHz * 1e6, id);
    return limit?.pieces.find(({ fromHz, toHz, measuringBandwidthHz: mbw }) => {
      const low = (fromHz - mbw / 2) / 1e6;
      return dfMHz > low && dfMHz < ((toHz as number) + mbw / 2) / 1e6;
    });
  };
  const [nr, lte] = reference.ue_sem;

  test('LTE: every column of the table, row by row', () => {
    const rows = lte!.rows as unknown as { df_MHz: number[]; limit: (number | null)[]; mbw_kHz: number }[];
    for (const {
      df_MHz: [from = 0, to = 0],
      limit,
      mbw_kHz,
    } of rows) {
      lte!.bw_order_MHz!.forEach((channelMHz, i) => {
        const found = levelAt('lte.ue', channelMHz, (from + to) / 2);
        expect(found?.startLevel ?? null, `${channelMHz} MHz at ${from}`).toBe(limit[i] ?? null);
        if (found) expect(found.measuringBandwidthHz).toBe(mbw_kHz * 1e3);
      });
    }
  });

  test('NR: every row for every channel', () => {
    expect(nr!.rows).toHaveLength(7);
    const wide = [7, 10, 15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100];
    for (const channel of [3, 5, ...wide]) {
      const first = levelAt('nr.ue', channel, 0.5);
      expect(first).toMatchObject(
        channel <= 45
          ? { startLevel: -13, measuringBandwidthHz: channel * 1e4 }
          : { startLevel: -24, measuringBandwidthHz: 30e3 },
      );
      expect(levelAt('nr.ue', channel, 3)).toMatchObject({ startLevel: -10, measuringBandwidthHz: 1e6 });
    }
    for (const channel of wide) {
      expect(levelAt('nr.ue', channel, (5 + channel) / 2)?.startLevel).toBe(-13);
      expect(levelAt('nr.ue', channel, channel + 2.5)?.startLevel).toBe(-25);
      expect(levelAt('nr.ue', channel, channel + 5.5)).toBeUndefined();
    }
    expect(
      [levelAt('nr.ue', 3, 5.5), levelAt('nr.ue', 5, 5.5), levelAt('nr.ue', 5, 8)].map((one) => one?.startLevel),
    ).toEqual([-25, -13, -25]);
    expect(levelAt('nr.ue', 3, 6.5)).toBeUndefined();
    expect(levelAt('nr.ue', 4, 1)).toBeUndefined();
  });

  test('the filter lies inside its row, from half a bandwidth in to half a bandwidth before the end', () => {
    const mask = equipmentMasks.find(({ id }) => id === 'lte.ue')!;
    const pieces = equipmentMaskLimit(mask, 10e6, 'x')!.pieces;
    expect(pieces.map(({ fromHz, toHz }) => [fromHz / 1e6, (toHz as number) / 1e6])).toEqual([
      [0.015, 0.985],
      [1.5, 4.5],
      [5.5, 9.5],
      [10.5, 14.5],
    ]);
  });
});

// Source: 47 CFR 101.111(a)(2)(i), October 2006 (read): A = 35 + 0.8·(P − 50) + 10·log10(B) in any 4 kHz, at least 50,
// at most 80 dB, never below −13 dBm/MHz; beyond 250 %: 43 + 10·log10(P/W) or 80 dB, whichever is less.
describe('47 CFR 101.111', () => {
  test('the formula at its corners for 10 and 30 MHz', () => {
    expect(fccAttenuationDb(51, 10e6, 6e9)).toBe(50);
    expect(fccAttenuationDb(56.25, 10e6, 6e9)).toBeCloseTo(50, 9);
    expect(fccAttenuationDb(75, 10e6, 6e9)).toBeCloseTo(65, 9);
    expect(fccAttenuationDb(93.75, 10e6, 6e9)).toBeCloseTo(80, 9);
    expect(fccAttenuationDb(200, 10e6, 6e9)).toBe(80);
    expect(fccAttenuationDb(60, 30e6, 6e9)).toBeCloseTo(35 + 8 + 14.7712, 3);
    // Above 15 GHz (from memory): 11 + 0.4·(P − 50) + 10·log10(B), 11 to 56 dB in 1 MHz.
    expect(fccAttenuationDb(100, 50e6, 23e9)).toBeCloseTo(11 + 20 + 16.9897, 3);
    expect(fccAttenuationDb(250, 50e6, 23e9)).toBe(56);
  });

  test.each([
    [1e6, 6e9],
    [10e6, 6.175e9],
    [40e6, 11e9],
    [0.8e6, 2e9],
    [50e6, 23e9],
  ])('pieces of %s Hz at %s Hz follow the formula everywhere and meet', (bandwidthHz, carrierHz) => {
    const { pieces } = fccMaskLimit(bandwidthHz, carrierHz);
    const far = pieces.at(-1)!;
    expect(far).toMatchObject({ fromHz: 2.5 * bandwidthHz, toHz: 'end', startLevel: -80, atLeastDbm: -13 });
    for (let percent = 50.5; percent < 250; percent += 0.5) {
      const hz = (percent / 100) * bandwidthHz;
      const piece = pieces.find(({ fromHz, toHz }) => hz >= fromHz && hz <= (toHz as number))!;
      const share = (hz - piece.fromHz) / ((piece.toHz as number) - piece.fromHz);
      const level = piece.startLevel + share * (piece.endLevel - piece.startLevel);
      expect(level).toBeCloseTo(-fccAttenuationDb(percent, bandwidthHz, carrierHz), 6);
    }
    const near = pieces.slice(0, -1);
    expect(near[0]?.fromHz).toBe(bandwidthHz / 2);
    for (let i = 1; i < near.length; i++) expect(near[i]?.fromHz).toBe(near[i - 1]?.toHz);
  });

  test('never below −13 dBm/MHz: in 4 kHz −36.98 dBm', () => {
    const { pieces, unit, measuredFrom } = fccMaskLimit(10e6, 6e9);
    expect(pieces[0]?.atLeastDbm).toBeCloseTo(-13 - 23.9794, 3);
    expect(pieces[0]?.measuringBandwidthHz).toBe(4e3);
    expect({ unit, measuredFrom }).toEqual({ unit: 'dBr', measuredFrom: 'carrierCentre' });
    expect(fccMaskLimit(10e6, 23e9).status).toBe('recalled');
  });
});

describe('EVM by modulation', () => {
  const known: Readonly<Record<string, number>> = {
    nrStation: 0,
    lteStation: 1,
    nrEquipment: 2,
    lteEquipment: 3,
    utraStation: 4,
  };

  test.each(evmTables.map((table) => [table.id, table] as const))('%s', (id, { status, limits }) => {
    const row = reference.evm_limits_percent[known[id] as number]!;
    expect(status).toBe(row.status);
    const listed = Object.fromEntries(
      limits.map(({ modulation, percent, upToHz }) => {
        const suffix =
          id !== 'nrStation' || modulation !== '1024QAM' ? '' : upToHz ? '_fc_le_4200MHz' : '_fc_gt_4200MHz';
        return [`${modulation}${suffix}`, percent];
      }),
    );
    expect(listed).toEqual(row.limits);
  });

  test('1024QAM by the carrier’s frequency', () => {
    expect([4.2e9, 4.2001e9].map((hz) => evmLimitPercent('nrStation', '1024QAM', hz))).toEqual([2.5, 2.8]);
    expect(evmLimitPercent('nrEquipment', '1024QAM', 2e9)).toBeNull();
  });
});
