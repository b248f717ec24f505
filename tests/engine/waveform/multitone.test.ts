// Tones: places, levels, phases and crest factors.
import { describe, expect, test } from 'vitest';
import type { MultitoneCarrierSettings } from '../../../shared/schema/scenario.ts';
import { type ComplexSignal, meanPower, peakPower } from '../../../src/engine/dsp/complex.ts';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import { fft } from '../../../src/engine/dsp/fft.ts';
import { shiftByCycles } from '../../../src/engine/dsp/frequencyShift.ts';
import checks from '../../reference/waveformChecks.json' with { type: 'json' };
import { generate, issuesOf, notesOf, resolve } from './build.ts';

type PhaseLaw = MultitoneCarrierSettings['phaseLaw'];

/** Bins of 1 kHz: tones a multiple of 2 kHz apart stay where they are. */
const GRID = { sampleRateHz: 65.536e6, sampleCount: 2 ** 16 } as const;

function tones(toneCount: number, phaseLaw: PhaseLaw, toneSpacingHz = 2e3, seed = 1) {
  const input = { carriers: [{ kind: 'multitone' as const, toneCount, toneSpacingHz, phaseLaw }], ...GRID };
  return generate(input, seed).waveform;
}

const crestDb = (x: ComplexSignal) => powerRatioToDb(peakPower(x) / meanPower(x));

/** Bins that carry power, signed, with their amplitudes. */
function lines(x: ComplexSignal): { bin: number; amplitude: number }[] {
  const length = x.re.length;
  const { re, im } = fft(x);
  const found: { bin: number; amplitude: number }[] = [];
  for (let b = 0; b < length; b++) {
    const amplitude = Math.hypot(re[b], im[b]) / length;
    if (amplitude > 1e-9) found.push({ bin: b < length / 2 ? b : b - length, amplitude });
  }
  return found.sort((a, b) => a.bin - b.bin);
}

describe('places', () => {
  test('an odd number stands on the carrier and beside it, an even number at half spacings', () => {
    expect(lines(tones(3, 'newman').signal).map(({ bin }) => bin)).toEqual([-2, 0, 2]);
    expect(lines(tones(4, 'newman').signal).map(({ bin }) => bin)).toEqual([-3, -1, 1, 3]);
  });

  test('tones are equal and sum to unit power, wherever the carrier stands', () => {
    const input = {
      carriers: [{ kind: 'multitone' as const, toneCount: 5, toneSpacingHz: 1e6, offsetHz: -7e6 }],
      ...GRID,
    };
    const { signal, carriers } = generate(input).waveform;
    const found = lines(signal);
    expect(found.map(({ bin }) => bin)).toEqual([-9000, -8000, -7000, -6000, -5000]);
    for (const { amplitude } of found) expect(amplitude).toBeCloseTo(Math.sqrt(1 / 5), 12);
    expect(carriers[0]).toMatchObject({
      label: '5 tones 1 MHz apart, Newman phases',
      occupiedBandwidthHz: 5e6,
      channelBandwidthHz: 5e6,
    });
    expect(Array.from(carriers[0].tones?.frequencyHz ?? [])).toEqual([-2e6, -1e6, 0, 1e6, 2e6]);
    expect(Array.from(carriers[0].tones?.levelDb ?? [])).toEqual([0, 0, 0, 0, 0]);
  });

  test('the spacing moves to whole cycles, to an even number for an even count, with a note', () => {
    const spacing = (toneCount: number) =>
      resolve({ carriers: [{ kind: 'multitone', toneCount, toneSpacingHz: 3.1e3 }], ...GRID }).carriers[0].geometry
        .tones?.toneSpacingHz;
    expect(spacing(5)).toBeCloseTo(3e3, 6);
    expect(spacing(6)).toBeCloseTo(4e3, 6);
    const input = { carriers: [{ kind: 'multitone' as const, toneCount: 6, toneSpacingHz: 3.1e3 }], ...GRID };
    expect(notesOf(input)).toEqual([
      {
        code: 'tone-spacing-moved',
        message:
          'Tones stand on whole cycles per record, so that the record is periodic: carrier 1 from 3.1 kHz to 4 kHz spacing.',
      },
    ]);
    expect(notesOf(resolve(input).resolvedSettings)).toEqual([]);
  });

  test('a spacing below two cycles of the record is refused with what fits', () => {
    const issues = issuesOf({ carriers: [{ kind: 'twoTone', toneSpacingHz: 900 }], ...GRID });
    expect(issues).toEqual([expect.objectContaining({ path: 'waveform.carriers.0.toneSpacingHz', value: '900' })]);
    expect(issues[0].remedy).toContain('2 kHz');
  });
});

describe('PR-03: envelope crest factors by phase law', () => {
  // Source: reference check PR-03 (Newman 1965, Boyd 1986, Schroeder 1970), numeric over 64 samples a tone; 0.005 dB.
  // 2^16 samples are 64 and more a tone up to 512 tones two bins apart.
  test.each(Object.entries(checks['PR-03'].expected))('%s tones', (count, expected) => {
    const laws: [PhaseLaw, number][] = [
      ['inPhase', expected.inphase],
      ['newman', expected.newman],
      ['schroeder', expected.schroeder],
    ];
    for (const [law, db] of laws) {
      expect(Math.abs(crestDb(tones(Number(count), law).signal) - db), law).toBeLessThan(0.005);
    }
  });

  // Source: reference check PR-03b (Boyd 1986): the real low-pass sum of tones 1 … N, about 4.6 dB; 0.01 dB.
  test.each(Object.entries(checks['PR-03b'].expected))('%s real tones with Newman phases: %f dB', (count, db) => {
    const toneCount = Number(count);
    const { signal } = tones(toneCount, 'newman');
    // Lowest tone from −(N − 1) bins to 2: frequencies 2, 4, …, 2N bins.
    const { re } = shiftByCycles(signal, toneCount + 1);
    const real = { re, im: new Float64Array(re.length) };
    expect(Math.abs(crestDb(real) - db)).toBeLessThan(0.01);
  });

  test('random phases come from the seed and lie between', () => {
    const first = tones(64, 'random', 2e3, 5).signal;
    expect(tones(64, 'random', 2e3, 5).signal).toEqual(first);
    expect(tones(64, 'random', 2e3, 6).signal).not.toEqual(first);
    // 64 random phases: about √(ln 64)… a Gaussian envelope's peak of 64 samples, 10·log10(ln 64) = 6.2 dB, ± 2 dB.
    expect(Math.abs(crestDb(first) - 6.2)).toBeLessThan(2);
  });
});

describe('two tones', () => {
  const two = (upperOverLowerDb: number) =>
    generate({ carriers: [{ kind: 'twoTone', toneSpacingHz: 1e6, upperOverLowerDb }], ...GRID }).waveform;

  // Source: reference check TT-13; 1e-6 dB.
  test('TT-13: equal tones have 3.01 dB of crest, their peak is 6.02 dB over one tone', () => {
    const { PAPR_dB, PEP_over_tone_dB } = checks['TT-13'].expected;
    const { signal, carriers } = two(0);
    expect(Math.abs(crestDb(signal) - PAPR_dB)).toBeLessThan(1e-6);
    const [lower, upper] = lines(signal);
    expect([lower.bin, upper.bin]).toEqual([-500, 500]);
    expect(Math.abs(powerRatioToDb(peakPower(signal) / upper.amplitude ** 2) - PEP_over_tone_dB)).toBeLessThan(1e-6);
    expect(carriers[0]).toMatchObject({ label: 'two tones 1 MHz apart', occupiedBandwidthHz: 2e6 });
  });

  // Source: elementary: amplitudes 1 and r peak at 1 + r over a mean of 1 + r².
  test.each([-20, -3, 6])('the upper tone stands %f dB over the lower', (db) => {
    const { signal, carriers } = two(db);
    const [lower, upper] = lines(signal);
    expect(powerRatioToDb((upper.amplitude / lower.amplitude) ** 2)).toBeCloseTo(db, 9);
    const ratio = 10 ** (db / 20);
    expect(crestDb(signal)).toBeCloseTo(10 * Math.log10((1 + ratio) ** 2 / (1 + ratio * ratio)), 6);
    expect(Array.from(carriers[0].tones?.levelDb ?? [])).toEqual(db > 0 ? [-db, 0] : [0, db]);
    expect(meanPower(signal)).toBeCloseTo(1, 12);
  });

  test('their third- and fifth-order products lie in the neighbouring channels', () => {
    const { occupiedBandwidthHz, channelBandwidthHz } = two(0).carriers[0];
    for (const product of [1.5e6, 2.5e6]) {
      expect(Math.abs(product - channelBandwidthHz)).toBeLessThan(occupiedBandwidthHz / 2);
    }
  });
});
