// The amplifier section at one frequency of its band. Straight lines are their own closed form; the models at the
// channels of an invented hopping radio are compared with the formula they were stated by.
import { describe, expect, test } from 'vitest';
import { CHANNEL_COUNT, frequencyOf, placeOf, skipChannelAmplifier } from '../../../shared/presets/skipChannelRadio.ts';
import { channelSaturatedPowerDbm, overBandFiguresAt, placeOverBand } from '../../../shared/schema/overBand.ts';
import { parseScenario } from '../../../shared/schema/parse.ts';
import type { AmplifierSettings, OverBandSettings } from '../../../shared/schema/scenario.ts';
import { type AmplifierModel, createAmplifier } from '../../../src/engine/amplifier/model.ts';
import { amplifierAt, amplifierAtChannel } from '../../../src/engine/amplifier/overBand.ts';
import { readBackAmplifier } from '../../../src/engine/amplifier/readBack.ts';
import { plainKnee, quarryLinkAmplifier } from './settings.ts';

const RECORD = { sampleRateHz: 122.88e6, sampleCount: 1024 };

type Point = OverBandSettings['points'][number];

function point(frequencyHz: number, rest: Partial<Point> = {}): Point {
  return { frequencyHz, gainDb: 0, phaseDeg: 0, saturatedPowerDb: 0, model: null, ...rest };
}

/** 300 and 310 and 340 MHz, everything different. */
const UNEVEN = [
  point(300e6, { gainDb: -2, phaseDeg: 10, saturatedPowerDb: 0.5 }),
  point(310e6, { gainDb: 1, phaseDeg: -30, saturatedPowerDb: -0.5 }),
  point(340e6, { gainDb: 4, phaseDeg: 60, saturatedPowerDb: -2 }),
];

function sectionAt(channelHz: number, points: Point[], section: Partial<AmplifierSettings> = {}): AmplifierSettings {
  return { ...quarryLinkAmplifier(), ...section, overBand: { channelHz, points } };
}

function at(stated: AmplifierSettings): AmplifierSettings {
  const outcome = amplifierAtChannel(stated);
  if (outcome.kind === 'invalid') expect.fail(JSON.stringify(outcome.issues));
  return outcome.amplifier;
}

function issuesAt(stated: AmplifierSettings) {
  const outcome = amplifierAtChannel(stated);
  return outcome.kind === 'invalid' ? outcome.issues : [];
}

function parsed(amplifier: unknown): AmplifierSettings {
  const outcome = parseScenario({
    waveform: { carriers: [{ kind: 'ofdm', channelBandwidthHz: 10e6 }] },
    amplifier,
    operatingPoint: { outputBackoffDb: 9 },
  });
  if (outcome.kind === 'invalid') expect.fail(JSON.stringify(outcome.issues));
  return outcome.scenario.amplifier;
}

function modelOf({ model, saturatedPowerDbm }: AmplifierSettings): AmplifierModel {
  const outcome = createAmplifier(model, { ...RECORD, saturatedPowerDbm });
  if (outcome.kind === 'invalid') expect.fail(JSON.stringify(outcome.issues));
  return outcome.model;
}

describe('figures between points', () => {
  test('on a point they are its own, half-way the mean, beyond the ends the end’s', () => {
    expect(overBandFiguresAt(UNEVEN, 310e6)).toEqual({ gainDb: 1, phaseDeg: -30, saturatedPowerDb: -0.5 });
    expect(overBandFiguresAt(UNEVEN, 305e6)).toEqual({ gainDb: -0.5, phaseDeg: -10, saturatedPowerDb: 0 });
    expect(overBandFiguresAt(UNEVEN, 1e6)).toEqual({ gainDb: -2, phaseDeg: 10, saturatedPowerDb: 0.5 });
    expect(overBandFiguresAt(UNEVEN, 1e9)).toEqual({ gainDb: 4, phaseDeg: 60, saturatedPowerDb: -2 });
  });

  test('a third of the way between uneven points', () => {
    expect(placeOverBand(UNEVEN, 320e6)).toEqual({ lowerIndex: 1, upperIndex: 2, ratio: 1 / 3 });
    const figures = overBandFiguresAt(UNEVEN, 320e6);
    expect(figures.gainDb).toBeCloseTo(2, 12);
    expect(figures.phaseDeg).toBeCloseTo(0, 12);
    expect(figures.saturatedPowerDb).toBeCloseTo(-1, 12);
  });

  test('without points nothing is guessed', () => {
    expect(() => overBandFiguresAt([], 1e9)).toThrow(RangeError);
  });
});

describe('the section at its channel', () => {
  test('without a band it is the section itself', () => {
    const stated = quarryLinkAmplifier();
    expect(at(stated)).toBe(stated);
  });

  test('gain and saturated power are those of the channel, the model stays', () => {
    const stated = sectionAt(305e6, UNEVEN);
    const section = at(stated);
    expect(section.gainDb).toBeCloseTo(36 - 0.5, 12);
    expect(section.saturatedPowerDbm).toBeCloseTo(45.5, 12);
    expect(section.model).toEqual(stated.model);
    expect(channelSaturatedPowerDbm(stated)).toBe(section.saturatedPowerDbm);
    expect(channelSaturatedPowerDbm(sectionAt(340e6, UNEVEN))).toBeCloseTo(43.5, 12);
  });

  test('without a power scale there is none at the channel', () => {
    const stated = sectionAt(305e6, UNEVEN, { saturatedPowerDbm: null });
    expect(at(stated).saturatedPowerDbm).toBeNull();
    expect(channelSaturatedPowerDbm(stated)).toBeNull();
  });

  test('the section of a section’s channel is itself, and tells the same of every other frequency', () => {
    const points = [
      ...UNEVEN.slice(0, 2),
      { ...(UNEVEN[2] as Point), model: { ...quarryLinkAmplifier().model, kneeSharpness: 2 } as Point['model'] },
    ];
    for (const places of [UNEVEN, points]) {
      const stated = sectionAt(320e6, places);
      const once = at(stated);
      const twice = at(once);
      expect(twice.gainDb).toBeCloseTo(once.gainDb, 12);
      expect(twice.saturatedPowerDbm).toBeCloseTo(once.saturatedPowerDbm ?? 0, 12);
      expect(JSON.stringify(twice.model)).toBe(JSON.stringify(once.model));
      for (const hz of [300e6, 302e6, 340e6]) {
        const [direct, again] = [amplifierAt(stated, hz), amplifierAt(once, hz)];
        if (direct.kind === 'invalid' || again.kind === 'invalid') expect.fail('no section');
        expect(again.amplifier.gainDb).toBeCloseTo(direct.amplifier.gainDb, 12);
        expect(again.amplifier.saturatedPowerDbm).toBeCloseTo(direct.amplifier.saturatedPowerDbm ?? 0, 12);
        expect(JSON.stringify(again.amplifier.model)).toBe(JSON.stringify(direct.amplifier.model));
      }
    }
  });
});

describe('models between points', () => {
  const tapped = (kneeSharpness: number, re: number, im: number): Point['model'] => ({
    ...plainKnee,
    kneeSharpness,
    inputTaps: [
      { re: 1, im: 0 },
      { re, im },
    ],
    gainBumps: [{ heightRatio: -0.1 * kneeSharpness, centreAmplitude: 0.4, widthAmplitude: 0.2 }],
  });

  test('two of one shape are interpolated number by number, in lists of objects as well', () => {
    const points = [point(300e6, { model: tapped(1, 0.08, 0) }), point(400e6, { model: tapped(3, 0, -0.04) })];
    expect(at(sectionAt(325e6, points)).model).toEqual({
      ...plainKnee,
      kneeSharpness: 1.5,
      inputTaps: [
        { re: 1, im: 0 },
        { re: 0.06, im: -0.01 },
      ],
      gainBumps: [{ heightRatio: expect.closeTo(-0.15, 12), centreAmplitude: 0.4, widthAmplitude: 0.2 }],
    });
  });

  test('a point without a model has that of the section', () => {
    const points = [point(300e6), point(400e6, { model: { ...plainKnee, kneeSharpness: 3 } })];
    expect(at(sectionAt(350e6, points, { model: plainKnee })).model).toEqual({ ...plainKnee, kneeSharpness: 2 });
  });

  test('of two kinds none lies between: one issue, at the point with the model', () => {
    const points = [point(300e6), point(400e6, { model: { kind: 'published', id: 'GaN_2GHz' } })];
    const issues = issuesAt(sectionAt(350e6, points));
    expect(issues).toHaveLength(1);
    expect(issues[0]?.path).toBe('amplifier.overBand.points.1.model.kind');
    expect(issues[0]?.rule).toContain('at 300 MHz and at 400 MHz');
    expect(issues[0]?.remedy).toContain('channelHz');
    // On a point nothing has to be interpolated.
    expect(issuesAt(sectionAt(400e6, points))).toEqual([]);
    expect(at(sectionAt(400e6, points)).model.kind).toBe('published');
  });

  test('lists of other lengths, and numbers that say what others mean, are told each at its place', () => {
    const order = (nonlinearOrders: number[], modelRateHz: number): Point['model'] => ({
      kind: 'memoryPolynomial',
      modelRateHz,
      nonlinearOrders,
      memoryDepth: 1,
      coefficients: nonlinearOrders.map((k) => ({ re: k === 1 ? 1 : -0.05, im: 0 })),
      driveRange: 1,
      saturatedAmplitude: 'peakOfRange',
    });
    const paths = (a: Point['model'], b: Point['model']) =>
      issuesAt(sectionAt(350e6, [point(300e6, { model: a }), point(400e6, { model: b })])).map(({ path }) => path);
    expect(paths(order([1, 3], 100e6), order([1, 5], 200e6))).toEqual([
      'amplifier.overBand.points.1.model.modelRateHz',
      'amplifier.overBand.points.1.model.nonlinearOrders.1',
    ]);
    expect(paths(order([1, 3], 100e6), order([1, 3, 5], 100e6))).toEqual([
      'amplifier.overBand.points.1.model.nonlinearOrders',
      'amplifier.overBand.points.1.model.coefficients',
    ]);
  });

  test('a data sheet moves with the power scale: same shape, 1.5 dB less', () => {
    const sheet = {
      kind: 'dataSheet',
      outputAtOneDbCompressionDbm: 43,
      outputInterceptDbm: 52,
      amPmDeg: 8,
    };
    const points = [{ frequencyHz: 300e6 }, { frequencyHz: 400e6, saturatedPowerDb: -3 }];
    const stated = parsed({ model: sheet, saturatedPowerDbm: 45.5, overBand: { channelHz: 350e6, points } });
    const section = at(stated);
    expect(section.model).toMatchObject({ outputAtOneDbCompressionDbm: 41.5, outputInterceptDbm: 50.5, amPmDeg: 8 });
    const own = readBackAmplifier(modelOf({ ...stated, overBand: null }), stated);
    const moved = readBackAmplifier(modelOf(section), section);
    expect(moved.atOneDbCompression?.outputDbm).toBeCloseTo((own.atOneDbCompression?.outputDbm ?? 0) - 1.5, 6);
    expect(moved.sheet.every(({ isMet }) => isMet)).toBe(true);
  });

  test('a data sheet with a saturated power of its own meets one that takes the section’s', () => {
    const sheet = (saturatedPowerDbm: number | 'amplifier') => ({ kind: 'dataSheet', saturatedPowerDbm });
    const points = [{ frequencyHz: 300e6 }, { frequencyHz: 400e6, saturatedPowerDb: 1, model: sheet(47) }];
    const stated = parsed({
      model: sheet('amplifier'),
      saturatedPowerDbm: 45,
      overBand: { channelHz: 350e6, points },
    });
    expect(at(stated).model).toMatchObject({ kind: 'dataSheet', saturatedPowerDbm: 46 });
  });

  test('measured points move in power and gain', () => {
    const points = [
      { inputDbm: -20, outputDbm: 20 },
      { inputDbm: 0, outputDbm: 38 },
      { inputDbm: 5, outputDbm: 40 },
    ];
    const band = [{ frequencyHz: 300e6 }, { frequencyHz: 400e6, saturatedPowerDb: -2, gainDb: 1 }];
    const stated = parsed({
      model: { kind: 'envelopePoints', points },
      saturatedPowerDbm: 40,
      gainDb: 40,
      overBand: { channelHz: 400e6, points: band },
    });
    const { model, gainDb, saturatedPowerDbm } = at(stated);
    if (model.kind !== 'envelopePoints') expect.fail('another kind');
    expect(model.points.map(({ inputDbm, outputDbm }) => [inputDbm, outputDbm])).toEqual([
      [-23, 18],
      [-3, 36],
      [2, 38],
    ]);
    expect([gainDb, saturatedPowerDbm]).toEqual([41, 38]);
  });
});

describe('an amplifier for frequency hopping, nine channels', () => {
  /** Output of a constant drive: all filters at zero frequency, sag and knee as the formula has them. */
  function formula(u: number, drive: number): { amplitude: number; phase: number } {
    const tap = 0.08 - 0.16 * u;
    const [re, im] = [1 + tap * Math.cos(2 * u), tap * Math.sin(2 * u)];
    const arriving = drive * Math.hypot(re, im);
    const r = arriving * (1 - (0.03 + 0.06 * u) * Math.min(arriving ** 2, 4));
    const q = 1.6 + 0.8 * u;
    const gain =
      (1 - (0.1 + 0.12 * u) * Math.exp(-((r / (0.18 + 0.08 * u)) ** 2))) * (1 + r ** (2 * q)) ** (-1 / (2 * q));
    const turn = (-(4 + 12 * u) * Math.PI) / 180;
    return { amplitude: gain * r, phase: Math.atan2(im, re) + (turn * r ** 2) / (0.4 + r ** 2) };
  }

  test.each(Array.from({ length: CHANNEL_COUNT }, (_, i) => placeOf(i)))('channel u = %f is the formula’s', (u) => {
    const section = at(parsed(skipChannelAmplifier(frequencyOf(u))));
    const model = modelOf(section);
    for (const drive of [0.01, 0.2, 0.5, 1, 1.8]) {
      const y = model.staticOutput(drive);
      const wanted = formula(u, drive);
      expect(y.re).toBeCloseTo(wanted.amplitude * Math.cos(wanted.phase), 12);
      expect(y.im).toBeCloseTo(wanted.amplitude * Math.sin(wanted.phase), 12);
    }
  });

  test('half-way between two channels the straight line through their numbers is near the formula', () => {
    const u = 1.5 / 8;
    const model = modelOf(at(parsed(skipChannelAmplifier(frequencyOf(u)))));
    const y = model.staticOutput(0.5);
    // The tap turns by 14° between channels: the chord lies 1 − cos 7° = 0.8 % of its 0.05 inside the arc.
    expect(Math.hypot(y.re, y.im)).toBeCloseTo(formula(u, 0.5).amplitude, 3);
  });
});
