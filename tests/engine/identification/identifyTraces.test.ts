// What the pictures of an identification are drawn from, against pairs with everything known.
import { describe, expect, test } from 'vitest';
import { delayPeriodic } from '../../../src/engine/dsp/align.ts';
import { addScaled, meanPower } from '../../../src/engine/dsp/complex.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { type IdentifyInput, identifyAmplifier } from '../../../src/engine/index.ts';
import { flatBand, observe, staticCurve } from './syntheticPair.ts';

const RATE = 122.88e6;
const LENGTH = 8192;
const RECEIVER = { delaySamples: 17.3, gainDb: 3, phaseDeg: 50, leakDbc: -40, imageDb: -45, snrDb: 50 };
const SMALL = { highestOrder: 5, memoryDepth: 2, crossReachSamples: 0 };
const drive = flatBand(LENGTH, 350, 0.05, createRandom(1, 'drive'));
const curved = staticCurve(drive);
const echoed = addScaled(curved, { re: 0.1, im: 0.1 }, delayPeriodic(curved, 1));

function tracesOf(f: typeof drive, changed: Partial<IdentifyInput> = {}) {
  const observed = observe(f, RECEIVER, createRandom(2, 'receiver'));
  const pair = { drive: { signal: drive, sampleRateHz: RATE }, observed: { signal: observed, sampleRateHz: RATE } };
  const outcome = identifyAmplifier({ ...pair, ...SMALL, ...changed });
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome;
}

const { traces, report } = tracesOf(curved);
const { spectra, loops, resolutionBandwidthHz } = traces;

/** Σ of a spectrum's powers: each bin's level is its power in the resolution bandwidth. */
function totalDb({ frequencyHz, level }: typeof spectra.observed): number {
  const bins = resolutionBandwidthHz / (frequencyHz[1] - frequencyHz[0]);
  return 10 * Math.log10(level.reduce((sum, db) => sum + 10 ** (db / 10), 0) / bins);
}

describe('spectra', () => {
  test('stand on one axis, over the observation’s mean power', () => {
    for (const { frequencyHz, level } of Object.values(spectra)) {
      expect(frequencyHz).toEqual(spectra.observed.frequencyHz);
      expect(level.length).toBeLessThanOrEqual(2048);
    }
    expect(spectra.observed.frequencyHz[0]).toBe(-RATE / 2);
    // Segments of a periodic record weigh every sample alike but for the window's overlap: Parseval within 0.1 dB.
    expect(Math.abs(totalDb(spectra.observed))).toBeLessThan(0.1);
    expect(Math.abs(totalDb(spectra.predicted))).toBeLessThan(0.1);
  });

  test('the residual is the receiver’s noise: −50 dB, flat', () => {
    expect(Math.abs(totalDb(spectra.residual) + RECEIVER.snrDb)).toBeLessThan(0.3);
    expect(Math.abs(totalDb(spectra.residual) - report.fitNmseDb)).toBeLessThan(0.3);
    const half = Math.floor(spectra.residual.level.length / 4);
    const mean = (part: Float64Array) =>
      10 * Math.log10(part.reduce((sum, db) => sum + 10 ** (db / 10), 0) / part.length);
    const inner = mean(spectra.residual.level.subarray(half, 3 * half));
    const outer = mean(spectra.residual.level.subarray(0, half));
    expect(Math.abs(inner - outer)).toBeLessThan(0.5);
  });
});

describe('loops', () => {
  test('the mean curve of the aligned loop is the static curve over its least-squares gain', () => {
    // y/x = 1 − 0.6u + 0.1u² + 0.25j·u at u = |x|²; the receiver's own gain and phase are taken out with the reference.
    let peak = 0;
    for (let n = 0; n < LENGTH; n++) peak = Math.max(peak, drive.re[n] ** 2 + drive.im[n] ** 2);
    let [re, im] = [0, 0];
    for (let n = 0; n < LENGTH; n++) {
      re += drive.re[n] * curved.re[n] + drive.im[n] * curved.im[n];
      im += drive.re[n] * curved.im[n] - drive.im[n] * curved.re[n];
    }
    const energy = LENGTH * meanPower(drive);
    const own = {
      gainDb: 20 * Math.log10(Math.hypot(re, im) / energy),
      phaseDeg: (180 / Math.PI) * Math.atan2(im, re),
    };
    const { driveDb, gainDb, phaseDeg } = loops.aligned;
    let compared = 0;
    for (let i = 0; i < driveDb.length; i++) {
      // Lower, the noise of −50 dB moves means of few samples.
      if (driveDb[i] < -12 || driveDb[i] > -2) continue;
      const u = peak * 10 ** (driveDb[i] / 10);
      const [gRe, gIm] = [1 - 0.6 * u + 0.1 * u * u, 0.25 * u];
      expect(Math.abs(gainDb[i] - (20 * Math.log10(Math.hypot(gRe, gIm)) - own.gainDb))).toBeLessThan(0.02);
      expect(Math.abs(phaseDeg[i] - ((180 / Math.PI) * Math.atan2(gIm, gRe) - own.phaseDeg))).toBeLessThan(0.1);
      compared++;
    }
    expect(compared).toBeGreaterThan(40);
  });

  test('the drive is over its largest, and every sample above the axis’ start is counted', () => {
    for (const { gain, phase } of Object.values(loops)) {
      expect([gain.xMinimum, gain.xMaximum, phase.xMinimum, phase.xMaximum]).toEqual([-30, 0, -30, 0]);
    }
    let peak = 0;
    for (let n = 0; n < LENGTH; n++) peak = Math.max(peak, drive.re[n] ** 2 + drive.im[n] ** 2);
    const shown = drive.re.reduce((sum, re, n) => sum + (re * re + drive.im[n] ** 2 >= peak / 1000 ? 1 : 0), 0);
    const counted = loops.asRecorded.phase.counts.reduce((a, b) => a + b, 0);
    expect(Math.abs(counted - shown)).toBeLessThanOrEqual(2);
  });

  test('axes of an aligned cloud: 0.25 dB beyond a curve without memory, wider round one with', () => {
    const { gain, phase, gainDb, phaseDeg } = loops.aligned;
    const most = (values: Float64Array) => values.reduce((a, b) => Math.max(a, b), 0);
    expect(gain.yMaximum - most(gainDb)).toBeCloseTo(0.25, 9);
    // 1 dB of gain is ln(10)/20 = 0.115 of it, which is 6.597° across.
    expect(phase.yMaximum - most(phaseDeg)).toBeCloseTo(0.25 * 6.597, 3);
    const echo = tracesOf(echoed).traces.loops.aligned;
    expect(echo.gain.yMaximum - most(echo.gainDb)).toBeGreaterThan(0.5);
    // Nearly all of the upper 15 dB lies within.
    const columns = (trace: typeof echo, from: number) =>
      trace.gain.counts.reduce((sum, count, i) => sum + (i % trace.gain.columnCount >= from ? count : 0), 0);
    expect(columns(echo, 72) / columns(loops.asRecorded, 72)).toBeGreaterThan(0.99);
  });

  test('aligned and predicted have the same axes; a model without memory has no width', () => {
    expect(loops.predicted.gain.yMaximum).toBe(loops.aligned.gain.yMaximum);
    expect(loops.predicted.phase.yMinimum).toBe(loops.aligned.phase.yMinimum);
    const widest = (values: Float64Array) => values.reduce((a, b) => Math.max(a, b), 0);
    expect(widest(loops.asRecorded.gainSpreadDb)).toBeGreaterThan(5);
    const upper = loops.predicted.gainSpreadDb.subarray(-60);
    expect(widest(upper)).toBeLessThan(0.02);
    // An echo of 0.14 one sample late is memory: the model's own loop opens as the record's does.
    const memory = tracesOf(echoed).traces.loops;
    const middle = memory.predicted.gainSpreadDb.length >> 1;
    expect(memory.predicted.gainSpreadDb[middle]).toBeGreaterThan(5 * upper[0]);
    expect(memory.predicted.gainSpreadDb[middle] / memory.aligned.gainSpreadDb[middle]).toBeGreaterThan(0.8);
  });
});
