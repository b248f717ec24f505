// Limit sets: which limits a set writes for a carrier, against the standards' tables.
import * as v from 'valibot';
import { describe, expect, test } from 'vitest';
import { paperBench } from '../../shared/presets/paperBench.ts';
import { quarryLink } from '../../shared/presets/quarryLink.ts';
import { type LimitSettings, limitSchema, type MaskLimitSettings } from '../../shared/schema/measurement.ts';
import { parseScenario } from '../../shared/schema/parse.ts';
import { limitSetFor, limitSetIds, limitSets } from '../../shared/tables/limitSets.ts';
import {
  antennaMeanOf,
  type LimitCarrier,
  type LimitSubject,
  limitSubjectOf,
  strongestCarrierDbm,
} from '../../shared/tables/limitSubject.ts';

const carrier = (rest: Partial<LimitCarrier> = {}): LimitCarrier => ({
  kind: 'ofdm',
  standard: 'nr',
  offsetHz: 0,
  channelBandwidthHz: 10e6,
  occupiedBandwidthHz: 9.36e6,
  relativePowerDb: 0,
  modulation: '64QAM',
  symbolRateHz: null,
  ...rest,
});
const lte = (rest: Partial<LimitCarrier> = {}) => carrier({ standard: 'lte', occupiedBandwidthHz: 9e6, ...rest });
const subject = (rest: Partial<LimitSubject> = {}): LimitSubject => ({
  carriers: [carrier()],
  carrierFrequencyHz: 3.46e9,
  antennaMeanDbm: 36.5,
  ...rest,
});

function limitsOf(id: string, of: LimitSubject) {
  const outcome = limitSetFor(id, of);
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome;
}
const maskOf = (limits: readonly LimitSettings[]) => limits.find((one) => one.reading === 'mask') as MaskLimitSettings;
const faultsOf = (id: string, of: LimitSubject) => {
  const outcome = limitSetFor(id, of);
  return outcome.kind === 'invalid' ? outcome.issues.map(({ path }) => path) : [];
};

/** One subject that fits each set. */
function fitting(id: string): LimitSubject {
  if (id === 'utra-wide-area') {
    const chips = carrier({
      kind: 'singleCarrier',
      standard: null,
      modulation: 'QPSK',
      symbolRateHz: 3.84e6,
      channelBandwidthHz: 5e6,
      occupiedBandwidthHz: 4.6848e6,
    });
    return subject({ carriers: [chips], antennaMeanDbm: 43, carrierFrequencyHz: 2.14e9 });
  }
  const carriers = [id.startsWith('lte') ? lte() : carrier()];
  const antennaMeanDbm = id.includes('local') || id.includes('-ue-') ? 23 : 36.5;
  return subject({ carriers, antennaMeanDbm, carrierFrequencyHz: id.endsWith('b2') ? 2.14e9 : 3.46e9 });
}

describe('every set', () => {
  test('has a name of its own and says what it needs', () => {
    expect(new Set(limitSetIds).size).toBe(limitSets.length);
    expect(limitSets.length).toBeGreaterThanOrEqual(18);
    for (const { title, standard, className, needs } of limitSets) {
      for (const text of [title, standard, className, needs]) expect(text.length).toBeGreaterThan(2);
    }
  });

  test.each(limitSetIds)('%s: plain limits with source and status, that the schema takes', (id) => {
    const { limits, channels } = limitsOf(id, fitting(id));
    expect(limits.length).toBeGreaterThanOrEqual(2);
    for (const limit of limits) {
      expect(v.parse(limitSchema, limit)).toEqual(limit);
      expect(limit.source).toMatch(/^(TS \d\d\.\d\d\d|47 CFR)/);
      expect(['read', 'read+recalled', 'recalled']).toContain(limit.status);
    }
    expect(maskOf(limits).pieces.length).toBeGreaterThan(0);
    expect(typeof channels).toBe('string');
  });

  test.each(limitSetIds)('%s: without a power scale it is refused', (id) => {
    expect(faultsOf(id, { ...fitting(id), antennaMeanDbm: null })).toContain('amplifier.saturatedPowerDbm');
  });

  test('an unknown name is answered with the nearest one', () => {
    const outcome = limitSetFor('nr-wide-area-c', subject());
    expect(outcome).toMatchObject({ kind: 'invalid', issues: [{ remedy: 'did you mean nr-wide-area-a?' }] });
  });
});

describe('NR base stations, TS 38.104 v19.4.0', () => {
  test('Wide Area A at 3.46 GHz: 45 dB or −13 dBm/MHz, 8 % for 64QAM, the mask above 1 GHz to 40 MHz, 10 MHz', () => {
    const { limits, channels, notes } = limitsOf('nr-wide-area-a', subject());
    expect(channels).toBe('ts38104');
    expect(limits.map(({ reading }) => reading)).toEqual(['aclr', 'aclr', 'evm', 'mask', 'occupiedBandwidth']);
    expect(limits[0]).toMatchObject({ channel: 'adjacent', requiredDb: 45, absoluteDbmPerMHz: -13, status: 'read' });
    expect(limits[0]?.source).toBe('TS 38.104 v19.4.0 Table 6.6.3.2-1, Wide Area, Category A');
    expect(limits[2]).toMatchObject({ requiredPercent: 8, status: 'read' });
    expect(limits[4]).toMatchObject({ requiredHz: 10e6 });
    const mask = maskOf(limits);
    expect(mask.source).toContain('Table 6.6.4.2.1-2');
    expect(mask.pieces.at(-1)).toMatchObject({
      fromHz: 10.5e6,
      toHz: 40e6,
      startLevel: -13,
      measuringBandwidthHz: 1e6,
    });
    expect(notes.join(' ')).toContain('40 MHz');
  });

  test('the absolute alternative goes by class: −13, −15, −25, −32 dBm/MHz (Table 6.6.3.2-2, read)', () => {
    const ids = ['nr-wide-area-a', 'nr-wide-area-b', 'nr-medium-range', 'nr-local-area'];
    const levels = ids.map((id) => {
      const first = limitsOf(id, fitting(id)).limits[0];
      return first?.reading === 'aclr' ? first.absoluteDbmPerMHz : null;
    });
    expect(levels).toEqual([-13, -15, -25, -32]);
  });

  // The absolute density stands in for the ratio where it is easier: 36.5 dBm over 9.36 MHz is 26.79 dBm/MHz, so that
  // Wide Area A needs 39.8 dB, Wide Area B 41.8 dB, Medium Range 45 dB. Source: TS 38.104 clause 6.6.3.3 (read), computed.
  test('the ratio really needed for 9.36 MHz at 36.5 dBm', () => {
    const needed = ['nr-wide-area-a', 'nr-wide-area-b', 'nr-medium-range'].map((id) => {
      const first = limitsOf(id, subject()).limits[0];
      if (first?.reading !== 'aclr' || typeof first.absoluteDbmPerMHz !== 'number') throw new Error(id);
      return Math.min(first.requiredDb, 36.5 - 10 * Math.log10(9.36) - first.absoluteDbmPerMHz);
    });
    expect(needed.map((db) => Number(db.toFixed(1)))).toEqual([39.8, 41.8, 45]);
  });

  test('Medium Range: masks against rated power above 31 dBm, absolute below, refused above 38 dBm', () => {
    const above = maskOf(limitsOf('nr-medium-range', subject()).limits);
    expect(above).toMatchObject({ unit: 'dBrRated', ratedPowerDbm: 36.5 });
    expect(above.pieces[0]).toMatchObject({ startLevel: -53 });
    const below = maskOf(limitsOf('nr-medium-range', subject({ antennaMeanDbm: 31 })).limits);
    expect(below).toMatchObject({ unit: 'dBm', ratedPowerDbm: null });
    expect(below.pieces[0]).toMatchObject({ startLevel: -22, endLevel: -29 });
    expect(faultsOf('nr-medium-range', subject({ antennaMeanDbm: 38.1 }))).toEqual(['operatingPoint']);
    expect(faultsOf('nr-local-area', subject({ antennaMeanDbm: 24.1 }))).toEqual(['operatingPoint']);
    // Rated power is a carrier's: two equal ones of 40 dBm have 37 dBm each.
    const two = [carrier({ offsetHz: -5e6 }), carrier({ offsetHz: 5e6 })];
    expect(strongestCarrierDbm(subject({ carriers: two, antennaMeanDbm: 40 }))).toBeCloseTo(36.9897, 4);
    expect(faultsOf('nr-medium-range', subject({ carriers: two, antennaMeanDbm: 40 }))).toEqual([]);
    const stated = two.map((one, i) => ({ ...one, relativePowerDb: [-3, -9][i] as number }));
    // 6 dB apart: 40 − 10·log10(1 + 10^−0.6) dBm.
    expect(strongestCarrierDbm(subject({ carriers: stated, antennaMeanDbm: 40 }))).toBeCloseTo(39.0268, 3);
  });

  test('below 1 GHz and in narrow bands: 100 kHz throughout, cut 10 MHz out, and the 5 MHz neighbours judged', () => {
    const { limits } = limitsOf('nr-wide-area-b', subject({ carrierFrequencyHz: 0.94e9 }));
    const mask = maskOf(limits);
    expect(mask.source).toContain('6.6.4.2.2.1-1');
    expect(mask.pieces.map(({ toHz }) => toHz)).toEqual([5.05e6, 10e6]);
    const channels = limits.flatMap((one) => (one.reading === 'aclr' ? [one.channel] : []));
    expect(channels).toEqual(['adjacent', 'alternate', 'utraFirst', 'utraSecond']);
    const wider = limitsOf('nr-wide-area-b', subject({ carrierFrequencyHz: 0.94e9, maskRangeHz: 20e6 }));
    expect(maskOf(wider.limits).pieces.at(-1)).toMatchObject({ fromHz: 10.05e6, toHz: 20e6, startLevel: -16 });
  });

  test('3 MHz, option 2 and n104 have masks of their own', () => {
    const narrow = [carrier({ channelBandwidthHz: 3e6, occupiedBandwidthHz: 2.7e6 })];
    const source = (id: string, rest: Partial<LimitSubject>) => maskOf(limitsOf(id, subject(rest)).limits).source;
    expect(source('nr-wide-area-a', { carriers: narrow })).toContain('6.6.4.2.1-2a');
    expect(source('nr-wide-area-a', { carriers: narrow, carrierFrequencyHz: 0.9e9 })).toContain('6.6.4.2.1-1a');
    expect(source('nr-wide-area-b2', { carrierFrequencyHz: 1.84e9 })).toContain('6.6.4.2.2.2-1');
    expect(source('nr-wide-area-b', { carrierFrequencyHz: 6.7e9 })).toContain('6.6.4.2.2.1-2a');
    expect(faultsOf('nr-wide-area-b2', subject({ carrierFrequencyHz: 3.5e9 }))).toEqual(['carrierFrequencyHz']);
    expect(faultsOf('nr-wide-area-b', subject({ carriers: narrow }))).toEqual([
      'waveform.carriers.0.channelBandwidthHz',
    ]);
    // Bands of LTE with option 2 are others: 32 at 1.47 GHz, not 7 at 2.65 GHz.
    const inBand = (hz: number) => faultsOf('lte-wide-area-b2', subject({ carriers: [lte()], carrierFrequencyHz: hz }));
    expect([inBand(1.47e9), inBand(2.65e9)]).toEqual([[], ['carrierFrequencyHz']]);
    expect(faultsOf('nr-wide-area-b2', subject({ carrierFrequencyHz: 2.65e9 }))).toEqual([]);
    // n104: 38 dB in place of 45 dB (TS 38.104 Table 6.6.3.2-1, read).
    const { limits } = limitsOf('nr-wide-area-b', subject({ carrierFrequencyHz: 6.7e9 }));
    expect(limits[0]).toMatchObject({ requiredDb: 38 });
    expect(faultsOf('nr-wide-area-a', subject({ carrierFrequencyHz: 6.7e9 }))).toEqual(['carrierFrequencyHz']);
    expect(faultsOf('nr-wide-area-a', subject({ carrierFrequencyHz: 5.5e9 }))).toEqual(['carrierFrequencyHz']);
  });

  test('1024QAM: 2.5 % up to 4.2 GHz, 2.8 % above; of several modulations the tightest, and it is said', () => {
    const percent = (hz: number, modulations: string[]) => {
      const carriers = modulations.map((modulation, i) => carrier({ modulation, offsetHz: i * 10e6 }));
      const { limits, notes } = limitsOf('nr-wide-area-a', subject({ carriers, carrierFrequencyHz: hz }));
      const evm = limits.find((one) => one.reading === 'evm');
      return [evm?.requiredPercent, notes.some((note) => note.includes('tightest'))];
    };
    expect(percent(3.46e9, ['1024QAM'])).toEqual([2.5, false]);
    expect(percent(4.7e9, ['1024QAM'])).toEqual([2.8, false]);
    expect(percent(3.46e9, ['QPSK', '256QAM'])).toEqual([3.5, true]);
  });

  test('carriers with a gap: slots are judged when wide enough, and no common occupied bandwidth', () => {
    const apart = (gapHz: number) => {
      const carriers = [carrier({ offsetHz: -5e6 - gapHz / 2 }), carrier({ offsetHz: 5e6 + gapHz / 2 })];
      return limitsOf('nr-wide-area-a', subject({ carriers })).limits;
    };
    const readings = (limits: readonly LimitSettings[]) =>
      limits.map((one) => (one.reading === 'aclr' ? one.channel : one.reading));
    expect(readings(apart(0))).toEqual(['adjacent', 'alternate', 'evm', 'mask', 'occupiedBandwidth']);
    expect(apart(0).at(-1)).toMatchObject({ requiredHz: 20e6 });
    expect(readings(apart(4e6))).toEqual(['adjacent', 'alternate', 'evm', 'mask']);
    expect(readings(apart(6e6))).toEqual(['adjacent', 'alternate', 'gap', 'evm', 'mask']);
  });
});

describe('carriers that do not fit', () => {
  test('every reason at once, each with a remedy', () => {
    const outcome = limitSetFor('nr-medium-range', {
      carriers: [lte(), carrier({ kind: 'twoTone', standard: null, modulation: null })],
      carrierFrequencyHz: 8.15e9,
      antennaMeanDbm: 46,
    });
    expect(outcome.kind).toBe('invalid');
    const issues = outcome.kind === 'invalid' ? outcome.issues : [];
    expect(issues.map(({ path }) => path)).toEqual([
      'waveform.carriers.0.standard',
      'waveform.carriers.1.kind',
      'carrierFrequencyHz',
      'operatingPoint',
    ]);
    for (const { rule, value, remedy } of issues)
      expect(Math.min(rule.length, value.length, remedy.length)).toBeGreaterThan(3);
  });

  test('noise and records of a standard’s channel fit, without an EVM limit', () => {
    const noise = carrier({ kind: 'noise', standard: null, modulation: null });
    const { limits, notes } = limitsOf('nr-wide-area-a', subject({ carriers: [noise] }));
    expect(limits.some(({ reading }) => reading === 'evm')).toBe(false);
    expect(notes.join(' ')).toContain('no EVM limit');
    const odd = carrier({ kind: 'noise', standard: null, modulation: null, channelBandwidthHz: 11e6 });
    expect(faultsOf('nr-wide-area-a', subject({ carriers: [odd] }))).toEqual([
      'waveform.carriers.0.channelBandwidthHz',
    ]);
  });

  test('UTRA: 3.84 Mcps, 43 dBm and more', () => {
    const fits = fitting('utra-wide-area');
    const { limits, channels } = limitsOf('utra-wide-area', fits);
    expect(channels).toBe('ts25104');
    // TS 25.104 Table 6.7 (read): 45 dB at 5 MHz, 50 dB at 10 MHz.
    expect(limits.flatMap((one) => (one.reading === 'aclr' ? [one.requiredDb] : []))).toEqual([45, 50]);
    expect(maskOf(limits)).toMatchObject({ measuredFrom: 'carrierCentre', status: 'recalled' });
    expect(faultsOf('utra-wide-area', { ...fits, antennaMeanDbm: 42.9 })).toEqual(['operatingPoint']);
    const ofdm = subject({ antennaMeanDbm: 44, carriers: [carrier({ modulation: 'QPSK' })] });
    expect(faultsOf('utra-wide-area', ofdm)).toEqual(['waveform.carriers.0.kind']);
  });

  test('LTE masks differ for 1.4, 3 and 5 MHz and more', () => {
    const source = (channelBandwidthHz: number) =>
      maskOf(limitsOf('lte-wide-area-a', subject({ carriers: [lte({ channelBandwidthHz })] })).limits).source;
    expect([1.4e6, 3e6, 20e6].map(source).map((text) => /Table (\S+),/.exec(text)?.[1])).toEqual([
      '6.6.3.1-4',
      '6.6.3.1-5',
      '6.6.3.1-6',
    ]);
    const mixed = [lte({ channelBandwidthHz: 1.4e6 }), lte({ offsetHz: 6e6 })];
    expect(faultsOf('lte-wide-area-a', subject({ carriers: mixed }))).toEqual(['waveform.carriers']);
    expect(
      faultsOf(
        'lte-wide-area-b2',
        subject({ carriers: [lte({ channelBandwidthHz: 3e6 })], carrierFrequencyHz: 2.14e9 }),
      ),
    ).toEqual(['waveform.carriers.0.channelBandwidthHz']);
  });
});

describe('user equipment and fixed links', () => {
  // TS 38.101-1 v19.5.0 Tables 6.5.2.4.1-1 and -2 (read): PC3 30 dB, only above −50 dBm in the 9.375 MHz of the neighbour.
  test('NR power class 3', () => {
    const { limits, channels } = limitsOf('nr-ue-pc3', fitting('nr-ue-pc3'));
    expect(channels).toBe('ts38101');
    expect(limits[0]).toMatchObject({ channel: 'adjacent', requiredDb: 30 });
    expect(limits[0]?.reading === 'aclr' ? limits[0].absoluteDbmPerMHz : null).toBeCloseTo(-50 - 9.7197, 3);
    expect(limits.filter(({ reading }) => reading === 'aclr')).toHaveLength(1);
    expect(faultsOf('nr-ue-pc3', subject({ antennaMeanDbm: 25.1 }))).toEqual(['operatingPoint']);
    const powers = ['nr-ue-pc1', 'nr-ue-pc1.5', 'nr-ue-pc2', 'nr-ue-pc3'].map(
      (id) => limitsOf(id, fitting(id)).limits[0],
    );
    expect(powers.map((one) => (one?.reading === 'aclr' ? one.requiredDb : null))).toEqual([37, 31, 31, 30]);
    const finest = subject({ antennaMeanDbm: 20, carriers: [carrier({ modulation: '1024QAM' })] });
    expect(faultsOf('nr-ue-pc3', finest)).toEqual(['waveform.carriers.0.modulation']);
  });

  test('a fixed link in the US: mask against the mean power, one carrier', () => {
    const { limits, channels } = limitsOf('us-point-to-point', subject({ carriers: [lte()] }));
    expect(channels).toBe('auto');
    expect(maskOf(limits)).toMatchObject({ unit: 'dBr', measuredFrom: 'carrierCentre' });
    expect(limits[1]).toMatchObject({ reading: 'occupiedBandwidth', requiredHz: 10e6, status: 'recalled' });
    expect(faultsOf('us-point-to-point', subject({ carriers: [lte(), lte({ offsetHz: 10e6 })] }))).toEqual([
      'waveform.carriers',
    ]);
    expect(faultsOf('us-point-to-point', subject({ carrierFrequencyHz: null }))).toEqual(['carrierFrequencyHz']);
  });
});

describe('the subject of a scenario', () => {
  const scenarioOf = (input: unknown) => {
    const parsed = parseScenario(input);
    if (parsed.kind === 'invalid') throw new Error('preset');
    return parsed.scenario;
  };
  const placed = { offsetHz: 0, channelBandwidthHz: 10e6, occupiedBandwidthHz: 9e6, relativePowerDb: 0 };

  test('carriers as placed, with what their settings say', () => {
    const { carriers, carrierFrequencyHz, antennaMeanDbm } = limitSubjectOf(scenarioOf(quarryLink), [placed]);
    expect(carriers).toEqual([{ ...placed, kind: 'ofdm', standard: 'lte', modulation: '64QAM', symbolRateHz: null }]);
    expect([carrierFrequencyHz, antennaMeanDbm]).toEqual([3.46e9, 36.5]);
  });

  test('power at the antenna port, whichever way it is asked for', () => {
    const scenario = scenarioOf(paperBench);
    // 43 dBm saturated, 8 dB output back-off, 0.5 dB loss.
    expect(antennaMeanOf(scenario)).toBeCloseTo(34.5, 9);
    expect(antennaMeanOf({ ...scenario, operatingPoint: { antennaMeanDbm: 30 } })).toBe(30);
    expect(antennaMeanOf({ ...scenario, operatingPoint: { meanPowerW: 1 } })).toBeCloseTo(29.5, 9);
    expect(antennaMeanOf({ ...scenario, amplifier: { ...scenario.amplifier, saturatedPowerDbm: null } })).toBeNull();
  });
});
