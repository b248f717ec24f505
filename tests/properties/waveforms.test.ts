// Laws of waveforms of every kind under random settings. One seed, so that a failure repeats.
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { quarryLink } from '../../shared/presets/quarryLink.ts';
import { formatIssue } from '../../shared/schema/issue.ts';
import { parseScenario } from '../../shared/schema/parse.ts';
import { numerologies } from '../../shared/tables/numerologies.ts';
import { meanPower } from '../../src/engine/dsp/complex.ts';
import { fft } from '../../src/engine/dsp/fft.ts';
import { generateWaveform } from '../../src/engine/waveform/multicarrier.ts';
import { resolveWaveform } from '../../src/engine/waveform/resolve.ts';
import { settings, type WaveformInput } from '../engine/waveform/build.ts';

const RUNS = { numRuns: 300, seed: 4 };

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const place = {
  offsetHz: between(-30e6, 30e6),
  relativePowerDb: between(-40, 0),
};
const notch = fc.option(fc.record({ offsetHz: between(-6e6, 6e6), bandwidthHz: between(1e3, 3e6) }), { freq: 3 });
const payload = fc.constantFrom('random' as const, 'pn23' as const);

const ofdm = fc
  .record({
    ...place,
    row: fc.constantFrom(...numerologies.filter((row) => row.channelBandwidthHz <= 20e6)),
    notch,
    payload,
  })
  .map(({ row, ...rest }) => ({
    kind: 'ofdm' as const,
    standard: row.standard,
    channelBandwidthHz: row.channelBandwidthHz,
    subcarrierSpacingHz: row.subcarrierSpacingHz,
    ...rest,
  }));
const singleCarrier = fc.record({
  kind: fc.constant('singleCarrier' as const),
  ...place,
  symbolRateHz: between(1e3, 20e6),
  rollOffRatio: between(0.05, 0.5),
  modulation: fc.constantFrom('BPSK' as const, 'pi/2-BPSK' as const, '8PSK' as const, '32APSK' as const),
  payload,
});
const multitone = fc.record({
  kind: fc.constant('multitone' as const),
  ...place,
  toneCount: fc.integer({ min: 2, max: 300 }),
  toneSpacingHz: between(100, 1e6),
  phaseLaw: fc.constantFrom('inPhase' as const, 'newman' as const, 'schroeder' as const, 'random' as const),
});
const twoTone = fc.record({
  kind: fc.constant('twoTone' as const),
  ...place,
  toneSpacingHz: between(100, 5e6),
  upperOverLowerDb: between(-40, 40),
});
const noise = fc.record({
  kind: fc.constant('noise' as const),
  ...place,
  occupiedBandwidthHz: between(1e3, 30e6),
  notch,
});

const waveform = fc.record({
  carriers: fc.array(fc.oneof(ofdm, singleCarrier, multitone, twoTone, noise), { minLength: 1, maxLength: 3 }),
  symbolCount: fc.integer({ min: 2, max: 8 }),
  sampleCount: fc.constantFrom(4096, 16384),
  sampleRateHz: fc.oneof(fc.constant('auto' as const), fc.constantFrom(61.44e6, 122.88e6), between(1e5, 200e6)),
}) as fc.Arbitrary<WaveformInput>;

describe('waveforms of random settings', () => {
  test('resolve or list issues, and what resolves has unit power and resolves to itself', () => {
    let resolvedCount = 0;
    fc.assert(
      fc.property(waveform, fc.integer({ min: 1, max: 9 }), (input, seed) => {
        const asked = settings(input);
        const resolution = resolveWaveform(asked);
        if (resolution.kind === 'invalid') {
          for (const issue of resolution.issues) expect(formatIssue(issue)).not.toMatch(/NaN|undefined/);
          expect(resolution.issues.length).toBeGreaterThan(0);
          return;
        }
        resolvedCount++;
        const { waveform: resolved } = resolution;
        const { signal, data } = generateWaveform(resolved, seed).waveform;
        expect(signal.re.length).toBe(resolved.sampleCount);
        expect(meanPower(signal)).toBeCloseTo(1, 9);
        for (const symbols of data) if (symbols !== null) expect(Number.isFinite(meanPower(symbols))).toBe(true);
        // What a report keeps can be read again and gives the same record.
        const kept = parseScenario({ ...quarryLink, waveform: resolved.resolvedSettings });
        expect(kept.kind === 'invalid' ? kept.issues.map(formatIssue) : []).toEqual([]);
        const again = resolveWaveform(resolved.resolvedSettings);
        if (again.kind === 'invalid') throw new Error(again.issues.map(formatIssue).join('\n'));
        expect(again.waveform.carriers.map((carrier) => carrier.geometry)).toEqual(
          resolved.carriers.map((carrier) => carrier.geometry),
        );
        expect(again.notes.filter(({ code }) => code.includes('moved') || code.includes('changed'))).toEqual([]);
      }),
      RUNS,
    );
    // Not all of them are faults.
    expect(resolvedCount).toBeGreaterThan(RUNS.numRuns / 6);
  });

  test('carriers on exact bins leave everything outside their bands empty', () => {
    const exact = fc.array(fc.oneof(singleCarrier, multitone, twoTone, noise), { minLength: 1, maxLength: 2 });
    fc.assert(
      fc.property(exact, (carriers) => {
        const resolution = resolveWaveform(settings({ carriers: carriers as never, sampleCount: 16384 }));
        if (resolution.kind === 'invalid') return;
        const { waveform: resolved } = resolution;
        const { re, im } = fft(generateWaveform(resolved, 1).waveform.signal);
        const length = re.length;
        const binHz = resolved.sampleRateHz / length;
        let outside = 0;
        for (let b = 0; b < length; b++) {
          const hz = (b < length / 2 ? b : b - length) * binHz;
          const isInside = resolved.carriers.some(
            ({ geometry }) => Math.abs(hz - geometry.offsetHz) < geometry.occupiedBandwidthHz / 2 + binHz / 2,
          );
          if (!isInside) outside += (re[b] ** 2 + im[b] ** 2) / length / length;
        }
        expect(outside).toBeLessThan(1e-24);
      }),
      RUNS,
    );
  });
});
