// Bumps of the gain and a step of the phase. The numpy transcription of referenceAmplifier.py covers whole records.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { parseAmplifierModel } from '../../../shared/schema/parseAmplifierModel.ts';
import type { FilterNonlinearityFilterSettings } from '../../../shared/schema/scenario.ts';
import { cwCharacteristics } from '../../../src/engine/amplifier/cwCharacteristics.ts';
import type { AmplifierModel } from '../../../src/engine/amplifier/model.ts';
import { readBackAmplifier } from '../../../src/engine/amplifier/readBack.ts';
import { scale, zeros } from '../../../src/engine/dsp/complex.ts';
import { amplifierOf, largestAmplitude, noise, plainKnee } from './settings.ts';

type Shape = Partial<FilterNonlinearityFilterSettings>;
const bump = (heightRatio: number, centreAmplitude: number, widthAmplitude: number) => ({
  heightRatio,
  centreAmplitude,
  widthAmplitude,
});

/** Two devices: a dip in mid-range, slight expansion at low drive, a step of −22°. */
const twoDevices: Shape = {
  kneeSharpness: 2.5,
  gainBumps: [bump(-0.1, 0.42, 0.16), bump(0.03, 0, 0.15)],
  amPmStep: { amPmDeg: -22, centreAmplitude: 0.45, widthAmplitude: 0.18 },
};
/** Expansion from low drive; both ends of a wide band. */
const expanding = (u: number): Shape => ({
  kneeSharpness: 1.6 + 0.8 * u,
  amPmDeg: -(4 + 12 * u),
  amPmHalfPower: 0.4,
  gainBumps: [bump(-(0.1 + 0.12 * u), 0, 0.18 + 0.08 * u)],
});

/** The formulas, written in r with Math.pow and nothing of the engine's. */
function twoDeviceOutput(r: number): [number, number] {
  const gain = 1 - 0.1 * Math.exp(-(((r - 0.42) / 0.16) ** 2)) + 0.03 * Math.exp(-((r / 0.15) ** 2));
  return [gain * r * (1 + r ** 5) ** (-1 / 5), (-11 * (1 + Math.tanh((r - 0.45) / 0.18)) * Math.PI) / 180];
}
function expandingOutput(u: number) {
  const q = 1.6 + 0.8 * u;
  return (r: number): [number, number] => {
    const gain = 1 - (0.1 + 0.12 * u) * Math.exp(-((r / (0.18 + 0.08 * u)) ** 2));
    return [
      gain * r * (1 + r ** (2 * q)) ** (-1 / (2 * q)),
      ((-(4 + 12 * u) * Math.PI) / 180) * (r ** 2 / (0.4 + r ** 2)),
    ];
  };
}

function modelOf(shape: Shape, sampleCount = 16): AmplifierModel {
  return amplifierOf({ ...plainKnee, ...shape }, { sampleRateHz: 1e6, sampleCount });
}

const POINTS = 20_000;

test.each([
  ['two devices', twoDevices, twoDeviceOutput],
  ['expanding, lower end', expanding(0), expandingOutput(0)],
  ['expanding, upper end', expanding(1), expandingOutput(1)],
])('%s: samples through the table are the formula', (_, shape, outputOf) => {
  const x = zeros(POINTS);
  // Amplitudes 1e-4 … 10, none of them a node of the table on purpose.
  const amplitudeAt = (n: number) => 10 ** (-4 + (5 * (n + 0.37)) / POINTS);
  for (let n = 0; n < POINTS; n++) x.re[n] = amplitudeAt(n);
  const y = modelOf(shape, POINTS).amplify(x);
  let worst = 0;
  for (let n = 0; n < POINTS; n++) {
    const [magnitude, phase] = outputOf(amplitudeAt(n));
    worst = Math.max(worst, Math.hypot(y.re[n] - magnitude * Math.cos(phase), y.im[n] - magnitude * Math.sin(phase)));
  }
  // Asked: 1e-9. The table's interpolation error is below rounding.
  expect(worst).toBeLessThan(1e-13);
});

test('gain and phase at vanishing drive include bumps and step', () => {
  const { smallSignalGain: g, staticOutput } = modelOf(twoDevices);
  expect(Math.hypot(g.re, g.im)).toBeCloseTo(1.03 - 0.1 * Math.exp(-((0.42 / 0.16) ** 2)), 14);
  const phaseDeg = (Math.atan2(g.im, g.re) * 180) / Math.PI;
  expect(phaseDeg).toBeCloseTo(-11 * (1 - Math.tanh(2.5)), 12); // −0.147°
  const y = staticOutput(1e-6);
  expect(Math.hypot(y.re / 1e-6 - g.re, y.im / 1e-6 - g.im)).toBeLessThan(1e-5);
});

test('CW figures and read-back are those of the shape', () => {
  const model = modelOf(twoDevices);
  const cw = cwCharacteristics(model, 100);
  const at = cw.atOneDbCompression;
  const [magnitude] = twoDeviceOutput(at?.driveAmplitude ?? 0);
  const small = 1.03 - 0.1 * Math.exp(-((0.42 / 0.16) ** 2));
  expect(20 * Math.log10((small * (at?.driveAmplitude ?? 0)) / magnitude)).toBeCloseTo(1, 6);
  // The dip reaches 1 dB of compression long before the knee: −9 dB of output, with 13 % … 40 % of the step behind it.
  expect(at?.driveAmplitude).toBeGreaterThan(0.3);
  expect(at?.driveAmplitude).toBeLessThan(0.45);
  expect(cw.cwSaturationDb).toBeLessThan(0);
  expect(cw.cwSaturationDb).toBeGreaterThan(-0.001);
  const scaleOf = { model: { ...plainKnee, ...twoDevices }, saturatedPowerDbm: 49, gainDb: 30, outputLossDb: 0 };
  const back = readBackAmplifier(model, scaleOf);
  const [, phase] = twoDeviceOutput(at?.driveAmplitude ?? 0);
  const phaseAtRest = -11 * (1 - Math.tanh(2.5));
  expect(back.atOneDbCompression?.amPmDeg).toBeCloseTo((phase * 180) / Math.PI - phaseAtRest, 9);
  expect(back.highestGainDb).toBeCloseTo(0, 6);
  // Expansion shows as gain above the small-signal gain: 1/(1 − 0.22), less what the knee takes.
  const high = readBackAmplifier(modelOf(expanding(1)), { ...scaleOf, model: { ...plainKnee, ...expanding(1) } });
  expect(high.highestGainDb).toBeGreaterThan(1.8);
  expect(high.highestGainDb).toBeLessThan(-20 * Math.log10(1 - 0.22));
});

test('a bump at the knee lifts the bound, and no drive passes it', () => {
  // r·(1 + r^6)^(−1/6)·(1 + 0.2·exp(−((r − 1.5)/0.4)²)): its largest value by a scan of 1e6 points.
  const shape = { kneeSharpness: 3, gainBumps: [bump(0.2, 1.5, 0.4)] };
  let largest = 0;
  for (let i = 1; i <= 1e6; i++) {
    const r = (4 * i) / 1e6;
    largest = Math.max(largest, r * (1 + r ** 6) ** (-1 / 6) * (1 + 0.2 * Math.exp(-(((r - 1.5) / 0.4) ** 2))));
  }
  const model = modelOf(shape);
  expect(largest).toBeGreaterThan(1.17);
  expect(model.outputBound).toBeCloseTo(largest, 8);
  expect(modelOf(twoDevices).outputBound).toBeCloseTo(1, 8);
});

const part = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const bumps = fc.array(
  fc.record({ heightRatio: part(-0.3, 1), centreAmplitude: part(0, 4), widthAmplitude: part(0.02, 4) }),
  { maxLength: 3 },
);

test('|y| stays within the bound for any bumps, step and drive up to +40 dB', () => {
  fc.assert(
    fc.property(bumps, part(0.2, 50), part(-90, 90), part(-40, 40), fc.nat(1e6), (gainBumps, p, deg, driveDb, seed) => {
      const amPmStep = { amPmDeg: deg, centreAmplitude: 0.5, widthAmplitude: 0.1 };
      const model = modelOf({ kneeSharpness: p, gainBumps, amPmStep, outputTaps: [{ re: 1, im: 0 }] }, 64);
      const y = model.amplify(scale(noise(64, 1, seed), 10 ** (driveDb / 20)));
      expect(largestAmplitude(y)).toBeLessThanOrEqual(model.outputBound ?? 0);
      // Not a bound by being large: bumps of height h lift the output by no more than 1 + Σh.
      const rises = gainBumps.reduce((sum, { heightRatio }) => sum + Math.max(0, heightRatio), 0);
      expect(model.outputBound).toBeLessThanOrEqual((1 + rises) * (1 + 1e-8));
    }),
    { seed: 17, numRuns: 150 },
  );
});

test('dips that leave no gain, and widths of nothing, are refused', () => {
  const refused = parseAmplifierModel({
    kind: 'filterNonlinearityFilter',
    kneeSharpness: 2,
    gainBumps: [bump(-0.6, 0.3, 0.1), bump(-0.6, 0.5, 0.1)],
    amPmStep: { amPmDeg: 5, centreAmplitude: 0.4, widthAmplitude: 0 },
  });
  expect(refused.kind).toBe('invalid');
  const paths = refused.kind === 'invalid' ? refused.issues.map((issue) => issue.path) : [];
  expect(paths.some((path) => path.endsWith('gainBumps'))).toBe(true);
  expect(paths.some((path) => path.endsWith('widthAmplitude'))).toBe(true);
});
