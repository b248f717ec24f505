// Curves of the literature with parameters of one's own, through the amplifier's own scale, against checks PA-01 to PA-04
// (tests/reference/amplifierChecks.json, closed forms computed with numpy).
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { parseAmplifierModel } from '../../../shared/schema/parseAmplifierModel.ts';
import type { AmplifierModelSettings } from '../../../shared/schema/scenario.ts';
import { cwCharacteristics } from '../../../src/engine/amplifier/cwCharacteristics.ts';
import type { AmplifierModel } from '../../../src/engine/amplifier/model.ts';
import { scale } from '../../../src/engine/dsp/complex.ts';
import checks from '../../reference/amplifierChecks.json' with { type: 'json' };
import { amplifierOf, issuesOf, largestAmplitude, noise } from './settings.ts';

const record = { sampleRateHz: 1e8, sampleCount: 64 };

function settingsOf(model: Record<string, unknown>): AmplifierModelSettings {
  const parsed = parseAmplifierModel(model);
  if (parsed.kind === 'invalid') expect.fail(JSON.stringify(parsed.issues));
  return parsed.model;
}

const modelOf = (model: Record<string, unknown>): AmplifierModel => amplifierOf(settingsOf(model), record);

/** Amplitude and phase in the source's own units, by way of a record: the path a signal takes. */
function rawOutput(model: AmplifierModel, r: number) {
  const drive = { re: new Float64Array(64), im: new Float64Array(64) };
  drive.re[3] = r / model.ownUnits.drive;
  const y = model.amplify(drive);
  return { amplitude: model.ownUnits.output * Math.hypot(y.re[3], y.im[3]), phase: Math.atan2(y.im[3], y.re[3]) };
}

describe('defaults are the parameters of the papers', () => {
  test('Saleh (PA-01), held at its saturation', () => {
    const model = modelOf({ kind: 'saleh' });
    const { expected } = checks['PA-01'];
    for (const [r, point] of Object.entries(expected.points)) {
      const at = r === '0.93182' ? expected.r_sat : Number(r);
      const raw = rawOutput(model, at);
      const isHeld = at > expected.r_sat;
      expect(Math.abs(raw.amplitude - (isHeld ? expected.A_sat : point.A))).toBeLessThan(1e-9);
      if (!isHeld) expect(Math.abs(raw.phase - point.phi_rad)).toBeLessThan(1e-9);
    }
    // A largest output is flat: its place, and so the compression there, is known to 1e-5 only.
    const cw = cwCharacteristics(model, 100);
    expect(cw.outputAtOneDbCompressionDb).toBeCloseTo(expected.OP1dB_rel_sat_dB, 8);
    expect(cw.saturation.compressionDb).toBeCloseTo(expected.gain_drop_at_sat_dB, 4);
  });
  test('Ghorbani (PA-03), held at its largest output', () => {
    const model = modelOf({ kind: 'ghorbani' });
    for (const [r, point] of Object.entries(checks['PA-03'].expected)) {
      const raw = rawOutput(model, Number(r));
      expect(Math.abs(raw.amplitude - point.A)).toBeLessThan(1e-9);
      expect(Math.abs(raw.phase - point.phi_rad)).toBeLessThan(1e-9);
    }
    // dA/dr = x1·x2·r^(x2−1)/(1 + x3·r^x2)² + x4 = 0 at the range, by the paper's formula.
    const r = model.driveRange! * model.ownUnits.drive;
    const slope = (8.1081 * 1.5413 * r ** 0.5413) / (1 + 6.5202 * r ** 1.5413) ** 2 - 0.0718;
    expect(Math.abs(slope)).toBeLessThan(1e-6);
    expect(rawOutput(model, 3 * r).amplitude).toBeCloseTo(rawOutput(model, r).amplitude, 12);
  });
});

test.each(Object.entries(checks['PA-02'].expected))('Rapp, knee %s (PA-02)', (knee, expected) => {
  const model = modelOf({ kind: 'rapp', gainRatio: 12, saturatedAmplitude: 3, kneeSharpness: Number(knee) });
  // The linear end of the sweep lies 60 dB under the knee: the softest curve, p = 0.5, is 0.01 dB down there.
  const cw = cwCharacteristics(model, 100);
  expect(Math.abs((cw.outputAtOneDbCompressionDb ?? 0) - expected.OP1dB_re_Psat_dB)).toBeLessThan(1e-6);
  expect(20 * Math.log10(rawOutput(model, 3 / 12).amplitude / 3)).toBeCloseTo(expected.gain_at_r1_dB, 8);
});

// PA-04; the values of the parameters are from memory there, the formula is not in doubt.
describe('modified Rapp (PA-04)', () => {
  const sets = [
    ['60 GHz CMOS (TGad)', 4.65, 0.58, 0.81, 2560, 0.114, 2.4, 2.3],
    ['NR BS/UE study (p=1.1,G=16,Vsat=1.9,A=-345,B=.17,q=4)', 16, 1.9, 1.1, (-345 * 180) / Math.PI, 0.17, 4, 4],
  ] as const;
  test.each(sets)('%s', (name, gainRatio, saturatedAmplitude, kneeSharpness, alphaPhaseDeg, betaPhase, q1, q2) => {
    const phase = { alphaPhaseDeg, betaPhase, phaseOrder: q1, phaseSaturationOrder: q2 };
    const model = modelOf({ kind: 'modifiedRapp', gainRatio, saturatedAmplitude, kneeSharpness, ...phase });
    const points: Record<string, { A: number; phi_deg: number }> = checks['PA-04'].expected[name];
    const inRad = name.startsWith('NR');
    for (const [r, point] of Object.entries(points)) {
      const raw = rawOutput(model, Number(r));
      expect(Math.abs(raw.amplitude - point.A)).toBeLessThan(1e-9);
      // The check evaluates the study's α as degrees; the study gives it in radians.
      const expected = inRad ? (point.phi_deg * 180) / Math.PI : point.phi_deg;
      expect(Math.abs((raw.phase * 180) / Math.PI - expected)).toBeLessThan(1e-7);
    }
  });
});

test('a Ghorbani curve without any positive gain is refused', () => {
  const issues = issuesOf(settingsOf({ kind: 'ghorbani', x1: 0.01, x4: -1 }), record);
  expect(issues.map((issue) => issue.path)).toEqual(['amplifier.model.x4']);
});
test('a Ghorbani curve that never turns down saturates at x1/x3', () => {
  const model = modelOf({ kind: 'ghorbani', x1: 8, x2: 1, x3: 4, x4: 0 });
  expect(model.driveRange).toBeNull();
  expect(model.ownUnits.output).toBe(2);
  expect(rawOutput(model, 1e6).amplitude).toBeCloseTo(2, 5);
});

test('|y| never exceeds the bound, for any parameters and drive (pitfall P5)', () => {
  const positive = fc.double({ min: 0.01, max: 100, noNaN: true });
  const curves = fc.oneof(
    fc.record({ kind: fc.constant('saleh'), alphaAmplitude: positive, betaAmplitude: positive, betaPhase: positive }),
    fc.record({
      kind: fc.constant('rapp'),
      kneeSharpness: fc.double({ min: 0.2, max: 50, noNaN: true }),
      gainRatio: positive,
      saturatedAmplitude: positive,
    }),
    fc.record({
      kind: fc.constant('ghorbani'),
      x1: positive,
      x2: fc.double({ min: 1, max: 4, noNaN: true }),
      x3: positive,
      x4: fc.double({ min: -0.001, max: 0, noNaN: true }),
    }),
  );
  fc.assert(
    fc.property(curves, fc.double({ min: -60, max: 60, noNaN: true }), fc.nat(1e6), (curve, driveDb, seed) => {
      const settings = settingsOf(curve);
      if (issuesOf(settings, record).length > 0) return;
      const model = amplifierOf(settings, record);
      const y = model.amplify(scale(noise(64, 1, seed), 10 ** (driveDb / 20)));
      expect(largestAmplitude(y)).toBeLessThanOrEqual(model.outputBound!);
    }),
    { seed: 8, numRuns: 300 },
  );
});
