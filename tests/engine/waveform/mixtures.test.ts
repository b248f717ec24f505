// Several kinds of carriers on one record: places, powers, symbols, faults; and what resolved settings say.
import { describe, expect, test } from 'vitest';
import { meanPower, zeros } from '../../../src/engine/dsp/complex.ts';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import { fft } from '../../../src/engine/dsp/fft.ts';
import { shiftByCycles } from '../../../src/engine/dsp/frequencyShift.ts';
import { rootRaisedCosine } from '../../../src/engine/dsp/rootRaisedCosine.ts';
import { measureEvm } from '../../../src/engine/measurement/evm.ts';
import { generateWaveform } from '../../../src/engine/waveform/multicarrier.ts';
import { resolveWaveform } from '../../../src/engine/waveform/resolve.ts';
import { generate, issuesOf, notesOf, resolve, type WaveformInput } from './build.ts';

const everyKind: WaveformInput = {
  carriers: [
    { kind: 'ofdm', offsetHz: -20e6, channelBandwidthHz: 10e6, subcarrierSpacingHz: 30e3, modulation: 'QPSK' },
    { kind: 'singleCarrier', offsetHz: -8e6, symbolRateHz: 7e6, modulation: '32APSK', relativePowerDb: -6 },
    { kind: 'twoTone', offsetHz: 0, toneSpacingHz: 1e6, relativePowerDb: -12 },
    { kind: 'multitone', offsetHz: 8e6, toneCount: 16, toneSpacingHz: 200e3, relativePowerDb: -3 },
    { kind: 'noise', offsetHz: 20e6, occupiedBandwidthHz: 8e6, notch: { bandwidthHz: 1e6 }, relativePowerDb: -9 },
  ],
  symbolCount: 40,
};

describe('every kind on one record', () => {
  const { waveform } = generate(everyKind, 5);
  const length = waveform.signal.re.length;
  const spectrum = fft(waveform.signal);

  /** Power within a carrier's channel, of a record of unit power. */
  function powerOf(index: number): number {
    const { offsetHz, channelBandwidthHz } = waveform.carriers[index];
    let sum = 0;
    for (let b = 0; b < length; b++) {
      const hz = ((b < length / 2 ? b : b - length) * waveform.sampleRateHz) / length;
      if (Math.abs(hz - offsetHz) < channelBandwidthHz / 2) sum += spectrum.re[b] ** 2 + spectrum.im[b] ** 2;
    }
    return sum / length / length;
  }

  test('whole OFDM symbols set the length', () => {
    expect(length).toBe(40 * waveform.carriers[0].ofdm!.symbolSamples);
    expect(meanPower(waveform.signal)).toBeCloseTo(1, 12);
    expect(waveform.data.map((data) => data !== null)).toEqual([true, true, false, false, false]);
  });

  test('each stands at its place with its power', () => {
    const powers = waveform.carriers.map((_, i) => powerOf(i));
    // The OFDM carrier's filter skirt leaves about 1e-6 of its power outside its channel.
    [0, -6, -12, -3, -9].forEach((db, i) => {
      expect(powerRatioToDb(powers[i] / powers[0])).toBeCloseTo(db, 3);
    });
    expect(powers.reduce((sum, p) => sum + p, 0)).toBeCloseTo(1, 4);
  });

  test('OFDM and single carrier give their symbols back beside all others', () => {
    const request = { output: waveform.signal, waveform, carrierIndex: 0, reference: 'data' } as const;
    expect(measureEvm({ ...request, equalizer: 'perSubcarrier' }).reading.rmsPercent).toBeLessThan(0.05);
    // Matched filter on the bins about the carrier, folded to the symbols.
    const { singleCarrier, offsetHz } = waveform.carriers[1];
    if (singleCarrier === null) throw new Error('no single carrier');
    const { symbolCount, rollOffRatio } = singleCarrier;
    const centred = fft(shiftByCycles(waveform.signal, -Math.round((offsetHz * length) / waveform.sampleRateHz)));
    const folded = zeros(symbolCount);
    for (let b = 0; b < length; b++) {
      const bin = b < length / 2 ? b : b - length;
      const gain = rootRaisedCosine(bin / symbolCount, rollOffRatio);
      if (gain === 0) continue;
      const to = ((bin % symbolCount) + symbolCount) % symbolCount;
      folded.re[to] += gain * centred.re[b];
      folded.im[to] += gain * centred.im[b];
    }
    const sent = fft(waveform.data[1] ?? zeros(0));
    // By Parseval the error of the symbols is that of their transforms: one gain, then the rest over the whole.
    let cross = 0;
    let power = 0;
    for (let k = 0; k < symbolCount; k++) {
      cross += sent.re[k] * folded.re[k] + sent.im[k] * folded.im[k];
      power += sent.re[k] ** 2 + sent.im[k] ** 2;
    }
    let error = 0;
    for (let k = 0; k < symbolCount; k++) {
      const re = (folded.re[k] * power) / cross - sent.re[k];
      const im = (folded.im[k] * power) / cross - sent.im[k];
      error += re * re + im * im;
    }
    // Only the OFDM carrier's filtered skirt reaches here: 80 dB and more below.
    expect(Math.sqrt(error / power)).toBeLessThan(1e-4);
  });

  test('notes say what moved, and the resolved settings move no more', () => {
    const codes = notesOf(everyKind).map((note) => note.code);
    expect(new Set(codes)).toEqual(
      new Set(['carrier-moved', 'symbol-rate-moved', 'tone-spacing-moved', 'noise-width-changed', 'notch-moved']),
    );
    const once = resolve(everyKind).resolvedSettings;
    const again = resolveWaveform(once);
    if (again.kind === 'invalid') throw new Error(JSON.stringify(again.issues));
    expect(again.notes).toEqual([]);
    expect(again.waveform.resolvedSettings).toEqual(once);
    expect(generateWaveform(again.waveform, 5).waveform.signal).toEqual(waveform.signal);
  });

  test('each draws from a seed of its own, and the same seed gives the same', () => {
    expect(generate(everyKind, 5).waveform.signal).toEqual(waveform.signal);
    const other = generate(everyKind, 6).waveform;
    expect(other.data[1]).not.toEqual(waveform.data[1]);
  });
});

describe('four single carriers with an empty slot between', () => {
  // The satellite uplink of the scenarios: QPSK 3.84 Msym/s, roll-off 0.2 at ±5 and ±10 MHz, one 6 dB down.
  const input: WaveformInput = {
    carriers: [-10e6, -5e6, 5e6, 10e6].map((offsetHz, i) => ({
      kind: 'singleCarrier' as const,
      offsetHz,
      symbolRateHz: 3.84e6,
      rollOffRatio: 0.2,
      relativePowerDb: i === 3 ? -6 : 0,
    })),
    sampleCount: 2 ** 17,
    sampleRateHz: 122.88e6,
  };

  test('fit on 32 samples a symbol, and the slot at the centre holds rounding only', () => {
    const { waveform } = generate(input, 1);
    expect(waveform.carriers.map((c) => c.singleCarrier?.samplesPerSymbol)).toEqual([32, 32, 32, 32]);
    // 122.88 MHz over 2^17 is 937.5 Hz: 5 MHz lies on no whole bin; it moves by 312.5 Hz.
    // The set is 24.608 MHz wide; its fifth-order products need 123.04 Msps.
    expect(notesOf(input).map((note) => note.code)).toEqual(['rate-narrow', 'carrier-moved']);
    const { re, im } = fft(waveform.signal);
    const length = re.length;
    let slot = 0;
    let all = 0;
    for (let b = 0; b < length; b++) {
      const hz = ((b < length / 2 ? b : b - length) * 122.88e6) / length;
      const power = re[b] ** 2 + im[b] ** 2;
      all += power;
      if (Math.abs(hz) < 2.304e6) slot += power;
    }
    expect(powerRatioToDb(slot / all)).toBeLessThan(-250);
  });
});

describe('faults between carriers of any kind', () => {
  test('overlapping bands are refused, whatever the kinds', () => {
    const issues = issuesOf({
      carriers: [
        { kind: 'singleCarrier', symbolRateHz: 8e6 },
        { kind: 'twoTone', toneSpacingHz: 1e6, offsetHz: 5.5e6 },
        { kind: 'multitone', toneCount: 10, toneSpacingHz: 1e6, offsetHz: 20e6 },
      ],
    });
    // 5 MHz of the first, 1 MHz of the second: 6 MHz at least.
    expect(issues).toEqual([
      expect.objectContaining({
        path: 'waveform.carriers.1.offsetHz',
        remedy: expect.stringContaining('at least 6 MHz away'),
      }),
    ]);
  });

  test('a rate without room for products is noted for tones as well', () => {
    const input: WaveformInput = { carriers: [{ kind: 'twoTone', toneSpacingHz: 8e6 }], sampleRateHz: 40e6 };
    expect(notesOf(input).map((note) => note.code)).toContain('rate-narrow');
  });

  test('all faults come at once', () => {
    const issues = issuesOf({
      carriers: [
        { kind: 'noise', occupiedBandwidthHz: 5e6, notch: { offsetHz: 3e6, bandwidthHz: 1e6 } },
        { kind: 'ofdm', channelBandwidthHz: 11e6, offsetHz: 30e6 },
        { kind: 'ofdm', channelBandwidthHz: 10e6, offsetHz: 2e6 },
      ],
    });
    expect(issues.map((issue) => issue.path).sort()).toEqual([
      'waveform.carriers.0.notch.offsetHz',
      'waveform.carriers.1.channelBandwidthHz',
      'waveform.carriers.2.offsetHz',
    ]);
  });

  // Bins of 1 kHz. 50 tones 3.1 kHz apart move to 4 kHz: 155 kHz grow to 200 kHz, over the neighbour 140 kHz away and,
  // 1300 of them at 4.096 Msps, over ±fs/2.
  test('tones that grow into a neighbour or out of the record when they move to whole cycles are refused', () => {
    const tones = { kind: 'multitone', toneCount: 50, toneSpacingHz: 3.1e3 } as const;
    const beside = issuesOf({
      carriers: [tones, { kind: 'noise', occupiedBandwidthHz: 100e3, offsetHz: 140e3 }],
      sampleRateHz: 8.192e6,
      sampleCount: 8192,
    });
    expect(beside.map((issue) => issue.path)).toEqual(['waveform.carriers.1.offsetHz']);
    const outside = issuesOf({ carriers: [{ ...tones, toneCount: 1300 }], sampleRateHz: 4.096e6, sampleCount: 4096 });
    expect(outside.map((issue) => issue.path)).toEqual(['waveform.carriers.0.offsetHz']);
  });

  test('a carrier as wide as the sample rate, rounded up to whole bins or symbols, is refused and never thrown', () => {
    const record = { sampleRateHz: 4.096e6, sampleCount: 4096 };
    const noise = issuesOf({ carriers: [{ kind: 'noise', occupiedBandwidthHz: 4.096e6 }], ...record });
    expect(noise.map((issue) => issue.path)).toEqual(['waveform.carriers.0.offsetHz']);
    // 4096/1.5 = 2730.67 symbols round up to 2731.
    const single = issuesOf({
      carriers: [{ kind: 'singleCarrier', symbolRateHz: 4.096e6 / 1.5, rollOffRatio: 0.5 }],
      ...record,
    });
    expect(single.map((issue) => issue.path)).toEqual(['waveform.carriers.0.offsetHz']);
  });

  test('touching noise bands stay allowed, whatever whole bins make of them', () => {
    const noise = (offsetHz: number) => ({ kind: 'noise' as const, occupiedBandwidthHz: 10e6, offsetHz });
    expect(issuesOf({ carriers: [noise(-5e6), noise(5e6)], sampleCount: 4096 })).toEqual([]);
  });
});
