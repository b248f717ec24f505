// The channel plan against the standards' tables: aclrTables.json holds them as read (TS 38.104, 38.101-1, 25.104) or
// recalled (TS 36.104, 36.101), row by row; numerologyRows.json the channel bandwidths.
import { describe, expect, test } from 'vitest';
import type { AclrRule } from '../../../shared/schema/measurement.ts';
import { aclrClassesOf, aclrLimits, aclrRules } from '../../../shared/tables/aclrRules.ts';
import { numerologies } from '../../../shared/tables/numerologies.ts';
import type { AclrCarrier, AclrChannel } from '../../../src/engine/measurement/aclr.ts';
import { ruleChannels } from '../../../src/engine/measurement/aclrRules.ts';
import tables from '../../reference/aclrTables.json' with { type: 'json' };
import rows from '../../reference/numerologyRows.json' with { type: 'json' };

const MHZ = 1e6;
const { aclr } = tables;

function carrier(channelMHz: number, occupiedMHz: number, offsetMHz = 0): AclrCarrier {
  return {
    offsetHz: offsetMHz * MHZ,
    occupiedBandwidthHz: occupiedMHz * MHZ,
    channelBandwidthHz: Math.round(channelMHz * MHZ),
  };
}

const plan = (rule: AclrRule, carriers: readonly AclrCarrier[]) =>
  ruleChannels(aclrRules[rule], numerologies, carriers);

/** The tables write offsets as "BWChannel", "2*BWChannel" or "BWChannel/2 + 2.5 MHz". */
function offsetMHz(text: string, channelMHz: number): number {
  const sum = /^BWChannel\/2 \+ ([\d.]+) MHz$/.exec(text);
  if (sum !== null) return channelMHz / 2 + Number(sum[1]);
  if (text === 'BWChannel') return channelMHz;
  if (text === '2*BWChannel') return 2 * channelMHz;
  throw new Error(`unknown offset ${text}`);
}

/** They write filters as "square BWConfig …", "square 4.5 MHz" or "RRC 3.84 Mcps, roll-off 0.22". */
function filterOf(text: string, configMHz: number): { filter: string; widthMHz: number } {
  if (text.startsWith('RRC 3.84')) return { filter: 'rrc', widthMHz: 3.84 };
  if (text.startsWith('square BWConfig')) return { filter: 'square', widthMHz: configMHz };
  const fixed = /^square ([\d.]+) MHz$/.exec(text);
  if (fixed === null) throw new Error(`unknown filter ${text}`);
  return { filter: 'square', widthMHz: Number(fixed[1]) };
}

const NAMES = ['adjacent', 'alternate', 'utraFirst', 'utraSecond'];

interface TableRow {
  readonly offset_expr: string;
  readonly filter: string;
  readonly limit_dB: number;
}

function expectRows(
  rule: AclrRule,
  channels: readonly AclrChannel[],
  table: readonly TableRow[],
  bw: number,
  config: number,
) {
  const limits = aclrLimits(rule, null);
  table.forEach((row, i) => {
    const channel = channels[i];
    const { filter, widthMHz } = filterOf(row.filter, config);
    expect(channel.name).toBe(NAMES[i]);
    expect(channel.side).toBeUndefined();
    expect(channel.offsetHz / MHZ).toBeCloseTo(offsetMHz(row.offset_expr, bw), 9);
    expect(channel.bandwidthHz / MHZ).toBeCloseTo(widthMHz, 9);
    expect(channel.filter ?? 'square').toBe(filter);
    expect(limits[i]).toMatchObject({ channel: NAMES[i], requiredDb: row.limit_dB, absoluteDbmPerMHz: null });
  });
}

describe('TS 38.104 Table 6.6.3.2-1', () => {
  const table = aclr.nr_bs.rows;

  // Every channel bandwidth at every subcarrier spacing: the neighbour is as wide as the widest spacing allows, whatever
  // the carrier's own spacing (9.36 MHz beside a 10 MHz carrier at 30 kHz).
  test.each(rows.nr.rows.map((row) => [row.bw_MHz, row.scs_kHz, row.bw_config_MHz] as const))(
    '%d MHz at %d kHz',
    (bw, _, config) => {
      const widest = Math.max(...rows.nr.rows.filter((row) => row.bw_MHz === bw).map((row) => row.bw_config_MHz));
      const channels = plan('ts38104', [carrier(bw, config)]);
      expect(channels).toHaveLength(4);
      expectRows('ts38104', channels, table, bw, widest);
      // The assigned filter is the transmitted carrier's own band.
      for (const channel of channels) expect(channel.own).toBeUndefined();
    },
  );

  // Source: standards.md section 1.2.
  test('10 MHz at 30 kHz has 9.36 MHz neighbours', () => {
    expect(plan('ts38104', [carrier(10, 8.64)])[0]).toMatchObject({ offsetHz: 10e6, bandwidthHz: 9.36e6 });
  });

  test('absolute alternatives by class, named in the source', () => {
    const { CatA_WideArea, CatB_WideArea, MediumRange, LocalArea, HomeBS_36104_only } =
      aclr.absolute_basic_limits_dBm_per_MHz;
    const expected = {
      'Wide Area, Category A': CatA_WideArea,
      'Wide Area, Category B': CatB_WideArea,
      'Medium Range': MediumRange,
      'Local Area': LocalArea,
    };
    expect(aclrClassesOf('ts38104')).toEqual(Object.keys(expected));
    for (const [name, density] of Object.entries(expected)) {
      const limits = aclrLimits('ts38104', name);
      expect(limits.map(({ absoluteDbmPerMHz }) => absoluteDbmPerMHz)).toEqual(Array(5).fill(density));
      for (const { source } of limits) expect(source).toContain(name);
    }
    expect(aclrLimits('ts36104', 'Home')[0]?.absoluteDbmPerMHz).toBe(HomeBS_36104_only);
    expect(() => aclrLimits('ts38104', 'Home')).toThrow(RangeError);
  });
});

describe('TS 36.104 Table 6.6.2.1-1', () => {
  test.each(rows.lte.rows.map((row) => [row.bw_MHz, row.bw_config_MHz] as const))('%d MHz', (bw, config) => {
    const channels = plan('ts36104', [carrier(bw, config)]);
    expect(channels).toHaveLength(4);
    expectRows('ts36104', channels, aclr.lte_bs.rows, bw, config);
  });

  test('says that its rows are recalled', () => {
    for (const { status } of aclrLimits('ts36104', null)) expect(status).toBe('recalled');
    for (const { status } of aclrLimits('ts38104', null)) expect(status).toBe('read');
  });
});

describe('TS 25.104 Table 6.7', () => {
  test('5 and 10 MHz, root-raised-cosine on both channels', () => {
    const channels = plan('ts25104', [carrier(5, 4.6848)]);
    expect(channels).toHaveLength(2);
    aclr.utra_bs.rows.forEach(({ offset_MHz, limit_dB }, i) => {
      expect(channels[i]).toEqual({
        name: NAMES[i],
        offsetHz: offset_MHz * MHZ,
        bandwidthHz: 3.84e6,
        filter: 'rrc',
        own: { kind: 'rrc', bandwidthHz: 3.84e6 },
      });
      expect(aclrLimits('ts25104', null)[i]?.requiredDb).toBe(limit_dB);
    });
  });
});

describe('user equipment', () => {
  // TS 38.101-1 Table 6.5.2.4.1-1: MBW = REF_SCS·(12·N_RB + 1), 15 kHz to 50 MHz, 30 kHz above; 10 MHz has 9.375 MHz.
  test.each([...new Set(rows.nr.rows.map((row) => row.bw_MHz))])('TS 38.101-1, %d MHz', (bw) => {
    const spacing = bw <= 50 ? 15 : 30;
    const row = rows.nr.rows.find((one) => one.bw_MHz === bw && one.scs_kHz === spacing);
    if (row === undefined) throw new Error(`no row of ${bw} MHz`);
    const width = spacing * 1e3 * (12 * row.n_rb + 1);
    const [adjacent, first, second, ...rest] = plan('ts38101', [carrier(bw, row.bw_config_MHz)]);
    expect(rest).toEqual([]);
    const own = { kind: 'square', bandwidthHz: width };
    expect(adjacent).toEqual({ name: 'adjacent', offsetHz: bw * MHZ, bandwidthHz: width, filter: 'square', own });
    const { offset_from_edge_MHz: offsets, ACLR1_dB, ACLR2_dB } = aclr.nr_ue.utra;
    const utra = { bandwidthHz: 3.84e6, filter: 'rrc', own };
    expect(first).toEqual({ name: 'utraFirst', offsetHz: (bw / 2 + offsets[0]) * MHZ, ...utra });
    expect(second).toEqual({ name: 'utraSecond', offsetHz: (bw / 2 + offsets[1]) * MHZ, ...utra });
    const required = aclrLimits('ts38101', null).map(({ requiredDb }) => requiredDb);
    expect(required).toEqual([aclr.nr_ue.limit_dB.PC3, ACLR1_dB, ACLR2_dB]);
  });

  test('10 MHz measures 9.375 MHz', () => {
    expect(plan('ts38101', [carrier(10, 9.36)])[0]?.bandwidthHz).toBe(9.375e6);
  });

  // TS 36.101 Table 6.6.2.3.1-1: 1.08, 2.7, 4.5, 9, 13.5, 18 MHz.
  test.each(rows.lte.rows.map((row) => [row.bw_MHz, row.bw_config_MHz] as const))('TS 36.101, %d MHz', (bw, config) => {
    const [adjacent, first] = plan('ts36101', [carrier(bw, config)]);
    const own = { kind: 'square', bandwidthHz: expect.closeTo(config * MHZ, 3) };
    expect(adjacent).toMatchObject({ offsetHz: bw * MHZ, bandwidthHz: expect.closeTo(config * MHZ, 3), own });
    expect(first).toMatchObject({ offsetHz: (bw / 2 + 2.5) * MHZ, bandwidthHz: 3.84e6, filter: 'rrc', own });
  });

  test('power classes set the adjacent channel alone', () => {
    for (const [rule, limits] of [
      ['ts38101', aclr.nr_ue.limit_dB],
      ['ts36101', aclr.lte_ue.limit_dB],
    ] as const) {
      expect([...aclrClassesOf(rule)].sort()).toEqual(Object.keys(limits).sort());
      for (const [name, requiredDb] of Object.entries(limits)) {
        const [adjacent, first] = aclrLimits(rule, name);
        expect(adjacent).toMatchObject({ channel: 'adjacent', requiredDb, absoluteDbmPerMHz: null });
        expect(adjacent?.source).toContain(name);
        expect(first).toMatchObject({ channel: 'utraFirst', requiredDb: 33 });
      }
    }
  });
});

describe('several carriers', () => {
  // TS 38.104 clause 6.6.3: the lower side goes by the lowest carrier, the upper side by the highest.
  test('each side goes by its outer carrier', () => {
    const channels = plan('ts38104', [carrier(20, 19.08, 12), carrier(5, 4.5, -30), carrier(10, 9.36, -10)]);
    const adjacent = channels.filter(({ name }) => name === 'adjacent');
    expect(adjacent).toEqual([
      { name: 'adjacent', side: 'lower', offsetHz: 5e6, bandwidthHz: 4.5e6, filter: 'square' },
      { name: 'adjacent', side: 'upper', offsetHz: 20e6, bandwidthHz: 19.08e6, filter: 'square' },
    ]);
    const utra = channels.filter(({ name }) => name === 'utraFirst').map(({ offsetHz }) => offsetHz / MHZ);
    expect(utra).toEqual([5, 12.5]);
  });

  test('a channel bandwidth that the table does not hold takes the occupied band', () => {
    expect(plan('ts38104', [carrier(20.5, 19.2)])[0]).toMatchObject({ offsetHz: 20.5e6, bandwidthHz: 19.2e6 });
  });
});

describe('gap slots, TS 38.104 Tables 6.6.3.2-3 and -2a', () => {
  /** Two carriers with a gap between their channels, lower edge at 0. */
  const pair = (lowerMHz: number, gapMHz: number, upperMHz: number) => [
    carrier(lowerMHz, 0.9 * lowerMHz, -lowerMHz / 2),
    carrier(upperMHz, 0.9 * upperMHz, gapMHz + upperMHz / 2),
  ];
  const slots = (carriers: AclrCarrier[], side: 'lower' | 'upper', offsetHz: number) =>
    plan('ts38104', carriers).filter(
      (channel) => channel.name === 'gap' && channel.side === side && channel.offsetHz === offsetHz,
    );

  const cases = aclr.caclr_nr.rows.flatMap((row) =>
    row.carrier_MHz.flatMap((own) =>
      ([20, 25] as const).map((other) => ({
        own,
        other,
        offsetMHz: row.offset_from_edge_MHz,
        widthMHz: Number(/([\d.]+) MHz\)/.exec(row.filter)?.[1]),
        range: other === 20 ? row.gap_MHz.other_edge_le20 : row.gap_MHz.other_edge_ge25,
        // The first rows of either kind include their lower end, the second ones do not.
        includesFrom: row.offset_from_edge_MHz === 2.5 || row.offset_from_edge_MHz === 10,
      })),
    ),
  );

  test.each(cases)('$own MHz beside a gap to $other MHz, $offsetMHz MHz', (one) => {
    const { own, other, offsetMHz: offset, widthMHz, range, includesFrom } = one;
    const [from, to] = range as [number, number];
    const at = (gap: number, side: 'lower' | 'upper') => {
      const carriers = side === 'lower' ? pair(own, gap, other) : pair(other, gap, own);
      return slots(carriers, side, offset * MHZ);
    };
    for (const side of ['lower', 'upper'] as const) {
      expect(at(from - 0.1, side)).toEqual([]);
      expect(at(from, side)).toHaveLength(includesFrom ? 1 : 0);
      for (const gap of [from + 0.1, (from + to) / 2, to - 0.1]) {
        const centreHz = expect.closeTo((side === 'lower' ? offset : gap - offset) * MHZ, 3);
        // CACLR: against the sum of both carriers.
        const references = [0, 1];
        expect(at(gap, side)).toEqual([
          {
            name: 'gap',
            side,
            offsetHz: offset * MHZ,
            bandwidthHz: widthMHz * MHZ,
            filter: 'square',
            gap: { centreHz, references },
          },
        ]);
      }
      // Wider: plain ACLR against the carrier of that edge.
      for (const gap of [to, to + 30]) {
        expect(at(gap, side)[0]?.gap?.references).toEqual([side === 'lower' ? 0 : 1]);
      }
    }
  });

  test('touching channels and gaps below 5 MHz have none', () => {
    for (const gap of [0, 1, 4.9]) {
      expect(plan('ts38104', pair(10, gap, 10)).some(({ name }) => name === 'gap')).toBe(false);
    }
  });

  // Carriers move to whole cycles of the record: 5 MHz less a hundred hertz is the 5 MHz gap.
  test('a gap is nominal within 10 kHz', () => {
    expect(slots(pair(10, 5 - 1e-4, 10), 'lower', 2.5e6)).toHaveLength(1);
    expect(slots(pair(10, 10 + 1e-4, 10), 'lower', 7.5e6)).toHaveLength(0);
    expect(slots(pair(10, 15 - 1e-4, 10), 'lower', 2.5e6)[0]?.gap?.references).toEqual([0]);
  });

  test('every gap of three carriers has its slots, with the carriers beside it, whatever their order', () => {
    const carriers = [carrier(10, 9, 30), carrier(10, 9, -22), carrier(5, 4.5, 0)];
    const found = plan('ts38104', carriers).filter(({ name }) => name === 'gap');
    const places = found.map(({ side, gap }) => [side, (gap?.centreHz ?? 0) / MHZ, gap?.references]);
    // Gaps −17 … −2.5 (14.5 MHz: slots of both offsets, summed) and 2.5 … 25 (22.5 MHz: alone).
    expect(places).toEqual([
      ['lower', -14.5, [1, 2]],
      ['lower', -9.5, [1, 2]],
      ['upper', -5, [1, 2]],
      ['upper', -10, [1, 2]],
      ['lower', 5, [2]],
      ['lower', 10, [2]],
      ['upper', 22.5, [0]],
      ['upper', 17.5, [0]],
    ]);
  });

  test('user equipment and UTRA have none', () => {
    for (const rule of ['ts38101', 'ts36101', 'ts25104'] as const) {
      expect(plan(rule, pair(10, 12, 10)).some(({ name }) => name === 'gap')).toBe(false);
    }
    // TS 36.104 clause 6.6.2.2 (from memory): UTRA slots in the same gaps.
    expect(plan('ts36104', pair(10, 12, 10)).filter(({ name }) => name === 'gap')).toHaveLength(4);
  });
});
