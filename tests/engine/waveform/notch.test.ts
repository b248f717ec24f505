// Bands left empty inside noise and OFDM carriers.
import { describe, expect, test } from 'vitest';
import { type ComplexSignal, meanPower } from '../../../src/engine/dsp/complex.ts';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import { fft } from '../../../src/engine/dsp/fft.ts';
import { measureEvm } from '../../../src/engine/measurement/evm.ts';
import { notchLines, snapNotch } from '../../../src/engine/waveform/notch.ts';
import { generate, issuesOf, notesOf, resolve } from './build.ts';

/** Power between two frequencies over the power of the whole record, bins of which the share lies inside. */
function shareBetween(x: ComplexSignal, sampleRateHz: number, lowerHz: number, upperHz: number): number {
  const length = x.re.length;
  const { re, im } = fft(x);
  let inside = 0;
  for (let b = 0; b < length; b++) {
    const hz = ((b < length / 2 ? b : b - length) * sampleRateHz) / length;
    if (hz > lowerHz && hz < upperHz) inside += re[b] ** 2 + im[b] ** 2;
  }
  return inside / length / length / meanPower(x);
}

describe('lines', () => {
  // Line k owns k ± ½: a notch of 2 about 0.5 reaches from −0.5 to 1.5 and takes lines 0 and 1, exactly.
  test('all whose share reaches into the band are removed', () => {
    expect(notchLines({ offsetHz: 0.5, bandwidthHz: 2 }, 1)).toEqual({ first: 0, last: 1 });
    expect(notchLines({ offsetHz: 0.5, bandwidthHz: 2.1 }, 1)).toEqual({ first: -1, last: 2 });
    expect(notchLines({ offsetHz: 10.2, bandwidthHz: 0.1 }, 1)).toEqual({ first: 10, last: 10 });
  });

  test('a notch on whole lines stays', () => {
    const once = snapNotch({ offsetHz: 1.234e6, bandwidthHz: 0.77e6 }, 15e3);
    expect(snapNotch(once, 15e3)).toEqual(once);
    expect(once.bandwidthHz).toBeGreaterThanOrEqual(0.77e6);
  });
});

describe('noise', () => {
  const input = {
    carriers: [
      { kind: 'noise' as const, offsetHz: -5e6, occupiedBandwidthHz: 10e6, notch: { offsetHz: 2e6, bandwidthHz: 1e6 } },
    ],
    sampleCount: 2 ** 16,
    sampleRateHz: 65.536e6,
  };
  const { waveform } = generate(input, 3);

  test('has nothing in the notch but rounding, and covers what was asked', () => {
    const { notch, offsetHz } = waveform.carriers[0];
    if (notch === null) throw new Error('no notch');
    expect(notch.lowerHz).toBeLessThanOrEqual(1.5e6);
    expect(notch.upperHz).toBeGreaterThanOrEqual(2.5e6);
    expect(notch.upperHz - notch.lowerHz).toBeLessThanOrEqual(1e6 + 2 * 1e3);
    const share = shareBetween(waveform.signal, 65.536e6, offsetHz + notch.lowerHz, offsetHz + notch.upperHz);
    expect(powerRatioToDb(share)).toBeLessThan(-270);
    // A tenth of a flat band was removed; the rest carries all the power (9000 bins: ± 1 %, three of them).
    const beside = shareBetween(waveform.signal, 65.536e6, offsetHz - 5e6, offsetHz);
    expect(Math.abs(beside - 5 / 9)).toBeLessThan(0.03);
  });

  test('is the same noise elsewhere as without the notch', () => {
    const plain = generate({ ...input, carriers: [{ ...input.carriers[0], notch: null }] }, 3).waveform.signal;
    const spectra = [plain, waveform.signal].map((x) => fft(x));
    const bin = 65536 - 5000 - 3000;
    const ratio = spectra.map(({ re }) => re[bin]);
    // One factor for all bins: mean power is 1 with a tenth less of them.
    expect(Math.abs(ratio[1] / ratio[0] - Math.sqrt(10 / 9))).toBeLessThan(0.02);
  });
});

describe('OFDM', () => {
  const carrier = {
    kind: 'ofdm' as const,
    standard: 'nr' as const,
    channelBandwidthHz: 10e6,
    notch: { offsetHz: 1e6, bandwidthHz: 1e6 },
  };
  const input = { carriers: [carrier], symbolCount: 24, sampleRateHz: 61.44e6 };

  test('loses the subcarriers of the notch', () => {
    const { ofdm, notch, label } = resolve(input).carriers[0].geometry;
    if (ofdm === null || notch === null) throw new Error('no notch');
    // 0.5 to 1.5 MHz: subcarriers 33 (487.5 … 502.5 kHz) to 100 (1492.5 … 1507.5 kHz).
    expect(notch).toEqual({ lowerHz: 487.5e3, upperHz: 1507.5e3 });
    expect(ofdm.subcarriers.length).toBe(624 - 68);
    expect(ofdm.subcarriers.some((k) => k >= 33 && k <= 100)).toBe(false);
    expect(ofdm.subcarriers.includes(32) && ofdm.subcarriers.includes(101)).toBe(true);
    expect(label).toContain('notch 1.02 MHz');
    expect(notesOf(input).map((note) => note.code)).toEqual(['notch-moved']);
    expect(notesOf(resolve(input).resolvedSettings)).toEqual([]);
  });

  test('its data come back, and the notch is as empty as the symbols’ skirts allow', () => {
    const { waveform } = generate({ ...input, spectralEdge: { kind: 'none' } }, 2);
    expect(waveform.data[0]?.re.length).toBe(24 * 556);
    const request = { output: waveform.signal, waveform, carrierIndex: 0, reference: 'data' } as const;
    expect(measureEvm({ ...request, equalizer: 'none' }).reading.rmsPercent).toBeLessThan(1e-10);
    const share = shareBetween(waveform.signal, waveform.sampleRateHz, 0.5e6, 1.5e6);
    // Closed form (sampled rectangular symbols of N + CP): the skirts of all subcarriers integrated over 0.5 … 1.5 MHz.
    expect(Math.abs(powerRatioToDb(share) - powerRatioToDb(skirtsBetween(0.5e6, 1.5e6)))).toBeLessThan(0.5);
  });

  /** Share of the power between two frequencies: Σ_k |sin(πνL)/(L·sin(πν))|², ν = (f − f_k)/fs, L = N + CP samples. */
  function skirtsBetween(lowerHz: number, upperHz: number): number {
    const symbol = 4096 + 288;
    const stepHz = 61.44e6 / symbol / 16;
    let sum = 0;
    let count = 0;
    for (let k = -312; k < 312; k++) {
      if (k >= 33 && k <= 100) continue;
      count++;
      for (let hz = lowerHz + stepHz / 2; hz < upperHz; hz += stepHz) {
        const nu = (hz - k * 15e3) / 61.44e6;
        sum += ((Math.sin(Math.PI * nu * symbol) / Math.sin(Math.PI * nu)) ** 2 / symbol) * (stepHz / 61.44e6);
      }
    }
    return sum / count;
  }
});

describe('notches that do not lie inside the carrier', () => {
  const noise = (offsetHz: number, bandwidthHz: number) => ({
    carriers: [{ kind: 'noise' as const, occupiedBandwidthHz: 10e6, notch: { offsetHz, bandwidthHz } }],
  });
  const ofdm = (offsetHz: number, bandwidthHz: number) => ({
    carriers: [{ kind: 'ofdm' as const, channelBandwidthHz: 10e6, notch: { offsetHz, bandwidthHz } }],
  });

  test.each([
    ['noise at its edge', noise(4.6e6, 1e6), 'waveform.carriers.0.notch.offsetHz'],
    ['noise outside', noise(-30e6, 1e6), 'waveform.carriers.0.notch.offsetHz'],
    ['noise up to its last bin', noise(4.5e6, 1e6), 'waveform.carriers.0.notch.offsetHz'],
    ['noise as wide as the carrier', noise(0, 10e6), 'waveform.carriers.0.notch.bandwidthHz'],
    ['OFDM at its edge', ofdm(-4.16e6, 1e6), 'waveform.carriers.0.notch.offsetHz'],
    ['OFDM wider than the carrier', ofdm(0, 12e6), 'waveform.carriers.0.notch.bandwidthHz'],
  ])('%s', (_, input, path) => {
    expect(issuesOf(input).map((issue) => issue.path)).toEqual([path]);
    for (const { rule, remedy } of issuesOf(input)) {
      expect(rule).toContain('inside the carrier');
      expect(remedy).toMatch(/^use /);
    }
  });

  // Up to the edge itself, and what is resolved resolves again: the widened notch is not refused.
  test.each([
    ['noise', noise(4.4995e6, 1e6)],
    ['noise below', noise(-4.4995e6, 1e6)],
    // 4.68 MHz less 1½ spacings: 4.6575 MHz.
    ['OFDM', ofdm(4.1575e6, 1e6)],
    ['OFDM below', ofdm(-4.1575e6, 1e6)],
    ['OFDM, all but the outermost', ofdm(0, 2 * 4.6575e6)],
  ])('%s as near the edge as may be passes, and again once resolved', (_, input) => {
    expect(issuesOf(input)).toEqual([]);
    const once = resolve(input);
    expect(resolve(once.resolvedSettings).carriers).toEqual(once.carriers);
    expect(notesOf(once.resolvedSettings)).toEqual([]);
    const { ofdm: symbols } = once.carriers[0].geometry;
    if (symbols !== null) {
      expect(symbols.subcarriers[0]).toBe(-312);
      expect(symbols.subcarriers[symbols.subcarriers.length - 1]).toBe(311);
    }
  });
});
