// Two tones against level and spacing, on the engine: against numpy on the same formula (tones.golden.py beside this
// file), against the hand-outs' figures, and against the closed form of a bias network.
import { describe, expect, test } from 'vitest';
import { quarryLink } from '../../../shared/presets/quarryLink.ts';
import type { StudyInput } from '../../../shared/schema/study.ts';
import type { TaskOutcome, TonePoint } from '../../../shared/schema/studyReport.ts';
import { canonicalJson } from '../../../src/engine/study/lookup.ts';
import { completeStudy, engineRunner, evaluated, resultOf } from './drive.ts';
import golden from './tones.golden.json' with { type: 'json' };

const run = engineRunner();
type Tones = Omit<Extract<StudyInput['question'], { kind: 'tones' }>, 'kind'>;

/** Ordinary spaces in place of thin ones. */
const plain = (text: string) => text.replace(/\u2009/g, ' ');

const uncorrectedBench = { ...quarryLink, predistorter: null };

function askTones(question: Tones, scenario: unknown = uncorrectedBench) {
  return completeStudy({ scenario, question: { kind: 'tones', ...question } }, run);
}

/** The bench with another amplifier. */
function withModel(model: Record<string, unknown>, change: Record<string, unknown> = {}) {
  return { ...uncorrectedBench, amplifier: { ...quarryLink.amplifier, model }, ...change };
}

const polynomial = (nonlinearOrders: number[], coefficients: { re: number; im?: number }[], memoryDepth = 1) => ({
  kind: 'memoryPolynomial',
  modelRateHz: memoryDepth === 1 ? 'any' : 122.88e6,
  nonlinearOrders,
  memoryDepth,
  coefficients,
  driveRange: 'none',
  saturatedAmplitude: 1,
});

type Golden = (typeof golden.levels)[number];

/** Levelling ends within 0.002 dB of mean power, which turns a product of fifth order by 0.01 dB. */
function expectAlike(point: TonePoint, expected: Golden, toleranceDb = 0.01): void {
  expect(point.toneSpacingHz).toBeCloseTo(expected.toneSpacingHz, 6);
  for (const reading of point.uncorrected) {
    const own = expected[reading.side];
    expect(Math.abs(reading.toneLevelDb - own.toneDb)).toBeLessThan(toleranceDb);
    expect(Math.abs((reading.im3Dbc ?? 0) - own.im3Dbc)).toBeLessThan(toleranceDb);
    expect(Math.abs((reading.im5Dbc ?? 0) - own.im5Dbc)).toBeLessThan(2 * toleranceDb);
    expect(Math.abs((reading.oip3OverSaturationDb ?? 0) - own.oip3Db)).toBeLessThan(toleranceDb);
  }
}

describe('the reference amplifier', () => {
  const report = askTones({ toneSpacingHz: 5e6 });
  const result = resultOf(report, 'tones');
  const at = (toneBackoffDb: number) => result.levels.find((point) => point.toneBackoffDb === toneBackoffDb)!;
  const oip3 = (point: TonePoint) => Math.min(...point.uncorrected.map((side) => side.oip3OverSaturationDb ?? 99));

  test('products, sides and intercepts against numpy: 12 levels, 7 spacings', () => {
    for (const expected of golden.levels) expectAlike(at(expected.toneBackoffDb), expected);
    expect(result.spacings).toHaveLength(golden.spacings.length);
    golden.spacings.forEach((expected, i) => {
      expectAlike(result.spacings[i]!, expected);
    });
  });

  // F27: constant within 0.1 dB for tones 27 dB and more under saturation. Read as ±0.1 dB: with a knee of 1.1 the gain
  // falls as |x|^2.2 and not |x|², so that P + Δ/2 never stands still: 1.35 dB at 28 dB, 1.41 dB at 40 dB and rising.
  test('F27: OIP3 is constant within 0.1 dB for tones 27 dB and more under saturated power', () => {
    const far = result.levels.filter(({ toneBackoffDb }) => toneBackoffDb >= 27);
    for (const side of [0, 1]) {
      const values = far.map(({ uncorrected }) => uncorrected[side]?.oip3OverSaturationDb ?? 99);
      expect(Math.max(...values) - Math.min(...values)).toBeLessThan(0.1);
    }
  });

  test('one intercept from the levels whose slope lies in 2.8 to 3.2, the worse side’s, in the first sentence', () => {
    const { intercept, refusal } = result;
    expect(refusal).toBeNull();
    expect(intercept).toMatchObject({ side: 'upper', fromToneBackoffDb: 30, toToneBackoffDb: 40, levelCount: 11 });
    expect(Math.abs((intercept?.oip3OverSaturationDb ?? 0) - 1.37)).toBeLessThan(0.02);
    expect(intercept?.oip3Dbm).toBeCloseTo(45.5 + (intercept?.oip3OverSaturationDb ?? 0), 9);
    expect(intercept!.slopeLeast).toBeGreaterThan(2.8);
    expect(intercept!.slopeMost).toBeLessThan(3.2);
    expect(report.answer).toMatch(
      /^The third-order output intercept is 46\.9 dBm per tone, 1\.4 dB over saturated power on the worse \(upper\) side, 0\.3 dB more on the other\. It holds within 0\.07 dB over 11 levels, /,
    );
  });

  // P38: +2.7 dB from one tone 10 dB under saturation, +1.3 dB true; the hand-outs' figures hold at 5 MHz spacing, upper.
  test('P38: one compressed level would read 2.7 dB over saturated power where 1.3 dB is true', () => {
    expect(Math.abs(oip3(at(10)) - 2.7)).toBeLessThan(0.06);
    expect(Math.abs(Math.min(...result.levels.map(oip3)) - 1.3)).toBeLessThan(0.06);
  });

  // On its way into compression the slope passes through 3 once more: the slope alone would let this level through.
  test('P38: at 10 dB the slope lies within 2.8 to 3.2 and the compression of the tones refuses it', () => {
    const slopes = at(10).uncorrected.map(({ im3Slope }) => im3Slope ?? 0);
    for (const slope of slopes) expect(Math.abs(slope - 3)).toBeLessThan(0.1);
    expect(at(10).compressionDb).toBeGreaterThan(1);
    const near = resultOf(
      askTones({ toneBackoff: { fromDb: 9, toDb: 11 }, toneSpacingHz: 5e6, spacingsHz: [] }),
      'tones',
    );
    expect(near.intercept).toBeNull();
    expect(near.refusal).toMatch(
      /^at the lowest level, one tone 11\.0 dB below saturated power, the tones themselves are compressed by \d\.\d\d dB, more than 0\.2 dB/,
    );
  });

  test('F27: levels where the slope lies outside 2.8 to 3.2 give no intercept, and the reason has both slopes', () => {
    const high = askTones({ toneBackoff: { fromDb: 6, toDb: 15 }, toneSpacingHz: 5e6, spacingsHz: [] });
    const { intercept, refusal } = resultOf(high, 'tones');
    expect(intercept).toBeNull();
    expect(refusal).toMatch(
      /^at the lowest level, one tone 15\.0 dB below saturated power, the third-order products change by 2\.69 \(lower side\) and 2\.70 \(upper\) dB per dB of tone power, outside 2\.8 to 3\.2; lower the tones$/,
    );
    expect(high.answer).toMatch(/^There is no single intercept to state: at the lowest level/);
  });

  test('P39: every power says whose it is: one tone, both (+3.01 dB), the envelope’s peak (+6.02 dB)', () => {
    expect(report.conditions).toContain('power per tone: both together +3.01 dB, envelope peak +6.02 dB');
    for (const point of [...result.levels, ...result.spacings]) {
      expect((point.bothTonesDbm ?? 0) - (point.tonePowerDbm ?? 0)).toBeCloseTo(3.0103, 4);
      // The taps raise one tone over the other by up to 0.2 dB, which lowers the peak by 0.0006 dB.
      expect(Math.abs((point.peakEnvelopeDbm ?? 0) - (point.tonePowerDbm ?? 0) - 6.0206)).toBeLessThan(1e-3);
    }
    // At the antenna port, less what the products carry.
    expect(Math.abs((at(30).tonePowerDbm ?? 0) - 15.5)).toBeLessThan(0.005);
  });

  test('both sides stand in the report at every spacing, and where they differ most is told (P28)', () => {
    expect(result.asymmetry?.toneSpacingHz).toBeCloseTo(2.01e6, -4);
    expect(plain(report.answer)).toContain('the sides differ most at 2.01 MHz spacing, by 0.9 dB');
  });
});

describe('a strong bias network', () => {
  // P28 and F27 state −29.5 and −26.5 dBc at 1 MHz without the amplifier's figures. No sag of the reference amplifier with
  // its own taps gives both at any level (sags 0.15 to 0.5, 80 to 800 ns, 8 to 14 dB tried); this one, ours, does.
  const strong = { kind: 'filterNonlinearityFilter', modelRateHz: 122.88e6, amPmHalfPower: 0.3 };

  test('P28: lower and upper third-order product 3.0 dB apart at 1 MHz spacing: −29.5 and −26.5 dBc', () => {
    const scenario = withModel({
      ...strong,
      kneeSharpness: 2,
      amPmDeg: 12,
      biasDepthRatio: 0.15,
      biasTimeConstantS: 150e-9,
    });
    const report = askTones(
      { toneBackoff: { fromDb: 30, toDb: 32 }, spacingsHz: [1e6], spacingToneBackoffDb: 9 },
      scenario,
    );
    const [point] = resultOf(report, 'tones').spacings;
    expectAlike(point!, golden.strongBias);
    const [lower, upper] = point!.uncorrected;
    expect(Math.abs((lower?.im3Dbc ?? 0) + 29.5)).toBeLessThan(0.05);
    expect(Math.abs((upper?.im3Dbc ?? 0) + 26.5)).toBeLessThan(0.05);
  });

  // Small signals: x·(1 − d·e), e = one-pole average of |x|² = 2A²·(1 + Re{H(Δ)·e^{jΔt}}), beside the static cubic term
  // c of knee 1 and AM/PM: c = −1/2 + j·amPm/halfPower. Third-order lines: A³·(c − d·H(Δ)) above, A³·(c − d·H*(Δ)) below,
  // H(Δ) = (1 − a)/(1 − a·e^{−j2πΔ/fs}), a = e^{−1/(τ·fs)}. Elementary.
  test('closed form of both sides over spacing, sag 0.2 and 200 ns, tones 50 dB under saturation', () => {
    const [d, tau, fs] = [0.2, 200e-9, 122.88e6];
    const scenario = withModel({ ...strong, kneeSharpness: 1, amPmDeg: 12, biasDepthRatio: d, biasTimeConstantS: tau });
    const report = askTones(
      { toneBackoff: { fromDb: 49, toDb: 50 }, spacingsHz: [1e5, 3e5, 1e6, 3e6, 1e7], spacingToneBackoffDb: 50 },
      scenario,
    );
    const { spacings } = resultOf(report, 'tones');
    const c = { re: -0.5, im: (12 * Math.PI) / 180 / 0.3 };
    expect(spacings).toHaveLength(5);
    const differences = spacings.map(({ toneSpacingHz, uncorrected }) => {
      const a = Math.exp(-1 / (tau * fs));
      const angle = (2 * Math.PI * toneSpacingHz) / fs;
      const [re, im] = [1 - a * Math.cos(angle), a * Math.sin(angle)];
      const h = { re: ((1 - a) * re) / (re * re + im * im), im: (-(1 - a) * im) / (re * re + im * im) };
      for (const { side, toneLevelDb, im3Dbc } of uncorrected) {
        const sign = side === 'upper' ? 1 : -1;
        const line = Math.hypot(c.re - d * h.re, c.im - sign * d * h.im);
        // In proportion to the tone's own output; the tones are compressed by 1e-4 dB.
        const expected = 20 * Math.log10(line) + 2 * toneLevelDb;
        expect(Math.abs((im3Dbc ?? 0) - expected), `${toneSpacingHz} ${side}`).toBeLessThan(0.005);
      }
      return (uncorrected[1]?.im3Dbc ?? 0) - (uncorrected[0]?.im3Dbc ?? 0);
    });
    // Largest where the spacing meets the corner of the average, 1/(2π·200 ns) = 0.8 MHz.
    expect(differences.indexOf(Math.max(...differences))).toBe(2);
    expect(differences[2]).toBeGreaterThan(1.4);
  });
});

describe('polynomial amplifiers', () => {
  test('TT-04 by the study: cubic c₃ = −0.1 has OIP3 10 dB over |y| = 1 and slope 3', () => {
    const report = askTones(
      { toneBackoff: { fromDb: 40, toDb: 50, stepDb: 2 }, spacingsHz: [] },
      withModel(polynomial([1, 3], [{ re: 1 }, { re: -0.1 }])),
    );
    const { intercept } = resultOf(report, 'tones');
    // TT-05: at 40 dB, 50 dB below the intercept, the bias is 4e-4 dB.
    expect(Math.abs((intercept?.oip3OverSaturationDb ?? 0) - 10)).toBeLessThan(1e-3);
    expect(Math.abs((intercept?.slopeLeast ?? 0) - 3)).toBeLessThan(1e-3);
    expect(Math.abs((intercept?.slopeMost ?? 0) - 3)).toBeLessThan(1e-3);
    expect(report.answer).not.toContain('worse');
  });

  test('TT-09 by the study: no difference of the sides without memory, at any spacing', () => {
    const report = askTones(
      { toneBackoff: { fromDb: 30, toDb: 31 }, spacingsHz: [2e5, 2e6] },
      withModel(polynomial([1, 3], [{ re: 1 }, { re: -0.05, im: 0.03 }])),
    );
    const { asymmetry } = resultOf(report, 'tones');
    expect(Math.abs((asymmetry?.lowerDbc ?? 9) - (asymmetry?.upperDbc ?? 0))).toBeLessThan(1e-9);
    expect(report.answer).toContain('both sides read alike at every spacing');
  });

  test('a linear amplifier has no intercept: what is left of its products does not follow the tones', () => {
    const report = askTones(
      { toneBackoff: { fromDb: 20, toDb: 24 }, spacingsHz: [] },
      withModel(polynomial([1], [{ re: 1 }])),
    );
    const { intercept, refusal } = resultOf(report, 'tones');
    expect(intercept).toBeNull();
    expect(refusal).toContain('arithmetic');
  });

  test('an intermodulation limit: the least back-off that keeps it on both sides', () => {
    const tones = {
      ...uncorrectedBench.waveform,
      carriers: [{ kind: 'twoTone', toneSpacingHz: 1e6 }],
      symbolCount: undefined,
    };
    const limits = [{ reading: 'intermodulation', requiredDb: 40 }];
    const { symbolCount: _none, ...waveform } = tones;
    const scenario = withModel(polynomial([1, 3], [{ re: 1 }, { re: -0.1 }]), {
      limits,
      waveform: { ...waveform, crestFactorReduction: null, spectralEdge: { kind: 'none' } },
    });
    const report = askTones({ toneBackoff: { fromDb: 8, toDb: 20 }, spacingsHz: [] }, scenario);
    const [limit] = resultOf(report, 'tones').limits;
    // |c|A²/(1 − 3cA²) = 0.01 at A² = 0.01/(0.1·1.03); output A·(1 − 0.3·A²): 10.389 dB below |y| = 1.
    const A2 = 0.01 / (0.1 * (1 + 0.03));
    const expected = -10 * Math.log10(A2 * (1 - 0.3 * A2) ** 2);
    expect(Math.abs((limit?.toneBackoffDb ?? 0) - expected)).toBeLessThan(0.01);
    expect(report.answer).toContain('IM3 ≥ 40 dB holds on both sides up to');
  });
});

describe('what it asks for', () => {
  const question: Tones = { toneBackoff: { fromDb: 28, toDb: 30 }, spacingsHz: [2e6, 1e6] };

  test('any order of the runs gives the same report, complete only at the end', () => {
    const study: StudyInput = { scenario: uncorrectedBench, question: { kind: 'tones', ...question } };
    const forwards = completeStudy(study, run);
    const known = new Map<string, TaskOutcome>();
    for (;;) {
      const { report, pending } = evaluated(study, known);
      expect(report.complete).toBe(pending.length === 0);
      expect(JSON.parse(JSON.stringify(report))).toEqual(report);
      const task = pending.at(-1);
      if (task === undefined) {
        expect(canonicalJson(report)).toBe(canonicalJson(forwards));
        break;
      }
      expect(report.answer).toMatch(/^So far: /);
      known.set(task.key, run(task));
    }
    // Three levels, the small-signal reference, two spacings.
    expect(known.size).toBe(6);
    expect(resultOf(forwards, 'tones').spacings.map(({ toneSpacingHz }) => toneSpacingHz / 1e6)).toEqual([1.005, 2.01]);
  });

  test('correction is left out unless asked for, and then said to be learned on the tones (P8)', () => {
    const without = evaluated({ scenario: quarryLink, question: { kind: 'tones', ...question } }, new Map());
    for (const { scenario } of without.pending) expect(scenario.predistorter).toBeNull();
    // Far below saturation the five orders can no longer be told apart, and no correction is learned.
    const levels = { fromDb: 12, toDb: 14 };
    const report = askTones({ toneBackoff: levels, spacingsHz: [], withCorrection: true }, quarryLink);
    expect(report.warnings.map(({ code }) => code)).toContain('learned-on-tones');
    for (const { corrected, uncorrected } of resultOf(report, 'tones').levels) {
      expect(corrected).toHaveLength(2);
      expect(corrected?.[0]?.im3Dbc).toBeLessThan((uncorrected[0]?.im3Dbc ?? 0) - 10);
    }
  });

  test('spacings that do not fit the band are left out with a warning; the level sweep’s own is a fault', () => {
    const { report } = evaluated(
      { scenario: uncorrectedBench, question: { kind: 'tones', spacingsHz: [1e6, 50e6, 200] } },
      new Map(),
    );
    const [warning] = report.warnings.filter(({ code }) => code === 'tone-spacing-left-out');
    expect(plain(warning?.message ?? '')).toContain('2 of 3 spacings (50 MHz, 200 Hz) are left out');
    expect(() =>
      evaluated({ scenario: uncorrectedBench, question: { kind: 'tones', toneSpacingHz: 50e6 } }, new Map()),
    ).toThrow(/question\.toneSpacingHz.*must lie from 938\sHz to below 41\sMHz at 122\.88\sMHz/);
  });

  test('a model with a rate of its own is run at that rate, whatever the scenario’s', () => {
    const scenario = withModel({ kind: 'published', id: 'GaN_2GHz_GMP' });
    const study: StudyInput = { scenario, question: { kind: 'tones', ...question } };
    const { pending, report } = evaluated(study, new Map());
    // R4-165901 states 200 Msps.
    for (const task of pending) expect(task.scenario.waveform.sampleRateHz).toBe(200e6);
    expect(plain(report.conditions)).toContain('200 MHz sample rate');
    expect(resultOf(completeStudy(study, run), 'tones').levels).toHaveLength(3);
  });

  test('doubts of the waveform that the tones take the place of are left out, those of the amplifier stay', () => {
    const carriers = [{ kind: 'noise', occupiedBandwidthHz: 1e6, offsetHz: 1.2345e6 }];
    const { symbolCount: _none, ...waveform } = { ...uncorrectedBench.waveform, carriers, crestFactorReduction: null };
    const scenario = withModel(polynomial([1, 3], [{ re: 1 }, { re: -0.1 }]), { waveform, limits: [] });
    const codes = evaluated({ scenario, question: { kind: 'tones', ...question } }, new Map()).report.warnings.map(
      ({ code }) => code,
    );
    expect(codes).toEqual(['model-unguarded']);
  });

  test('levels out of reach are named', () => {
    const report = askTones({ toneBackoff: { fromDb: 3.1, toDb: 5.1, stepDb: 1 }, spacingsHz: [] });
    expect(resultOf(report, 'tones').outOfReachDb).toContain(3.1);
    expect(report.answer).toMatch(/Tones \d\.1 dB below saturated power and higher are out of reach\.$/);
  });
});
