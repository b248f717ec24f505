import { describe, expect, test } from 'vitest';
import { quarryLink } from '../../../shared/presets/quarryLink.ts';
import { generateWaveform } from '../../../src/engine/waveform/multicarrier.ts';
import { resolveWaveform } from '../../../src/engine/waveform/resolve.ts';
import { bench, issuesOf, notesOf, resolve, settings } from './build.ts';

const lte10 = { kind: 'ofdm', standard: 'lte', channelBandwidthHz: 10e6 } as const;

describe('sample rate', () => {
  // Source: reference check OF-02: LTE 10 MHz needs 49 Msps for the alternate channel and 45 for fifth-order products.
  test.each([
    [[lte10], 61.44e6],
    [[{ ...lte10, channelBandwidthHz: 20e6 }], 122.88e6],
    // ±10 MHz carriers: the set is 29 MHz wide, five times that is 145 MHz.
    [
      [
        { ...lte10, offsetHz: -10e6 },
        { ...lte10, offsetHz: 10e6 },
      ],
      245.76e6,
    ],
    // Off centre: products reach 24 + 4.5 + 2·9 = 46.5 MHz; the alternate channel 24 + 20 + 4.5 = 48.5 MHz.
    [[{ ...lte10, offsetHz: 24e6 }], 122.88e6],
    [[{ kind: 'ofdm', channelBandwidthHz: 20e6, subcarrierSpacingHz: 60e3 }], 122.88e6],
    [[{ kind: 'noise', occupiedBandwidthHz: 9e6 }], 61.44e6],
  ] as const)('"auto" makes room for fifth-order products and the alternate channel (%#)', (carriers, expectedHz) => {
    expect(resolve({ carriers: [...carriers], sampleRateHz: 'auto' }).sampleRateHz).toBe(expectedHz);
  });

  test('the reference bench keeps its own: 24 symbols of 8768 samples', () => {
    const resolved = resolve(bench);
    expect(resolved.sampleRateHz).toBe(122.88e6);
    expect(resolved.sampleCount).toBe(24 * 8768);
    expect(resolved.carriers[0].geometry.ofdm).toMatchObject({
      fftLength: 8192,
      cyclicPrefixSamples: 576,
      symbolSamples: 8768,
      symbolCount: 24,
      // 66 of 1024 (TS 36.104 Table E.5.1-1), eight times as many samples.
      evmWindowSamples: 528,
    });
  });

  test('a rate that is no power of two times the spacing: the nearest valid ones are the remedy', () => {
    const [issue, ...others] = issuesOf({ ...bench, sampleRateHz: 100e6 });
    expect(others).toEqual([]);
    expect(issue).toMatchObject({ path: 'waveform.sampleRateHz', value: '100000000' });
    expect(issue.remedy).toContain('61.44 MHz or 122.88 MHz');
  });

  test('the rate counts in the largest spacing, whichever carrier has it', () => {
    const wide = { kind: 'ofdm', channelBandwidthHz: 10e6, subcarrierSpacingHz: 60e3, offsetHz: 12e6 } as const;
    const resolved = resolve({ carriers: [lte10, wide], symbolCount: 4 });
    expect(resolved.carriers.map((carrier) => carrier.geometry.ofdm?.symbolCount)).toEqual([4, 16]);
    expect(resolved.carriers.map((carrier) => carrier.geometry.ofdm?.fftLength)).toEqual([8192, 2048]);
  });

  test('a rate without room is used, and noted with both figures', () => {
    const notes = notesOf({ ...bench, sampleRateHz: 30.72e6 });
    expect(notes.map((note) => note.code)).toEqual(['rate-narrow']);
    expect(notes[0].message).toMatch(/30\.72 MHz.*49 MHz/);
  });
});

describe('places', () => {
  test('carriers move to whole cycles per record, with a note', () => {
    const input = { ...bench, carriers: [{ ...lte10, offsetHz: 5e6 }] };
    const resolved = resolve(input);
    const { offsetHz } = resolved.carriers[0].geometry;
    const cycles = (offsetHz * resolved.sampleCount) / resolved.sampleRateHz;
    expect(Math.abs(cycles - Math.round(cycles))).toBeLessThan(1e-9);
    expect(Math.abs(offsetHz - 5e6)).toBeLessThan(122.88e6 / resolved.sampleCount / 2 + 1e-6);
    expect(notesOf(input)).toEqual([
      expect.objectContaining({ code: 'carrier-moved', message: expect.stringContaining('carrier 1 by') }),
    ]);
    expect(notesOf(bench)).toEqual([]);
  });

  test('noise is brought to an odd number of whole bins, with a note', () => {
    const noise = (occupiedBandwidthHz: number) => ({
      carriers: [{ kind: 'noise' as const, occupiedBandwidthHz }],
      sampleCount: 4096,
      sampleRateHz: 61.44e6,
    });
    // Bins of 15 kHz: 667 of them are 10.005 MHz.
    expect(notesOf(noise(10e6))).toEqual([
      {
        code: 'noise-width-changed',
        message:
          'Noise fills an odd number of whole bins of the record: carrier 1 from 10 MHz to 10.005 MHz occupied bandwidth.',
      },
    ]);
    expect(notesOf(noise(667 * 15e3))).toEqual([]);
  });

  test('touching channels are fine, overlapping guards are noted, overlapping carriers are refused', () => {
    const pair = (distanceHz: number) => ({ ...bench, carriers: [lte10, { ...lte10, offsetHz: distanceHz }] });
    const codes = (distanceHz: number) => notesOf(pair(distanceHz)).map((note) => note.code);
    expect(codes(10e6)).not.toContain('carriers-close');
    expect(codes(9.5e6)).toContain('carriers-close');
    expect(issuesOf(pair(8e6))).toEqual([
      expect.objectContaining({ path: 'waveform.carriers.1.offsetHz', value: '8000000' }),
    ]);
    expect(issuesOf(pair(-8e6))).toHaveLength(1);
  });

  test('a carrier outside ±fs/2 is refused with the offset that fits', () => {
    const [issue, ...others] = issuesOf({ ...bench, carriers: [{ ...lte10, offsetHz: 58e6 }] });
    expect(others).toEqual([]);
    expect(issue).toMatchObject({ path: 'waveform.carriers.0.offsetHz', value: '58000000' });
    expect(issue.remedy).toContain('±56.94 MHz');
  });
});

describe('rows and records that do not exist', () => {
  test('a channel the standard does not have lists what it has', () => {
    const spacing = issuesOf({ carriers: [{ kind: 'ofdm', channelBandwidthHz: 100e6, subcarrierSpacingHz: 15e3 }] });
    expect(spacing).toEqual([
      expect.objectContaining({ path: 'waveform.carriers.0.subcarrierSpacingHz', remedy: 'use 30, 60 kHz' }),
    ]);
    const width = issuesOf({ carriers: [{ kind: 'ofdm', standard: 'lte', channelBandwidthHz: 12e6 }] });
    expect(width).toEqual([
      expect.objectContaining({
        path: 'waveform.carriers.0.channelBandwidthHz',
        remedy: 'use 1.4, 3, 5, 10, 15, 20 MHz',
      }),
    ]);
  });

  test('a noise record must be a power of two long', () => {
    const noise = { kind: 'noise', occupiedBandwidthHz: 9e6 } as const;
    const [issue] = issuesOf({ carriers: [noise], sampleCount: 100000 });
    expect(issue).toMatchObject({ path: 'waveform.sampleCount', value: '100000', remedy: 'use 65536 or 131072' });
    // With a carrier that has symbols the record is whole symbols, and sampleCount is not used.
    expect(issuesOf({ carriers: [noise, { ...lte10, offsetHz: 12e6 }], sampleCount: 100000 })).toEqual([]);
  });

  test('a record beyond 2^24 samples is refused with the most symbols it may have', () => {
    const [issue] = issuesOf({ ...bench, symbolCount: 4000 });
    expect(issue).toMatchObject({ path: 'waveform.symbolCount', value: '4000' });
    expect(issue.remedy).toBe(`use at most ${Math.floor(2 ** 24 / 8768)} symbols`);
  });
});

describe('spectral edge', () => {
  // Source: the bench of product.md: 513 taps at 122.88 Msps for 0.5 MHz of guard, cut at 4.8 MHz.
  test('"auto" gives the reference filter, and scales it with rate over guard', () => {
    const edge = { kind: 'channelFilter' } as const;
    expect(resolve({ ...bench, spectralEdge: edge }).carriers[0].filter).toEqual({
      tapCount: 513,
      cutoffHz: 4.8e6,
      kaiserBeta: 9,
    });
    expect(resolve({ ...bench, sampleRateHz: 61.44e6, spectralEdge: edge }).carriers[0].filter.tapCount).toBe(257);
    // NR 10 MHz: (10 − 9.36)/2 = 0.32 MHz of guard.
    const nr = resolve({ ...bench, carriers: [{ kind: 'ofdm', channelBandwidthHz: 10e6 }], spectralEdge: edge });
    expect(nr.carriers[0].filter.tapCount).toBe(801);
    expect(nr.carriers[0].filter.cutoffHz).toBeCloseTo(4.68e6 + 0.6 * 0.32e6, 3);
  });

  test('a short record gets a shorter filter', () => {
    const resolved = resolve({
      carriers: [{ kind: 'ofdm', standard: 'lte', channelBandwidthHz: 1.4e6 }],
      sampleRateHz: 1.92e6,
      symbolCount: 2,
    });
    expect(resolved.sampleCount).toBe(274);
    expect(resolved.carriers[0].filter.tapCount).toBeLessThanOrEqual(274 / 4);
  });

  test('all faults of a hand-set filter at once, with those of everything else', () => {
    const issues = issuesOf({
      ...bench,
      sampleRateHz: 100e6,
      carriers: [
        { ...lte10, offsetHz: 60e6 },
        { ...lte10, channelBandwidthHz: 12e6 },
      ],
      spectralEdge: { kind: 'channelFilter', tapCount: 512, cutoffHz: 70e6 },
    });
    expect(issues.map((issue) => issue.path).sort()).toEqual([
      'waveform.carriers.0.offsetHz',
      'waveform.carriers.1.channelBandwidthHz',
      'waveform.spectralEdge.cutoffHz',
      'waveform.spectralEdge.tapCount',
    ]);
    for (const { rule, value, remedy } of issues) for (const text of [rule, value, remedy]) expect(text).not.toBe('');
  });

  test('a filter longer than the record and a cut-off inside the band', () => {
    const narrow = { kind: 'ofdm', standard: 'lte', channelBandwidthHz: 1.4e6 } as const;
    const short = { carriers: [narrow], sampleRateHz: 1.92e6, symbolCount: 2 };
    expect(issuesOf({ ...short, spectralEdge: { kind: 'channelFilter', tapCount: 513 } })).toEqual([
      expect.objectContaining({ path: 'waveform.spectralEdge.tapCount', rule: expect.stringContaining('274 samples') }),
    ]);
    const inside = notesOf({ ...bench, spectralEdge: { kind: 'channelFilter', cutoffHz: 4e6 } });
    expect(inside.map((note) => note.code)).toEqual(['filter-cuts-carrier']);
  });

  test('an overlap longer than the prefix is refused: 4.6875 µs at 15 kHz', () => {
    const [issue] = issuesOf({ ...bench, spectralEdge: { kind: 'symbolOverlap', overlapS: 5e-6 } });
    expect(issue).toMatchObject({ path: 'waveform.spectralEdge.overlapS', rule: expect.stringContaining('4.6875 µs') });
  });
});

describe('resolved settings', () => {
  const written = (input: Parameters<typeof resolve>[0]) => resolve(input).resolvedSettings;

  test('leave nothing "auto" and resolve to the same record again', () => {
    const noise = { kind: 'noise', offsetHz: 13e6, occupiedBandwidthHz: 5e6 } as const;
    const input = { carriers: [lte10, noise], symbolCount: 4 };
    const once = written(input);
    expect(JSON.stringify(once)).not.toContain('auto');
    const again = resolveWaveform(once);
    if (again.kind === 'invalid') throw new Error(JSON.stringify(again.issues));
    expect(again.waveform.resolvedSettings).toEqual(once);
    expect(again.notes).toEqual([]);
    const first = generateWaveform(resolve(input), 1).waveform.signal;
    expect(generateWaveform(again.waveform, 1).waveform.signal).toEqual(first);
  });

  test('keep a filter "auto" only where carriers differ and one number cannot say it', () => {
    const input = { carriers: [lte10, { ...lte10, channelBandwidthHz: 5e6, offsetHz: 12e6 }], symbolCount: 4 };
    const once = written(input);
    expect(once.spectralEdge).toMatchObject({ tapCount: 'auto', cutoffHz: 'auto' });
    const again = resolveWaveform(once);
    expect(again.kind === 'resolved' && again.waveform.carriers).toEqual(resolve(input).carriers);
  });

  test('keep what was set by hand', () => {
    expect(written(quarryLink.waveform)).toEqual(settings(quarryLink.waveform));
  });
});
