// Closed forms PA-01 … PA-04 of tests/reference/amplifierChecks.json; each names its literature there.
import { describe, expect, test } from 'vitest';
import { kneeGain } from '../../../src/engine/amplifier/knee.ts';
import {
  decibelPolynomialCurve,
  ghorbaniCurve,
  modifiedRappCurve,
  type StaticCurve,
  salehCurve,
} from '../../../src/engine/amplifier/staticCurves.ts';
import checks from '../../reference/amplifierChecks.json' with { type: 'json' };

const DEG = 180 / Math.PI;

describe('Saleh 1981 (PA-01)', () => {
  const curve = salehCurve(2.1587, 1.1517, 4.0033, 9.104);
  const { expected } = checks['PA-01'];

  // The record prints its abscissae to five digits; 0.93182 stands for the exact saturation drive.
  test.each(Object.entries(expected.points))('at r = %s', (r, point) => {
    const at = r === '0.93182' ? expected.r_sat : Number(r);
    // 1e-9, the record's tolerance.
    expect(Math.abs(curve.amplitude(at) - point.A)).toBeLessThan(1e-9);
    expect(Math.abs(curve.phaseRad(at) - point.phi_rad)).toBeLessThan(1e-9);
    expect(Math.abs(curve.phaseRad(at) * DEG - point.phi_deg)).toBeLessThan(1e-7);
  });

  test('saturates at r = 1/√β with α/(2√β), 6.02 dB below the small-signal gain', () => {
    const r = 1 / Math.sqrt(1.1517);
    expect(r).toBeCloseTo(expected.r_sat, 9);
    expect(curve.amplitude(r)).toBeCloseTo(expected.A_sat, 9);
    expect(20 * Math.log10(2.1587 / (curve.amplitude(r) / r))).toBeCloseTo(expected.gain_drop_at_sat_dB, 9);
    expect(curve.amplitude(r * 0.999)).toBeLessThan(curve.amplitude(r));
    expect(curve.amplitude(r * 1.001)).toBeLessThan(curve.amplitude(r));
  });
});

describe('Rapp 1991 (PA-02)', () => {
  const { expected } = checks['PA-02'];
  test.each(Object.entries(expected))('p = %s', (sharpness, point) => {
    const p = Number(sharpness);
    const gainDb = (r: number) => 20 * Math.log10(kneeGain(r * r, p));
    expect(Math.abs(gainDb(1) - point.gain_at_r1_dB)).toBeLessThan(1e-6);
    const r1 = 10 ** (point.IP1dB_re_Asat_dB / 20);
    // 1e-6 dB, the record's tolerance.
    expect(Math.abs(gainDb(r1) + 1)).toBeLessThan(1e-6);
    expect(Math.abs(20 * Math.log10(r1) + gainDb(r1) - point.OP1dB_re_Psat_dB)).toBeLessThan(1e-6);
  });

  test('stays finite and exact at the ends: unit gain at zero, 1/r far above the knee', () => {
    for (const p of [0.2, 1.1, 3, 50]) {
      expect(kneeGain(0, p)).toBe(1);
      expect(kneeGain(1e-300, p)).toBeCloseTo(1, 12);
      for (const r of [1e20, 1e100]) expect(r * kneeGain(r * r, p)).toBeCloseTo(1, 3);
      expect(1e6 * kneeGain(1e12, Math.max(p, 2))).toBeCloseTo(1, 9);
    }
  });
});

describe('Ghorbani and Sheikhan 1991 (PA-03)', () => {
  const curve = ghorbaniCurve([8.1081, 1.5413, 6.5202, -0.0718], [4.6645, 2.0965, 10.88, -0.003]);
  test.each(Object.entries(checks['PA-03'].expected))('at r = %s', (r, point) => {
    expect(Math.abs(curve.amplitude(Number(r)) - point.A)).toBeLessThan(1e-9);
    expect(Math.abs(curve.phaseRad(Number(r)) - point.phi_rad)).toBeLessThan(1e-9);
  });
});

describe('modified Rapp (PA-04)', () => {
  // Parameters in the reference's three columns; 60 GHz GaAs: g = 19, A_sat = 1.4, s = 0.81, α = −48000, β = 0.123,
  // q₁ = 3.8, q₂ = 3.7 (IEEE 802.11-09/0296, from memory).
  const curves: Record<string, StaticCurve> = {
    '60 GHz CMOS (TGad)': modifiedRappCurve({
      gain: 4.65,
      saturatedAmplitude: 0.58,
      sharpness: 0.81,
      alpha: 2560,
      beta: 0.114,
      phaseUnit: 'deg',
      phaseOrder: 2.4,
      phaseSaturationOrder: 2.3,
    }),
    '60 GHz GaAs (TGad)': modifiedRappCurve({
      gain: 19,
      saturatedAmplitude: 1.4,
      sharpness: 0.81,
      alpha: -48000,
      beta: 0.123,
      phaseUnit: 'deg',
      phaseOrder: 3.8,
      phaseSaturationOrder: 3.7,
    }),
    'NR BS/UE study (p=1.1,G=16,Vsat=1.9,A=-345,B=.17,q=4)': modifiedRappCurve({
      gain: 16,
      saturatedAmplitude: 1.9,
      sharpness: 1.1,
      alpha: -345,
      beta: 0.17,
      phaseUnit: 'deg',
      phaseOrder: 4,
      phaseSaturationOrder: 4,
    }),
  };
  const rows = Object.entries(checks['PA-04'].expected).flatMap(([name, points]) =>
    Object.entries(points).map(([r, point]) => [name, r, point] as const),
  );
  test.each(rows)('%s at r = %s', (name, r, point) => {
    const curve = curves[name];
    expect(Math.abs(curve.amplitude(Number(r)) - point.A)).toBeLessThan(1e-9);
    expect(Math.abs(curve.phaseRad(Number(r)) * DEG - point.phi_deg)).toBeLessThan(1e-8);
  });

  test('no drive and huge drive give numbers', () => {
    for (const curve of Object.values(curves)) {
      for (const r of [0, 1e-200, 1e100]) {
        expect(Number.isFinite(curve.amplitude(r))).toBe(true);
        expect(Number.isFinite(curve.phaseRad(r))).toBe(true);
      }
    }
  });
});

describe('polynomials in dBm and degrees', () => {
  // Closed form: output = input + 20 dB with a bend of −0.01·(input dBm)², phase 2° per dB.
  const curve = decibelPolynomialCurve([-0.01, 1, 20], [2, 5], -30, 3);
  test('follow the polynomial inside', () => {
    expect(20 * Math.log10(curve.amplitude(1))).toBeCloseTo(20, 12);
    expect(20 * Math.log10(curve.amplitude(10 ** (-10 / 20)))).toBeCloseTo(9, 12);
    expect(curve.phaseRad(10 ** (-10 / 20)) * DEG).toBeCloseTo(-15, 12);
  });
  test('have constant gain below and a held input above', () => {
    const gainAtEnd = 20 - 9;
    expect(20 * Math.log10(curve.amplitude(1e-4) / 1e-4)).toBeCloseTo(gainAtEnd, 10);
    expect(curve.amplitude(0)).toBe(0);
    expect(curve.phaseRad(0) * DEG).toBeCloseTo(-55, 10);
    expect(curve.amplitude(100)).toBeCloseTo(curve.amplitude(10 ** (3 / 20)), 12);
  });
});
