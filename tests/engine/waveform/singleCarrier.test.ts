// Single carriers: the pulse against its closed form, the band, the symbols back, crest factors of the handbook kind.
import { describe, expect, test } from 'vitest';
import type { SingleCarrierSettings } from '../../../shared/schema/scenario.ts';
import { type ComplexSignal, meanPower, zeros } from '../../../src/engine/dsp/complex.ts';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import { exceededPower } from '../../../src/engine/dsp/exceedance.ts';
import { fft, inverseFft } from '../../../src/engine/dsp/fft.ts';
import { rootRaisedCosine } from '../../../src/engine/dsp/rootRaisedCosine.ts';
import { shapePulses } from '../../../src/engine/waveform/singleCarrier.ts';
import pulseCrest from '../../reference/pulseCrest.json' with { type: 'json' };
import checks from '../../reference/waveformChecks.json' with { type: 'json' };
import { generate, issuesOf, largestDifference, notesOf, resolve } from './build.ts';

type Carrier = Partial<SingleCarrierSettings> & { readonly symbolRateHz: number };

const wave = (carrier: Carrier, sampleCount = 2 ** 18) => ({
  carriers: [{ kind: 'singleCarrier' as const, ...carrier }],
  sampleCount,
});

/** Level exceeded with a probability over the mean, in dB. */
function levelDb(signal: ComplexSignal, probability: number): number {
  return powerRatioToDb((exceededPower(signal, probability) ?? 0) / meanPower(signal));
}

/**
 * Closed form of the root-raised-cosine impulse response, t in symbols, unit symbol rate (Proakis, Digital
 * Communications, from memory). Singular points do not occur at the times used.
 */
function closedFormPulse(t: number, alpha: number): number {
  if (t === 0) return 1 - alpha + (4 * alpha) / Math.PI;
  const numerator = Math.sin(Math.PI * t * (1 - alpha)) + 4 * alpha * t * Math.cos(Math.PI * t * (1 + alpha));
  return numerator / (Math.PI * t * (1 - (4 * alpha * t) ** 2));
}

describe('the pulse', () => {
  // Five samples a symbol: t = n/5 never meets the singular |t| = 1/(4α) of α = 0.22 and 0.35.
  test.each([0.22, 0.35])('is the closed form of roll-off %f, repeated with the record', (alpha) => {
    const symbolCount = 40;
    const samplesPerSymbol = 5;
    const length = symbolCount * samplesPerSymbol;
    const data = zeros(symbolCount);
    data.re[0] = 1;
    const shaped = shapePulses(data, alpha, length);
    const expected = zeros(length);
    for (let n = 0; n < length; n++) {
      // The tail falls as 1/t²: 4000 records on either side leave below 1e-7.
      for (let r = -4000; r <= 4000; r++) {
        expected.re[n] += closedFormPulse(n / samplesPerSymbol + r * symbolCount, alpha) / samplesPerSymbol;
      }
    }
    expect(largestDifference(shaped, expected)).toBeLessThan(1e-6);
  });

  // Source: Nyquist's first criterion: RC(f) + RC(1 − f) = 1.
  test.each([0.05, 0.2, 0.5])('of roll-off %f twice is free of intersymbol interference', (alpha) => {
    for (let f = 0; f <= 1; f += 0.01) {
      const sum = rootRaisedCosine(f, alpha) ** 2 + rootRaisedCosine(1 - f, alpha) ** 2;
      expect(sum).toBeCloseTo(1, 12);
    }
    expect(rootRaisedCosine(0.5, alpha)).toBeCloseTo(Math.SQRT1_2, 12);
  });

  // 410 symbols on 4096 samples: no power of two, and no whole number of samples a symbol.
  test.each([0.05, 0.25, 0.5])('gives any number of symbols back through its own filter, roll-off %f', (alpha) => {
    const { waveform } = generate(
      { ...wave({ symbolRateHz: 10e6, rollOffRatio: alpha, modulation: '64QAM' }, 4096), sampleRateHz: 100e6 },
      3,
    );
    const geometry = waveform.carriers[0].singleCarrier;
    if (geometry === null) throw new Error('no symbols');
    const { symbolCount } = geometry;
    expect(symbolCount).toBe(410);
    const received = matchedSymbols(waveform.signal, symbolCount, alpha);
    const data = waveform.data[0] ?? zeros(0);
    expect(data.re.length).toBe(symbolCount);
    const gain = Math.sqrt(meanPower(received) / meanPower(data));
    const scaled = { re: data.re.map((v) => gain * v), im: data.im.map((v) => gain * v) };
    expect(largestDifference(received, scaled)).toBeLessThan(1e-12);
  });
});

/** Matched filter on the record's bins and samples at s·N/K, by folding the spectrum: independent of shapePulses. */
function matchedSymbols(signal: ComplexSignal, symbolCount: number, alpha: number): ComplexSignal {
  const spectrum = fft(signal);
  const length = signal.re.length;
  const folded = zeros(symbolCount);
  for (let b = 0; b < length; b++) {
    const bin = b < length / 2 ? b : b - length;
    const f = Math.abs(bin) / symbolCount;
    const edge = (1 + alpha) / 2;
    if (f >= edge) continue;
    const inside = f <= (1 - alpha) / 2;
    const raised = inside ? 1 : 0.5 * (1 + Math.cos((Math.PI / alpha) * (f - (1 - alpha) / 2)));
    const to = ((bin % symbolCount) + symbolCount) % symbolCount;
    folded.re[to] += Math.sqrt(raised) * spectrum.re[b];
    folded.im[to] += Math.sqrt(raised) * spectrum.im[b];
  }
  return inverseFft(folded);
}

describe('the carrier', () => {
  const { waveform } = generate(
    wave({ symbolRateHz: 15.36e6, rollOffRatio: 0.25, modulation: '16APSK', offsetHz: 3e6 }),
    2,
  );

  test('has nothing outside (1 + α) symbol rates but rounding', () => {
    const spectrum = fft(waveform.signal);
    const length = waveform.signal.re.length;
    const binHz = waveform.sampleRateHz / length;
    const { offsetHz, occupiedBandwidthHz } = waveform.carriers[0];
    expect(occupiedBandwidthHz).toBe(19.2e6);
    let inside = 0;
    let outside = 0;
    for (let b = 0; b < length; b++) {
      const hz = (b < length / 2 ? b : b - length) * binHz - offsetHz;
      const power = spectrum.re[b] ** 2 + spectrum.im[b] ** 2;
      if (Math.abs(hz) < occupiedBandwidthHz / 2) inside += power;
      else outside += power;
    }
    expect(powerRatioToDb(outside / inside)).toBeLessThan(-250);
  });

  test('tells its geometry, label and channel', () => {
    expect(waveform.carriers[0]).toMatchObject({
      kind: 'singleCarrier',
      label: '16APSK 15.36 Msym/s, roll-off 0.25',
      channelBandwidthHz: 19.2e6,
      singleCarrier: {
        symbolRateHz: 15.36e6,
        symbolCount: 32768,
        samplesPerSymbol: 8,
        rollOffRatio: 0.25,
        modulation: '16APSK',
        ringRatios: [1, 2.7],
      },
      ofdm: null,
      tones: null,
      notch: null,
    });
    expect(meanPower(waveform.signal)).toBeCloseTo(1, 12);
  });

  test('every second symbol of π/2-BPSK is turned by π/2, and their number is even', () => {
    // 4096 samples at 61.44 Msps: bins of 15 kHz; 1.01 MHz is 67.3 of them.
    const made = generate(
      { ...wave({ symbolRateHz: 1.01e6, modulation: 'pi/2-BPSK' }, 4096), sampleRateHz: 61.44e6 },
      1,
    ).waveform;
    const data = made.data[0] ?? zeros(0);
    expect(data.re.length).toBe(68);
    // Source: TS 38.211 clause 5.1.1: ±(1 + j)/√2, turned: ±(−1 + j)/√2.
    for (let i = 0; i < data.re.length; i++) {
      expect(data.re[i] * data.im[i]).toBeCloseTo(i % 2 === 0 ? 0.5 : -0.5, 12);
    }
  });
});

describe('rates and records', () => {
  test('"auto" is a power of two times the symbol rate with room for fifth-order products', () => {
    // 19.2 MHz wide: five times that is 96 MHz; the alternate channel ends at 48 MHz.
    const resolved = resolve(wave({ symbolRateHz: 15.36e6 }));
    expect(resolved.sampleRateHz).toBe(122.88e6);
    expect(resolved.sampleCount).toBe(2 ** 18);
    expect(resolved.symbolCount).toBeNull();
    expect(resolve(wave({ symbolRateHz: 7e6, rollOffRatio: 0.05 })).sampleRateHz).toBe(56e6);
  });

  test('the largest symbol rate counts, the others move to whole symbols with a note', () => {
    const input = {
      carriers: [
        { kind: 'singleCarrier', symbolRateHz: 4e6, offsetHz: -6e6 },
        { kind: 'singleCarrier', symbolRateHz: 3e6, offsetHz: 6e6 },
      ],
      sampleCount: 2 ** 14,
    } as const;
    const resolved = resolve(input as never);
    expect(resolved.sampleRateHz).toBe(128e6);
    // 3 MHz of 128 Msps on 16384 samples are 384 symbols; 4 MHz are 512.
    expect(resolved.carriers.map((c) => c.geometry.singleCarrier?.symbolCount)).toEqual([512, 384]);
    expect(notesOf(wave({ symbolRateHz: 3e6 })).map((note) => note.code)).toEqual([]);
  });

  test('any rate set by hand will do: the symbol rate moves to whole symbols, and the note says so', () => {
    const input = { ...wave({ symbolRateHz: 3e6 }, 8192), sampleRateHz: 100e6 };
    const { symbolRateHz, symbolCount } = resolve(input).carriers[0].geometry.singleCarrier ?? {
      symbolRateHz: 0,
      symbolCount: 0,
    };
    // 3/100·8192 = 245.76.
    expect(symbolCount).toBe(246);
    expect(symbolRateHz).toBeCloseTo((246 / 8192) * 100e6, 6);
    expect(notesOf(input)).toEqual([
      {
        code: 'symbol-rate-moved',
        message:
          'The record holds a whole number of symbols, so that it is periodic: carrier 1 from 3 Msym/s to 3.00293 Msym/s.',
      },
    ]);
    const again = resolve(resolve(input).resolvedSettings);
    expect(again.carriers).toEqual(resolve(input).carriers);
    expect(notesOf(resolve(input).resolvedSettings)).toEqual([]);
  });

  test('fewer than 16 symbols are refused with the rate that has them', () => {
    const issues = issuesOf({ ...wave({ symbolRateHz: 1e3 }, 4096), sampleRateHz: 1.024e6 });
    expect(issues).toEqual([expect.objectContaining({ path: 'waveform.carriers.0.symbolRateHz', value: '1000' })]);
    expect(issues[0].remedy).toContain('4 kHz');
  });

  test('a rate below the occupied bandwidth is refused', () => {
    const issues = issuesOf({ ...wave({ symbolRateHz: 10e6 }), sampleRateHz: 12e6 });
    expect(issues.map((issue) => issue.path)).toEqual(['waveform.carriers.0.offsetHz']);
  });
});

describe('PR-05: crest factors of root-raised-cosine carriers', () => {
  const { expected } = checks['PR-05'];
  const rows = Object.entries(expected).map(([name, levels]) => {
    const [modulation, alpha] = name.split(',beta=');
    return { modulation: modulation === '4QAM' ? 'QPSK' : modulation, rollOffRatio: Number(alpha), levels };
  });

  // Source: reference check PR-05, simulated with numpy over 120 000 symbols (ours: 131 072); 0.1 dB to 1e-3, 0.2 dB at 1e-4.
  test.each(rows)('$modulation, roll-off $rollOffRatio', ({ modulation, rollOffRatio, levels }) => {
    const carrier = { symbolRateHz: 15.36e6, modulation, rollOffRatio } as Carrier;
    const input = { ...wave(carrier, 2 ** 20), sampleRateHz: 122.88e6 };
    const { signal } = generate(input, 7).waveform;
    for (const [probability, db] of Object.entries(levels)) {
      const tolerance = probability === '1e-4' ? 0.2 : 0.1;
      expect(Math.abs(levelDb(signal, Number(probability)) - db), probability).toBeLessThan(tolerance);
    }
  });
});

// Source: tests/reference/pulseCrest.py, the closed-form pulse convolved in numpy; four standard deviations of one record.
// Scenario of a troposcatter link: QPSK 4.6 dB, 16APSK with rings 1 : 2.7 5.2 dB at roll-off 0.25.
test.each(pulseCrest.rows)(
  '$modulation of roll-off $rollOffRatio exceeds $levelDb dB with 1e-4',
  ({ modulation, rollOffRatio, levelDb: expectedDb, recordSpreadDb }) => {
    const carrier = { symbolRateHz: 15.36e6, modulation, rollOffRatio } as Carrier;
    const { signal } = generate({ ...wave(carrier), sampleRateHz: 122.88e6 }, 4).waveform;
    expect(Math.abs(levelDb(signal, 1e-4) - expectedDb)).toBeLessThan(4 * recordSpreadDb);
  },
);

test('symbols are equiprobable', () => {
  const { waveform } = generate(wave({ symbolRateHz: 15.36e6, modulation: '8PSK' }), 11);
  const data = waveform.data[0] ?? zeros(0);
  const counts = new Map<string, number>();
  for (let i = 0; i < data.re.length; i++) {
    const key = `${data.re[i].toFixed(6)} ${data.im[i].toFixed(6)}`.replaceAll('-0.000000', '0.000000');
    counts.set(key, (counts.get(key) ?? 0) + 1);
  }
  expect(counts.size).toBe(8);
  // 32768/8 = 4096 each, standard deviation √(4096·7/8) = 60: four of them.
  for (const count of counts.values()) expect(Math.abs(count - 4096)).toBeLessThan(240);
});
