// The drawn CW curve against the closed forms of the curves themselves, and where it begins and ends.
import { describe, expect, test } from 'vitest';
import type { AmplifierModelSettings } from '../../../shared/schema/scenario.ts';
import { publishedAmplifierIds } from '../../../shared/tables/publishedAmplifierIds.ts';
import { amplifierCurve } from '../../../src/engine/amplifier/cwCurve.ts';
import { amplifierOf, plainKnee } from './settings.ts';

const RECORD = { sampleRateHz: 122.88e6, sampleCount: 4096 };
const SCALE = { saturatedPowerDbm: 40, gainDb: 30, outputLossDb: 1 };

function curveOf(settings: AmplifierModelSettings, scale: Parameters<typeof amplifierCurve>[1] = SCALE) {
  return amplifierCurve(amplifierOf(settings, RECORD), scale);
}

const saleh = {
  kind: 'saleh',
  alphaAmplitude: 2.1587,
  betaAmplitude: 1.1517,
  alphaPhaseRad: 4.0033,
  betaPhase: 9.104,
} as const;

describe('gain and phase', () => {
  test('Rapp, p = 1: −10·log10(1 + r²) dB at every drive, no phase (Rapp 1991)', () => {
    const { driveDb, gainDb, phaseDeg, outputDb } = curveOf(plainKnee);
    const worst = driveDb.map((db, i) => Math.abs((gainDb[i] ?? 0) + 10 * Math.log10(1 + 10 ** (db / 10))));
    expect(Math.max(...worst)).toBeLessThan(1e-9);
    expect(Math.max(...phaseDeg.map(Math.abs))).toBeLessThan(1e-9);
    expect(Math.max(...outputDb.map((out, i) => Math.abs(out - (driveDb[i] ?? 0) - (gainDb[i] ?? 0))))).toBeLessThan(
      1e-9,
    );
  });

  test('Saleh: −20·log10(1 + β·r²) and α_φ·r²/(1 + β_φ·r²) up to r = 1/√β (Saleh 1981, eqs (3), (4))', () => {
    const { driveDb, gainDb, phaseDeg } = curveOf(saleh);
    // 0 dB re the knee is the drive that would reach the largest output α/(2√β) at gain α: r = 1/(2√β).
    const own = driveDb.map((db) => 10 ** (db / 20) / (2 * Math.sqrt(1.1517)));
    own.forEach((r, i) => {
      expect(Math.abs((gainDb[i] ?? 0) + 20 * Math.log10(1 + 1.1517 * r * r))).toBeLessThan(1e-9);
      const phase = ((4.0033 * r * r) / (1 + 9.104 * r * r)) * (180 / Math.PI);
      expect(Math.abs((phaseDeg[i] ?? 0) - phase)).toBeLessThan(1e-9);
    });
    expect(driveDb.at(-1)).toBeCloseTo(20 * Math.log10(2), 9);
  });

  test('a phase that passes 180° goes on: the curve has no jump', () => {
    const { phaseDeg } = curveOf({ ...saleh, alphaPhaseRad: 60 });
    expect(phaseDeg.at(-1)).toBeGreaterThan(300);
    const steps = phaseDeg.slice(1).map((phase, i) => Math.abs(phase - (phaseDeg[i] ?? 0)));
    expect(Math.max(...steps)).toBeLessThan(30);
  });
});

describe('range and scale', () => {
  test('without a drive range: 40 dB below the knee to 6 dB past it, or past 3 dB of compression', () => {
    const { driveDb } = curveOf(plainKnee);
    expect([driveDb[0], driveDb.at(-1), driveDb.length]).toEqual([-40, 6, 201]);
    const soft = curveOf({ ...plainKnee, kneeSharpness: 0.25 });
    expect(Math.min(...soft.gainDb)).toBeLessThan(-3);
  });

  test('dBm by the power scale at the amplifier’s own ports; null without one', () => {
    const { driveDb, driveDbm, outputDb, outputDbm } = curveOf(plainKnee);
    expect((driveDbm?.[100] ?? 0) - (driveDb[100] ?? 0)).toBeCloseTo(10, 9);
    expect((outputDbm?.[100] ?? 0) - (outputDb[100] ?? 0)).toBeCloseTo(40, 9);
    const bare = curveOf(plainKnee, { ...SCALE, saturatedPowerDbm: null });
    expect([bare.driveDbm, bare.outputDbm]).toEqual([null, null]);
  });

  test.each(publishedAmplifierIds)('%s: rises from 0 dB and 0° at small signal, finite, ends at its range', (id) => {
    const model = amplifierOf({ kind: 'published', id }, { ...RECORD, sampleCount: 3072 });
    const { driveDb, gainDb, phaseDeg } = amplifierCurve(model, SCALE);
    // 40 dB below the knee little is left of the printed polynomials’ third order.
    expect(Math.abs(gainDb[0] ?? 1)).toBeLessThan(0.1);
    expect(Math.abs(phaseDeg[0] ?? 1)).toBeLessThan(0.5);
    expect([...gainDb, ...phaseDeg].every(Number.isFinite)).toBe(true);
    const gain = Math.hypot(model.smallSignalGain.re, model.smallSignalGain.im);
    const rangeDb = model.driveRange === null ? 6 : 20 * Math.log10(model.driveRange * gain);
    if (rangeDb <= 12) expect(driveDb.at(-1)).toBeCloseTo(rangeDb, 9);
  });
});
