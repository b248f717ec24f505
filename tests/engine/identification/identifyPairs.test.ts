// Pairs that are faulty, doubtful, cut, clipped or exchanged; and shares of an error whose parts are known.
import { describe, expect, test } from 'vitest';
import { delayPeriodic } from '../../../src/engine/dsp/align.ts';
import { addScaled, type ComplexSignal, meanPower, scale, zeros } from '../../../src/engine/dsp/complex.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { orderSigns } from '../../../src/engine/identification/recordSigns.ts';
import { type IdentifyInput, identifyAmplifier } from '../../../src/engine/index.ts';
import { flatBand, observe, type Receiver, staticCurve } from './syntheticPair.ts';

const RATE = 122.88e6;
const LENGTH = 16384;
const RECEIVER: Receiver = { delaySamples: 17.3, gainDb: 3, phaseDeg: 50, leakDbc: -40, imageDb: -45, snrDb: 50 };
/** Small searches: these tests are not about the structure. */
const SMALL = { highestOrder: 7, memoryDepth: 3, crossReachSamples: 0 };

const drive = flatBand(LENGTH, 700, 0.05, createRandom(1, 'drive'));
/** Memory that a memory polynomial holds exactly: f[n] + 0.02·f[n−1]. */
const echoed = (f: ComplexSignal) => addScaled(f, { re: 0.02, im: 0 }, delayPeriodic(f, 1));
const seen = (f: ComplexSignal, receiver = RECEIVER) => observe(f, receiver, createRandom(2, 'receiver'));
const record = (signal: ComplexSignal, sampleRateHz = RATE) => ({ signal, sampleRateHz });
const cut = ({ re, im }: ComplexSignal, from: number, to: number) => ({
  re: re.slice(from, to),
  im: im.slice(from, to),
});

function faultsOf(input: IdentifyInput) {
  const outcome = identifyAmplifier({ ...SMALL, ...input });
  return outcome.kind === 'invalid' ? outcome.issues : [];
}

function reportOf(input: IdentifyInput) {
  const outcome = identifyAmplifier({ ...SMALL, ...input });
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.report;
}

const observed = seen(staticCurve(drive));

describe('faults, each with its own words', () => {
  test('a sound pair has none', () => {
    expect(faultsOf({ drive: record(drive), observed: record(observed) })).toEqual([]);
  });

  test('rates and lengths that differ are told together', () => {
    const issues = faultsOf({ drive: record(drive), observed: record(cut(observed, 0, 9000), 61.44e6) });
    expect(issues.map(({ path }) => path)).toEqual(['observed.sampleRateHz', 'observed']);
    expect(issues[1]).toMatchObject({
      rule: 'must be as long as the drive, 16384 samples, or within 1 % of it',
      value: '9000 samples',
    });
    expect(issues[1]?.remedy).toContain('truncated');
  });

  test('up to one sample in a hundred may be missing: the rest is used, with a warning', () => {
    const length = Math.ceil(0.99 * LENGTH);
    const short = record(cut(observed, 0, length));
    const report = reportOf({ drive: record(drive), observed: short });
    expect(report.sampleCount).toBe(length);
    const warning = report.warnings.find(({ code }) => code === 'lengths-differ');
    expect(warning?.message).toContain(`holds 16384 samples and its observation ${length}: the last 163 of the drive`);
    // The noise of −50 dB is all that is left, as with the whole pair.
    expect(report.chosen.heldOutNmseDb).toBeLessThan(-49.5);
    const tooShort = record(cut(observed, 0, length - 1));
    expect(faultsOf({ drive: record(drive), observed: tooShort }).map(({ path }) => path)).toEqual(['observed']);
    const longDrive = reportOf({ drive: record(cut(drive, 0, length)), observed: record(observed) });
    expect(longDrive.warnings.map(({ message }) => message).join()).toContain('the last 163 of the observation');
  });

  test('records of different transmissions', () => {
    const other = flatBand(LENGTH, 700, 0.05, createRandom(3, 'other'));
    const [issue, ...more] = faultsOf({ drive: record(drive), observed: record(seen(other)) });
    expect(more).toEqual([]);
    expect(issue?.remedy).toBe('the two records do not belong together; check their names');
  });

  test('one file named twice', () => {
    const [issue, ...more] = faultsOf({ drive: record(drive), observed: record(drive) });
    expect(more).toEqual([]);
    expect(issue).toMatchObject({ path: 'observed', value: 'the drive itself, sample by sample' });
  });

  test.each([
    ['conjugated', (x: ComplexSignal) => ({ re: x.re, im: x.im.map((value) => -value) })],
    ['with I and Q exchanged', (x: ComplexSignal) => ({ re: x.im, im: x.re })],
  ])('an observation %s', (_, mirror) => {
    const [issue, ...more] = faultsOf({ drive: record(drive), observed: record(mirror(observed)) });
    expect(more).toEqual([]);
    expect(issue?.remedy).toContain('exchange I and Q');
  });

  test('drive and observation exchanged', () => {
    const [issue] = faultsOf({ drive: record(observed), observed: record(drive) });
    expect(issue).toMatchObject({ path: 'drive', remedy: 'the two are exchanged; give the drive first' });
  });

  test('a predistorted drive with a clean observation is not taken for exchanged', () => {
    // The drive of which the curve makes the clean signal, by fixed-point iteration: u ← u + x − f(u).
    const wanted = scale(drive, 0.5);
    let u = wanted;
    for (let i = 0; i < 40; i++)
      u = addScaled(addScaled(u, { re: 1, im: 0 }, wanted), { re: -1, im: 0 }, staticCurve(u));
    const clean = seen(staticCurve(u), { ...RECEIVER, snrDb: 60 });
    expect(orderSigns(u, clean, RATE).widenedDb).toBeLessThan(-3);
    expect(faultsOf({ drive: record(u), observed: record(clean) })).toEqual([]);
  });

  test('too short, silent, not finite', () => {
    const short = record(cut(drive, 0, 2000));
    expect(faultsOf({ drive: short, observed: record(cut(observed, 0, 2000)) })[0]?.rule).toContain(
      'at least 4096 samples',
    );
    expect(faultsOf({ drive: record(drive), observed: record(zeros(LENGTH)) })[0]?.rule).toBe('must hold power');
    const broken = { re: observed.re.slice(), im: observed.im };
    broken.re[5] = Number.NaN;
    expect(faultsOf({ drive: record(drive), observed: record(broken) })[0]?.rule).toBe('must hold finite samples');
  });

  test('faults of the second pair stand under validation', () => {
    const validation = { drive: record(drive), observed: record(cut(observed, 0, 9000)) };
    const issues = faultsOf({ drive: record(drive), observed: record(observed), validation });
    expect(issues.map(({ path }) => path)).toEqual(['validation.observed']);
  });

  test('a drive that cannot tell orders apart', () => {
    const circle = zeros(LENGTH);
    const random = createRandom(4, 'circle');
    for (let n = 0; n < LENGTH; n++) {
      const angle = 2 * Math.PI * random.uniform();
      circle.re[n] = Math.cos(angle);
      circle.im[n] = Math.sin(angle);
    }
    const report = identifyAmplifier({ ...SMALL, drive: record(circle), observed: record(seen(circle)) });
    expect(report.kind).toBe('invalid');
    if (report.kind === 'invalid') expect(report.issues[0]?.rule).toContain('must excite the amplifier');
  });

  test('levels and rates that no scenario has', () => {
    const loud = (x: ComplexSignal) => record(scale(x, 1e8));
    const [level] = faultsOf({ drive: loud(drive), observed: loud(observed) });
    expect(level?.rule).toContain('whose model.driveRange must be a number from');
    expect(level?.remedy).toContain('scale both records');
    const [rate] = faultsOf({ drive: record(drive, 4000), observed: record(observed, 4000) });
    expect(rate?.rule).toContain('whose model.modelRateHz must be a number from');
  });

  test('powers that contradict each other, limits out of range', () => {
    const pair = { drive: record(drive), observed: record(observed) };
    expect(faultsOf({ ...pair, outputPowerDbm: 40, saturatedPowerDbm: 36 })[0]?.rule).toContain('must be above 0 dB');
    expect(faultsOf({ ...pair, outputPowerDbm: 36, saturatedPowerDbm: 44, outputBackoffDb: 6 })[0]?.rule).toContain(
      '8.00 dB',
    );
    // What a scenario could not take: 95 dBm, given or from two others.
    for (const powers of [{ saturatedPowerDbm: 95 }, { outputPowerDbm: 88, outputBackoffDb: 7 }]) {
      const [issue] = faultsOf({ ...pair, ...powers });
      expect(issue).toMatchObject({ path: 'saturatedPowerDbm', value: '95.00 dBm' });
    }
    expect(faultsOf({ ...pair, highestOrder: 99 })[0]).toMatchObject({ path: 'highestOrder', value: '99' });
  });
});

describe('doubts', () => {
  test('a clipped observation is counted', () => {
    const limit = 0.8 * Math.max(...observed.re);
    const hold = (values: Float64Array) => values.map((value) => Math.max(-limit, Math.min(limit, value)));
    const clipped = { re: hold(observed.re), im: hold(observed.im) } as ComplexSignal;
    let count = 0;
    for (let n = 0; n < LENGTH; n++)
      if (Math.abs(clipped.re[n]) === limit || Math.abs(clipped.im[n]) === limit) count++;
    expect(count).toBeGreaterThan(8);
    const report = reportOf({ drive: record(drive), observed: record(clipped) });
    expect(report.clippedSamples).toEqual({ drive: 0, observed: count });
    expect(report.warnings.find(({ code }) => code === 'capture-clipped')?.message).toContain(`${count} of 16384`);
    expect(report.trust.level).not.toBe('good');
  });

  test('an observation of few steps is coarse, not clipped', () => {
    const step = Math.max(...observed.re) / 6.4;
    const round = (values: Float64Array) => values.map((value) => step * Math.round(value / step));
    const coarse = { re: round(observed.re), im: round(observed.im) } as ComplexSignal;
    const largest = Math.max(...coarse.re);
    expect(coarse.re.filter((value) => value === largest).length).toBeGreaterThan(8);
    const report = reportOf({ drive: record(drive), observed: record(coarse) });
    expect(report.clippedSamples.observed).toBe(0);
  });

  test.each([0.2, -3, 6])('a receiver %d turns off over the record is turned back, with a warning', (turns) => {
    const off = { re: observed.re.slice(), im: observed.im.slice() };
    for (let n = 0; n < LENGTH; n++) {
      const angle = (2 * Math.PI * turns * n) / LENGTH;
      off.re[n] = observed.re[n] * Math.cos(angle) - observed.im[n] * Math.sin(angle);
      off.im[n] = observed.re[n] * Math.sin(angle) + observed.im[n] * Math.cos(angle);
    }
    const report = reportOf({ drive: record(drive), observed: record(off) });
    const offsetHz = (turns * RATE) / LENGTH;
    // A thousandth of a turn over the record is an error of −54 dB.
    expect(Math.abs((report.alignment.frequencyOffsetHz ?? 0) - offsetHz)).toBeLessThan(1e-3 * (RATE / LENGTH));
    expect(report.warnings.map(({ code }) => code)).toContain('frequency-offset');
    // Noise of −50 dB and what the thousandth leaves; left in, 0.2 turns leave −9 dB: (2π·0.2)²/12.
    expect(report.chosen.heldOutNmseDb).toBeLessThan(-48.5);
    expect(report.alignment.delaySamples).toBeCloseTo(RECEIVER.delaySamples, 1);
  });

  test('a sound pair keeps its phase: no offset is taken out', () => {
    expect(reportOf({ drive: record(drive), observed: record(observed) }).alignment).not.toHaveProperty(
      'frequencyOffsetHz',
    );
  });

  test('records that are not one period are identified without their ends', () => {
    const from = record(cut(drive, 1000, 13000));
    const report = reportOf({ drive: from, observed: record(cut(observed, 1000, 13000)) });
    expect(report.warnings.map(({ code }) => code)).toContain('not-one-period');
    expect(report.alignment.delaySamples).toBeCloseTo(RECEIVER.delaySamples, 2);
    // The noise of −50 dB is all that is left.
    expect(report.chosen.heldOutNmseDb).toBeLessThan(-49.5);
  });

  test('an observation of nothing but noise around the drive is not to be trusted', () => {
    const report = reportOf({ drive: record(drive), observed: record(seen(drive, { ...RECEIVER, snrDb: 12 })) });
    expect(report.trust.level).toBe('poor');
    expect(report.warnings.map(({ code }) => code)).toContain('fit-poor');
  });

  test('a second pair of another amplifier is told', () => {
    const other = flatBand(LENGTH, 700, 0.05, createRandom(6, 'second'));
    const validation = { drive: record(other), observed: record(scale(seen(other), 2)) };
    const report = reportOf({ drive: record(drive), observed: record(observed), validation });
    expect(report.validation!.differenceDb).toBeGreaterThan(6);
    expect(report.trust.level).toBe('poor');
    const codes = report.warnings.map(({ code }) => code);
    expect(codes).toContain('validation-worse');
    expect(codes).toContain('validation-gain');
  });
});

describe('shares of the error (P37)', () => {
  const report = reportOf({ drive: record(drive), observed: record(seen(echoed(staticCurve(drive)))) });

  test('noise is read within 0.3 dB, and the model error lies below it', () => {
    expect(Math.abs(report.shares.noiseDb! + RECEIVER.snrDb)).toBeLessThan(0.3);
    expect(report.shares.modelErrorDb ?? -300).toBeLessThan(-60);
  });
});

test('memory that no delay imitates is the memory share: a late third-order product', () => {
  // y = f + h, h[n] = 0.3·x[n−3]·|x[n−3]|²: by least squares against the static part it leaves a known power.
  const f = staticCurve(drive);
  const late = delayPeriodic(drive, 3);
  const h = zeros(LENGTH);
  for (let n = 0; n < LENGTH; n++) {
    const u = 0.3 * (late.re[n] * late.re[n] + late.im[n] * late.im[n]);
    h.re[n] = u * late.re[n];
    h.im[n] = u * late.im[n];
  }
  const y = addScaled(f, { re: 1, im: 0 }, h);
  const report = reportOf({ drive: record(drive), observed: record(seen(y)), memoryDepth: 5 });
  expect(report.shares.memoryDb).not.toBeNull();
  // Never more than the product itself.
  expect(report.shares.memoryDb!).toBeLessThan(10 * Math.log10(meanPower(h) / meanPower(y)) + 0.1);
  expect(report.shares.memoryDb!).toBeGreaterThan(10 * Math.log10(meanPower(h) / meanPower(y)) - 15);
  expect(report.chosen.memoryDepth).toBeGreaterThan(1);
});
