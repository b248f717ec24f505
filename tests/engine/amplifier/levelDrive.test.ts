import { describe, expect, test } from 'vitest';
import { type LevelOutcome, type LevelRequest, levelDrive } from '../../../src/engine/amplifier/levelDrive.ts';
import { type ComplexSignal, meanPower, scale } from '../../../src/engine/dsp/complex.ts';
import type { Device } from '../../../src/engine/dsp/waveformTypes.ts';
import { amplifierOf, largestDifference, noise, openPolynomial, quarryLinkAmplifier } from './settings.ts';

const LENGTH = 4096;
const waveform = noise(LENGTH, 9 / 122.88);
const quarryLink = amplifierOf(quarryLinkAmplifier().model, { sampleRateHz: 122.88e6, sampleCount: LENGTH });

function level(device: Device, backoffDb: number, rest: Partial<LevelRequest> = {}) {
  let passes = 0;
  const counted: Device = (drive) => {
    passes++;
    return device(drive);
  };
  const request = { device: counted, waveform, wantedMeanPower: 10 ** (-backoffDb / 10), maximumScale: 100, ...rest };
  return { outcome: levelDrive(request), passes: () => passes };
}

function expectLevelled(outcome: LevelOutcome, device: Device, backoffDb: number, x = waveform): void {
  if (outcome.kind !== 'levelled') expect.fail(`out of reach: ${outcome.mostMeanPower}`);
  const { driveScale, drive, output, meanPower: power } = outcome;
  // The job's 0.01 dB; the default tolerance is 0.002 dB.
  expect(Math.abs(10 * Math.log10(meanPower(output)) + backoffDb)).toBeLessThan(0.002 + 1e-9);
  expect(power).toBe(meanPower(output));
  expect(largestDifference(drive, scale(x, driveScale))).toBe(0);
  expect(largestDifference(output, device(drive))).toBe(0);
}

describe('levelDrive reaches the wanted mean output power', () => {
  test.each([40, 20, 9, 8, 6, 3, 1, 0.3])(
    'reference amplifier at %d dB output back-off, in few passes',
    (backoffDb) => {
      const { outcome, passes } = level(quarryLink.amplify, backoffDb);
      expectLevelled(outcome, quarryLink.amplify, backoffDb);
      expect(passes()).toBeLessThanOrEqual(backoffDb >= 6 ? 5 : 10);
    },
  );

  test('a linear device takes one pass from its own start, two from any other gain', () => {
    const twice: Device = (x) => scale(x, 2);
    expectLevelled(level((x) => scale(x, 1), 10).outcome, (x) => x, 10);
    const { outcome, passes } = level(twice, 10);
    expectLevelled(outcome, twice, 10);
    expect(passes()).toBeLessThanOrEqual(3);
  });

  test('a good start is used: no second pass', () => {
    const first = level(quarryLink.amplify, 9).outcome;
    if (first.kind !== 'levelled') expect.fail('out of reach');
    const { outcome, passes } = level(quarryLink.amplify, 9, { startScale: first.driveScale });
    expect(passes()).toBe(1);
    expectLevelled(outcome, quarryLink.amplify, 9);
  });

  test.each([0.001, 0.1, 3, 60])('from a bad start, scale %d', (startScale) => {
    expectLevelled(level(quarryLink.amplify, 9, { startScale }).outcome, quarryLink.amplify, 9);
  });

  test('a waveform of any power', () => {
    const loud = scale(waveform, 50);
    expectLevelled(level(quarryLink.amplify, 12, { waveform: loud }).outcome, quarryLink.amplify, 12, loud);
  });

  test('a tighter tolerance is kept', () => {
    const { outcome } = level(quarryLink.amplify, 5, { toleranceDb: 1e-7 });
    expect(Math.abs(10 * Math.log10(outcome.kind === 'levelled' ? outcome.meanPower : 1) + 5)).toBeLessThan(1e-7);
  });
});

/** Gain 1 − 0.3·|s·x|² summed over the record: rises, folds at s = 1/√(0.9), falls to zero. Constant envelope. */
const constant: ComplexSignal = { re: new Float64Array(64).fill(1), im: new Float64Array(64) };
const folding: Device = (x) => {
  const r = x.re[0];
  return scale(x, 1 - 0.3 * r * r);
};
const FOLD = { scale: 1 / Math.sqrt(0.9), amplitude: 2 / 3 / Math.sqrt(0.9) };

describe('a device that folds back', () => {
  const foldRequest = { waveform: constant, maximumScale: 1.5 };

  test.each([0.05, 0.5, 1, 1.2, 1.4])('is levelled on its rising side from scale %d', (startScale) => {
    const { outcome } = level(folding, 4, { ...foldRequest, startScale });
    expectLevelled(outcome, folding, 4, constant);
    if (startScale < 1 && outcome.kind === 'levelled') expect(outcome.driveScale).toBeLessThan(FOLD.scale);
  });

  test('just under its largest output, a peak narrower than the steps', () => {
    const backoffDb = -20 * Math.log10(FOLD.amplitude) + 0.003;
    expectLevelled(level(folding, backoffDb, foldRequest).outcome, folding, backoffDb, constant);
  });

  test('where the output explodes beyond the fold, the rising side is still the answer', () => {
    // 1 − 0.3·s² at s = 10 gives |y| = 290: a polynomial far out of its range.
    const backoffDb = -20 * Math.log10(FOLD.amplitude) + 0.003;
    for (const startScale of [0.02, 0.3, 0.8, 1]) {
      const { outcome } = level(folding, backoffDb, { waveform: constant, maximumScale: 10, startScale });
      expectLevelled(outcome, folding, backoffDb, constant);
      // 0.005 dB under a flat top lies within 0.4 dB of its place.
      if (outcome.kind === 'levelled')
        expect(Math.abs(20 * Math.log10(outcome.driveScale / FOLD.scale))).toBeLessThan(0.4);
    }
  });

  test('and is found from a start beyond the fold, without passing through the explosion', () => {
    for (const startScale of [1.2, 1.4]) {
      const { outcome } = level(folding, 4, { waveform: constant, maximumScale: 10, startScale });
      expectLevelled(outcome, folding, 4, constant);
      if (outcome.kind === 'levelled') expect(outcome.driveScale).toBeLessThan(FOLD.scale);
    }
  });

  test('above it the answer is the largest output and where it is (closed form)', () => {
    const { outcome } = level(folding, 2, foldRequest);
    if (outcome.kind !== 'outOfReach') expect.fail('levelled beyond the largest output');
    expect(10 * Math.log10(outcome.mostMeanPower)).toBeCloseTo(20 * Math.log10(FOLD.amplitude), 3);
    // The place of a flat maximum is known to 0.02 dB of drive.
    expect(Math.abs(20 * Math.log10(outcome.atDriveScale / FOLD.scale))).toBeLessThan(0.02);
  });
});

describe('out of reach', () => {
  test('more than saturation: the most power is named, at the largest scale', () => {
    const { outcome, passes } = level(quarryLink.amplify, -1, { maximumScale: 30 });
    if (outcome.kind !== 'outOfReach') expect.fail('levelled above saturation');
    expect(outcome.mostMeanPower).toBeCloseTo(meanPower(quarryLink.amplify(scale(waveform, outcome.atDriveScale))), 12);
    expect(outcome.atDriveScale).toBeCloseTo(30, 9);
    // Noise at a scale of 30 is nearly all saturated: between 0.3 dB below and the CW asymptote of +0.18 dB.
    expect(10 * Math.log10(outcome.mostMeanPower)).toBeGreaterThan(-0.3);
    expect(10 * Math.log10(outcome.mostMeanPower)).toBeLessThan(0.18);
    expect(passes()).toBeLessThan(45);
  });

  test('a drive ceiling below what the power needs', () => {
    const { outcome } = level((x) => scale(x, 1), 3, { maximumScale: 0.5 });
    const power = meanPower(waveform) / 4;
    expect(outcome).toMatchObject({ kind: 'outOfReach' });
    if (outcome.kind === 'outOfReach') expect(outcome.mostMeanPower / power).toBeCloseTo(1, 9);
  });

  test('a polynomial without guard that overflows is more than enough, not an error', () => {
    const settings = openPolynomial([1, 25], 1, [
      { re: 1, im: 0 },
      { re: 1, im: 0 },
    ]);
    const model = amplifierOf(settings, { sampleRateHz: 1e6, sampleCount: LENGTH });
    const { outcome } = level(model.amplify, 10, { startScale: 1e15, maximumScale: 1e20 });
    expectLevelled(outcome, model.amplify, 10);
  });

  test('no power in, or limits that are none, are programmer’s mistakes', () => {
    expect(() => level((x) => x, 3, { waveform: scale(waveform, 0) })).toThrow(/levelDrive: waveform power 0/);
    expect(() => level((x) => x, 3, { maximumScale: 0 })).toThrow(RangeError);
    expect(() => level((x) => x, 3, { wantedMeanPower: Number.NaN })).toThrow(RangeError);
  });
});
