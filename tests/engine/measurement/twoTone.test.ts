// Two tones against closed forms: the rows TT-… of the table of checks (tests/reference/toneChecks.json), each with its
// source. Amplifiers are polynomials without a drive range, so that the formulas apply as printed.
import { describe, expect, test } from 'vitest';
import type { TwoToneReading } from '../../../shared/schema/report.ts';
import { cwCharacteristics } from '../../../src/engine/amplifier/cwCharacteristics.ts';
import { type ComplexSignal, meanPower, peakPower, zeros } from '../../../src/engine/dsp/complex.ts';
import { lineAmplitude } from '../../../src/engine/dsp/lineAmplitude.ts';
import type { Waveform } from '../../../src/engine/dsp/waveformTypes.ts';
import { measureTwoTone } from '../../../src/engine/measurement/twoTone.ts';
import checks from '../../reference/toneChecks.json' with { type: 'json' };
import { amplifierOf, openPolynomial } from '../amplifier/settings.ts';

const LENGTH = 1024;
const RATE = 1024e3;
/** Tones on ±this many cycles; 1 cycle is 1 kHz. */
const HALF = 17;

function tones(amplitude: number, length = LENGTH): ComplexSignal {
  const x = zeros(length);
  for (let n = 0; n < length; n++) x.re[n] = 2 * amplitude * Math.cos((2 * Math.PI * ((HALF * n) % length)) / length);
  return x;
}

type Described = Pick<Waveform, 'carriers' | 'sampleRateHz' | 'burst'>;

function waveformOf(change: Partial<Waveform['carriers'][number]> = {}, half = HALF): Described {
  const carrier: Waveform['carriers'][number] = {
    kind: 'twoTone',
    label: '2 tones',
    offsetHz: 0,
    occupiedBandwidthHz: 2e3 * half,
    channelBandwidthHz: 2e3 * half,
    relativePowerDb: 0,
    ofdm: null,
    singleCarrier: null,
    tones: {
      toneSpacingHz: 2e3 * half,
      frequencyHz: Float64Array.of(-1e3 * half, 1e3 * half),
      levelDb: Float64Array.of(0, 0),
    },
    notch: null,
    ...change,
  };
  return { carriers: [carrier], sampleRateHz: RATE, burst: null };
}

interface Coefficient {
  readonly re: number;
  readonly im: number;
}

/** Tones of amplitude A each through x·(c₁ + c₃|x|² + …). */
function read(amplitude: number, orders: number[], coefficients: Coefficient[], depth = 1): TwoToneReading {
  const record = { sampleRateHz: RATE, sampleCount: LENGTH };
  const model = amplifierOf(openPolynomial(orders, depth, coefficients), record);
  const y = model.amplify(tones(amplitude / model.ownUnits.drive));
  const reading = measureTwoTone(y, waveformOf(), 0);
  if (reading === null) throw new Error('two tones were not read');
  return reading;
}

const real = (value: number): Coefficient => ({ re: value, im: 0 });
const levelOf = (reading: TwoToneReading, order: number, side: 'lower' | 'upper' = 'upper') => {
  const tone = reading.tones.find((one) => one.side === side)!.levelDb;
  return order === 1 ? tone : tone - reading.products.find((one) => one.side === side && one.order === order)!.ratioDb;
};
const dbOf = (amplitude: number) => 20 * Math.log10(Math.abs(amplitude));

describe('closed forms', () => {
  test('TT-01: pass-band series to envelope coefficients, 1, 3/4, 5/8 … (Benedetto, Biglieri; from memory)', () => {
    for (const [order, factor] of Object.entries(checks['TT-01'].expected)) {
      const n = Number(order);
      const x = zeros(LENGTH);
      // A pass-band cosine of amplitude 1 through xⁿ: its line at the carrier has half the envelope's amplitude.
      for (let i = 0; i < LENGTH; i++) x.re[i] = Math.cos((2 * Math.PI * HALF * i) / LENGTH) ** n;
      expect(Math.abs(2 * lineAmplitude(x, HALF).re - factor) / factor).toBeLessThan(1e-12);
    }
  });

  test.each(Object.entries(checks['TT-02'].expected).filter(([order]) => order !== '1'))(
    'TT-02, order %s: lines C(p, (p−m)/2)·c·A^p (binomial expansion)',
    (order, row) => {
      const p = Number(order);
      const [A, c] = [0.4, 0.02];
      const reading = read(A, [1, p], [real(1), real(c)]);
      for (const side of ['lower', 'upper'] as const) {
        [3, 5, 7].forEach((m, i) => {
          const line = c * A ** p * row[i + 1]!;
          // An order makes no line beyond its own: what is left there is rounding.
          if (line === 0) expect(levelOf(reading, m, side)).toBeLessThan(-280);
          else expect(Math.abs(levelOf(reading, m, side) - dbOf(line))).toBeLessThan(1e-8);
        });
        expect(Math.abs(levelOf(reading, 1, side) - dbOf(A + c * A ** p * row[0]!))).toBeLessThan(1e-9);
      }
    },
  );

  test('TT-03: worked numbers with pass-band coefficients 10, −3, 0.8 and 0.5 V a tone', () => {
    const { expected } = checks['TT-03'];
    // The table's third-order line is negative: in opposition to the tones. Powers have no sign.
    const reading = read(0.5, [1, 3, 5], [real(10), real(0.75 * -3), real(0.625 * 0.8)]);
    expect(10 ** (levelOf(reading, 1) / 20)).toBeCloseTo(expected.fund, 10);
    expect(10 ** (levelOf(reading, 3) / 20)).toBeCloseTo(-expected.im3, 10);
    expect(10 ** (levelOf(reading, 5) / 20)).toBeCloseTo(expected.im5, 10);
    expect(levelOf(reading, 3) - levelOf(reading, 1)).toBeCloseTo(expected.IM3_dBc, 7);
    expect(levelOf(reading, 5) - levelOf(reading, 1)).toBeCloseTo(expected.IM5_dBc, 7);
  });

  const cubic = (levelDb: number) => read(10 ** (levelDb / 20), [1, 3], [real(1), real(-0.1)]);

  test('TT-04: slope 3 and OIP3 = P + Δ/2 = 10 dB for c₃ = −0.1 (Razavi 2.2.3, Pozar 10.3; from memory)', () => {
    const [low, high] = [cubic(-31), cubic(-30)];
    const slope = (order: number) => levelOf(high, order) - levelOf(low, order);
    expect(Math.abs(slope(3) - 3)).toBeLessThan(1e-3);
    expect(Math.abs(slope(1) - 1)).toBeLessThan(1e-3);
    const far = cubic(-60);
    const oip3 = levelOf(far, 1) + (levelOf(far, 1) - levelOf(far, 3)) / 2;
    expect(Math.abs(oip3 - checks['TT-04'].expected.OIP3_dB)).toBeLessThan(1e-3);
  });

  test.each(Object.entries(checks['TT-05'].expected))(
    'TT-05: tones %s dB re IIP3 read OIP3 off by 1.5·20·log10(1 − 3(A/A_IIP3)²)',
    (relative, biasDb) => {
      const reading = cubic(10 + Number(relative));
      const oip3 = levelOf(reading, 1) + (levelOf(reading, 1) - levelOf(reading, 3)) / 2;
      expect(Math.abs(oip3 - 10 - biasDb)).toBeLessThan(1e-3);
    },
  );

  test('TT-06: IIP3 − IP1dB 9.636 dB, OIP3 − OP1dB 10.636 dB, two tones 4.771 dB earlier (Razavi, from memory)', () => {
    const { expected } = checks['TT-06'];
    const model = amplifierOf(openPolynomial([1, 3], 1, [real(1), real(-0.1)]), {
      sampleRateHz: RATE,
      sampleCount: LENGTH,
    });
    const cw = cwCharacteristics(model, 1.5);
    expect(Math.abs(10 - (cw.outputAtOneDbCompressionDb ?? 0) - expected.OIP3_minus_OP1dB)).toBeLessThan(1e-3);
    const oneDbDown = (outputDb: (driveDb: number) => number) => {
      let [low, high] = [-20, 3];
      for (let i = 0; i < 60; i++) {
        const middle = (low + high) / 2;
        if (middle - outputDb(middle) < 1) low = middle;
        else high = middle;
      }
      return low;
    };
    const oneTone = oneDbDown((driveDb) => dbOf(model.staticOutput(10 ** (driveDb / 20)).re));
    const twoTones = oneDbDown((driveDb) => levelOf(cubic(driveDb), 1));
    expect(Math.abs(10 - oneTone - expected.IIP3_minus_IP1dB)).toBeLessThan(1e-3);
    expect(Math.abs(oneTone - twoTones - expected.two_tone_shift)).toBeLessThan(1e-3);
    // Pass-band: A² = 0.145·|a₁/a₃| with c₃ = ¾a₃.
    expect((10 ** (oneTone / 10) * 0.1) / 0.75).toBeCloseTo(expected.k_0145, 6);
  });

  test('TT-09: both sides equal without memory or with memory of one phase; unequal with memory of two phases', () => {
    const differenceDb = (depth: number, coefficients: Coefficient[]) => {
      const reading = read(0.3, [1, 3], coefficients, depth);
      return Math.abs(levelOf(reading, 3, 'lower') - levelOf(reading, 3, 'upper'));
    };
    const c = { re: -0.05, im: 0.03 };
    expect(differenceDb(1, [real(1), c])).toBeLessThan(1e-9);
    expect(differenceDb(2, [real(1), real(-0.05), real(0), real(0.02)])).toBeLessThan(1e-9);
    expect(differenceDb(2, [real(1), real(-0.05), real(0), { re: 0, im: 0.02 }])).toBeGreaterThan(1);
  });

  test('TT-12: with c₃·c₅ < 0 the third-order line vanishes at A² = −c₃/(5c₅) and the fifth does not', () => {
    const { c3, c5, IM5 } = checks['TT-12'].expected;
    const A = Math.sqrt(-c3 / (5 * c5));
    const reading = read(A, [1, 3, 5], [real(1), real(c3), real(c5)]);
    expect(10 ** (levelOf(reading, 3) / 20)).toBeLessThan(1e-12);
    // The table prints ten digits.
    expect(Math.abs(10 ** (levelOf(reading, 5) / 20) - IM5)).toBeLessThan(1e-11);
    expect(Math.abs(10 ** (levelOf(reading, 5) / 20) - c5 * A ** 5)).toBeLessThan(1e-12);
    // Either side of that level it is back.
    expect(levelOf(read(0.9 * A, [1, 3, 5], [real(1), real(c3), real(c5)]), 3)).toBeGreaterThan(-60);
  });

  test('TT-13: two equal tones carry 3.01 dB more than one and peak 6.02 dB above it', () => {
    const x = tones(0.3, 16 * LENGTH);
    const reading = measureTwoTone(x, { ...waveformOf(), sampleRateHz: 16 * RATE }, 0)!;
    const one = levelOf(reading, 1);
    const { PAPR_dB, PEP_over_tone_dB } = checks['TT-13'].expected;
    expect(Math.abs(10 * Math.log10(peakPower(x) / meanPower(x)) - PAPR_dB)).toBeLessThan(1e-6);
    expect(Math.abs(10 * Math.log10(peakPower(x)) - one - PEP_over_tone_dB)).toBeLessThan(1e-6);
    expect(Math.abs(10 * Math.log10(meanPower(x)) - one - PAPR_dB)).toBeLessThan(1e-6);
  });

  // y = x + c·x·|x|²: IM3 = 20·log10(|c|A²/|1 + 3cA²|), elementary.
  test.each([
    [0.5, { re: -0.1, im: 0 }, -31.364],
    [0.3, { re: -0.05, im: 0.02 }, -46.17],
  ])('tones of amplitude %d through c₃ = %o: IM3 %d dBc', (A, c, dbc) => {
    const reading = read(A, [1, 3], [real(1), c]);
    const expected = dbOf((Math.hypot(c.re, c.im) * A * A) / Math.hypot(1 + 3 * c.re * A * A, 3 * c.im * A * A));
    expect(levelOf(reading, 3) - levelOf(reading, 1)).toBeCloseTo(expected, 9);
    expect(Math.abs(expected - dbc)).toBeLessThan(0.005);
  });
});

describe('what is read and what is not', () => {
  test('places, sides and powers: offset carrier, unequal tones, power scale', () => {
    const x = zeros(LENGTH);
    // Tones on 40 and 74 cycles of amplitude 0.5 and 0.25, lines of order 3 on 6 and 108.
    for (const [cycles, amplitude] of [
      [40, 0.5],
      [74, 0.25],
      [6, 0.01],
      [108, 0.02],
    ] as const) {
      for (let n = 0; n < LENGTH; n++) {
        x.re[n] += amplitude * Math.cos((2 * Math.PI * cycles * n) / LENGTH);
        x.im[n] += amplitude * Math.sin((2 * Math.PI * cycles * n) / LENGTH);
      }
    }
    const reading = measureTwoTone(x, waveformOf({ offsetHz: 57e3 }), 40)!;
    expect(reading.toneSpacingHz).toBe(34e3);
    expect(reading.tones.map(({ side }) => side)).toEqual(['lower', 'upper']);
    expect(reading.tones[0]!.powerDbm).toBeCloseTo(40 + dbOf(0.5), 9);
    expect(reading.tones[1]!.levelDb).toBeCloseTo(dbOf(0.25), 9);
    const [lower, upper] = reading.products;
    expect(lower).toMatchObject({ order: 3, side: 'lower', offsetHz: -51e3 });
    expect(upper).toMatchObject({ order: 3, side: 'upper', offsetHz: 51e3 });
    expect(lower!.ratioDb).toBeCloseTo(dbOf(50), 9);
    expect(upper!.ratioDb).toBeCloseTo(dbOf(12.5), 9);
    expect(upper!.powerDbm).toBeCloseTo(40 + dbOf(0.02), 9);
    expect(measureTwoTone(x, waveformOf({ offsetHz: 57e3 }), null)!.tones[0]!.powerDbm).toBeNull();
  });

  test('products at or beyond half the rate are left out', () => {
    // Half the record is 512 cycles: order 3 of ±100 lies on 300, order 5 on 500, order 7 on 700.
    const orders = (half: number) =>
      measureTwoTone(zeros(LENGTH), waveformOf({}, half), 0)!.products.map(({ order }) => order);
    expect(orders(HALF)).toEqual([3, 3, 5, 5, 7, 7]);
    expect(orders(100)).toEqual([3, 3, 5, 5]);
    expect(orders(128)).toEqual([3, 3]);
  });

  test('other carriers, a burst pattern or another kind give no reading', () => {
    const x = tones(0.3);
    const alone = waveformOf();
    const [carrier] = alone.carriers;
    expect(measureTwoTone(x, { ...alone, carriers: [carrier!, carrier!] }, 0)).toBeNull();
    expect(measureTwoTone(x, waveformOf({ kind: 'multitone' }), 0)).toBeNull();
    const burst = { periodSamples: 512, periodCount: 2, onSamples: 256, rampSamples: 8, activeRatio: 0.5 };
    expect(measureTwoTone(x, { ...alone, burst }, 0)).toBeNull();
  });

  test('tones between whole cycles are a programmer’s mistake', () => {
    expect(() => measureTwoTone(tones(0.3), waveformOf({ offsetHz: 300 }), 0)).toThrow('whole cycles');
  });
});
