// Gain and phase across one record. A periodic line of k cycles meets the filter at exactly one frequency, so its gain and
// phase behind it are those of the straight lines; a phase that falls in a straight line is a delay.
import { describe, expect, test } from 'vitest';
import type { OverBandSettings } from '../../../shared/schema/scenario.ts';
import { createAmplifier } from '../../../src/engine/amplifier/model.ts';
import { createOverBandFilter } from '../../../src/engine/amplifier/overBandFilter.ts';
import { type ComplexSignal, peakPower, scale, zeros } from '../../../src/engine/dsp/complex.ts';
import { amplitudeRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { amplifierOf, openPolynomial, plainKnee } from './settings.ts';

const RATE = 100e6;
const COUNT = 1000;

function band(channelHz: number, points: readonly (readonly [hz: number, gainDb: number, phaseDeg: number])[]) {
  return {
    channelHz,
    points: points.map(([frequencyHz, gainDb, phaseDeg]) => ({
      frequencyHz,
      gainDb,
      phaseDeg,
      saturatedPowerDb: 0,
      model: null,
    })),
  } satisfies OverBandSettings;
}

const SLOPED = band(1000e6, [
  [960e6, -4, -80],
  [1000e6, 1, 20],
  [1030e6, 4, 50],
]);

function line(cycles: number, count = COUNT): ComplexSignal {
  const x = zeros(count);
  for (let n = 0; n < count; n++) {
    x.re[n] = Math.cos((2 * Math.PI * cycles * n) / count);
    x.im[n] = Math.sin((2 * Math.PI * cycles * n) / count);
  }
  return x;
}

function noise(seed: number, count = COUNT): ComplexSignal {
  const random = createRandom(seed, 'over band');
  const x = zeros(count);
  for (let n = 0; n < count; n++) {
    x.re[n] = random.normal();
    x.im[n] = random.normal();
  }
  return x;
}

function filterOf(settings: OverBandSettings, count = COUNT) {
  const filter = createOverBandFilter(settings, RATE, count);
  if (filter === null) expect.fail('the filter is flat');
  return filter;
}

/** Gain in dB and phase in degrees of a line of whole cycles. */
function throughLine(settings: OverBandSettings, cycles: number) {
  const { re, im } = filterOf(settings).apply(line(cycles));
  return { gainDb: amplitudeRatioToDb(Math.hypot(re[0], im[0])), phaseDeg: (180 / Math.PI) * Math.atan2(im[0], re[0]) };
}

describe('a line at one frequency', () => {
  test.each([
    ['the channel itself', 0, 0, 0],
    ['20 MHz below: half-way to −5 dB and −100°', -200, -2.5, -50],
    ['15 MHz above: half-way to +3 dB and +30°', 150, 1.5, 15],
    ['beyond the last point its value', 400, 3, 30],
    ['below the first point its value', -450, -5, -100],
  ])('%s', (_, cycles, gainDb, phaseDeg) => {
    const read = throughLine(SLOPED, cycles);
    expect(read.gainDb).toBeCloseTo(gainDb, 9);
    expect(read.phaseDeg).toBeCloseTo(phaseDeg, 7);
  });

  test('the channel between points is the reference of both', () => {
    const moved = { ...SLOPED, channelHz: 980e6 };
    expect(throughLine(moved, 0).gainDb).toBeCloseTo(0, 9);
    // 1000 MHz against 980 MHz: +2.5 dB and +50°.
    expect(throughLine(moved, 200).gainDb).toBeCloseTo(2.5, 9);
    expect(throughLine(moved, 200).phaseDeg).toBeCloseTo(50, 7);
  });

  test('half the sample rate stands for both signs: the mean of both responses', () => {
    const { re, im } = filterOf(SLOPED).apply(line(COUNT / 2));
    // −5 dB and −100° below the first point, 3 dB and 30° beyond the last.
    const [below, above] = [10 ** (-5 / 20), 10 ** (3 / 20)];
    const [turnBelow, turnAbove] = [(-100 * Math.PI) / 180, (30 * Math.PI) / 180];
    expect(re[0]).toBeCloseTo((below * Math.cos(turnBelow) + above * Math.cos(turnAbove)) / 2, 12);
    expect(im[0]).toBeCloseTo((below * Math.sin(turnBelow) + above * Math.sin(turnAbove)) / 2, 12);
  });
});

test('a phase falling 360° in 10 MHz delays by 100 ns: ten samples, whatever the signal', () => {
  const delayed = band(1e9, [
    [900e6, 0, 3600],
    [1100e6, 0, -3600],
  ]);
  const x = noise(1, 999);
  const y = filterOf(delayed, 999).apply(x);
  for (const n of [0, 9, 10, 500, 998]) {
    expect(y.re[n]).toBeCloseTo(x.re[(n + 989) % 999], 9);
    expect(y.im[n]).toBeCloseTo(x.im[(n + 989) % 999], 9);
  }
});

describe('where there is nothing to do', () => {
  test('level gain and phase need no filter, steps outside the record neither', () => {
    const level = band(1e9, [
      [900e6, 2, 30],
      [1100e6, 2, 30],
    ]);
    expect(createOverBandFilter(level, RATE, COUNT)).toBeNull();
    const far = band(1e9, [
      [800e6, 0, 0],
      [940e6, 2, 30],
      [1060e6, 2, 30],
      [1200e6, 5, 90],
    ]);
    expect(createOverBandFilter(far, RATE, COUNT)).toBeNull();
    expect(createOverBandFilter(far, 2 * RATE, COUNT)).not.toBeNull();
  });

  test('a notch between the corners of a wide record is seen', () => {
    const notch = band(1e9, [
      [990e6, 0, 0],
      [1000e6, 0, 0],
      [1001e6, -1, 0],
      [1002e6, 0, 0],
    ]);
    expect(createOverBandFilter(notch, RATE, COUNT)).not.toBeNull();
  });
});

describe('inside an amplifier', () => {
  const record = { sampleRateHz: RATE, sampleCount: COUNT };
  const amplifier = (settings: Parameters<typeof createAmplifier>[0]) => {
    const outcome = createAmplifier(settings, record, null, SLOPED);
    if (outcome.kind === 'invalid') expect.fail('no amplifier');
    return outcome.model;
  };

  test('it stands behind the nonlinearity: a held line has saturated amplitude times its gain', () => {
    const model = amplifier({ ...plainKnee, kneeSharpness: 50 });
    const { re, im } = model.amplify(scale(line(150), 3));
    expect(amplitudeRatioToDb(Math.hypot(re[7], im[7]))).toBeCloseTo(1.5, 6);
  });

  test('the static response is that of the channel', () => {
    const settings = openPolynomial([1, 3], 1, [
      { re: 1, im: 0 },
      { re: -0.1, im: 0.05 },
    ]);
    const plain = amplifierOf(settings, record);
    const model = amplifier(settings);
    expect(model.smallSignalGain).toEqual(plain.smallSignalGain);
    expect(model.staticOutput(0.5)).toEqual(plain.staticOutput(0.5));
  });

  test('the stated bound holds for any drive, and is met', () => {
    const filter = filterOf(SLOPED);
    const model = amplifier({ ...plainKnee, kneeSharpness: 50 });
    const bound = model.outputBound ?? 0;
    expect(bound).toBeCloseTo(filter.amplitudeBound, 6);
    for (const seed of [1, 2, 3, 4]) {
      const peak = Math.sqrt(peakPower(model.amplify(scale(noise(seed), 10))));
      expect(peak).toBeLessThanOrEqual(bound);
      expect(peak).toBeGreaterThan(1);
    }
    // The worst drive turns every tap of the filter into the same direction at one sample.
    const impulse = zeros(COUNT);
    impulse.re[0] = 1;
    const h = filter.apply(impulse);
    const worst = zeros(COUNT);
    for (let n = 0; n < COUNT; n++) {
      const from = (COUNT - n) % COUNT;
      const size = Math.hypot(h.re[from], h.im[from]);
      worst.re[n] = (10 * h.re[from]) / size;
      worst.im[n] = (-10 * h.im[from]) / size;
    }
    const peak = Math.sqrt(peakPower(model.amplify(worst)));
    expect(peak).toBeLessThanOrEqual(bound);
    expect(peak).toBeGreaterThan(0.999 * bound);
  });
});
