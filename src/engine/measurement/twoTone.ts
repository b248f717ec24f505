// Two tones and their intermodulation products, on the exact bins of the whole record.
//
//   tones f₁ < f₂, Δ = f₂ − f₁;  order 2k+1:  lower product f₁ − k·Δ, upper product f₂ + k·Δ
//
// Each line is one bin of a record on whole cycles: no window, no leakage, no resolution bandwidth. Powers are per tone,
// as the trade states them: two equal tones together carry 3.01 dB more, and their envelope peaks 6.02 dB above one.
import type { Side, TwoToneReading } from '../../../shared/schema/report.ts';
import type { ComplexSignal } from '../dsp/complex.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { lineAmplitude } from '../dsp/lineAmplitude.ts';
import type { Waveform } from '../dsp/waveformTypes.ts';

/** Orders read, where their products lie inside the record's band. */
const PRODUCT_ORDERS: readonly number[] = [3, 5, 7];
const SIDES: readonly Side[] = ['lower', 'upper'];

/** A tone this far from a whole number of cycles was not made by our generator. */
const WHOLE_CYCLE = 1e-6;

/**
 * Reads the tones of a record that consists of one two-tone carrier, and their products of order 3, 5 and 7 inside
 * ±fs/2. `unitPowerDbm`: power at the antenna port of |y|² = 1, null without a power scale. Null when the record holds
 * anything else (other carriers, a burst pattern): its lines would fall on the same bins.
 */
export function measureTwoTone(
  output: ComplexSignal,
  waveform: Pick<Waveform, 'carriers' | 'sampleRateHz' | 'burst'>,
  unitPowerDbm: number | null,
): TwoToneReading | null {
  const [carrier, ...others] = waveform.carriers;
  if (carrier === undefined || others.length > 0 || waveform.burst !== null) return null;
  if (carrier.kind !== 'twoTone' || carrier.tones === null) return null;
  const { sampleRateHz } = waveform;
  const cyclesOf = (hz: number) => wholeCycles((hz * output.re.length) / sampleRateHz);
  const offset = cyclesOf(carrier.offsetHz);
  const [low, high] = [0, 1].map((i) => cyclesOf(carrier.offsetHz + carrier.tones!.frequencyHz[i]!)) as [
    number,
    number,
  ];
  const spacing = high - low;
  const hzOf = (cycles: number) => ((cycles - offset) * sampleRateHz) / output.re.length;
  const levelDb = (cycles: number) => {
    const { re, im } = lineAmplitude(output, cycles);
    return powerRatioToDb(re * re + im * im);
  };
  const dbm = (level: number) => (unitPowerDbm === null ? null : unitPowerDbm + level);
  const toneLevels = { lower: levelDb(low), upper: levelDb(high) };
  const products = PRODUCT_ORDERS.flatMap((order) =>
    SIDES.flatMap((side) => {
      const steps = (order - 1) / 2;
      const cycles = side === 'lower' ? low - steps * spacing : high + steps * spacing;
      // The bin at exactly half the rate stands for both signs of its frequency.
      if (2 * Math.abs(cycles) >= output.re.length) return [];
      const level = levelDb(cycles);
      const ratioDb = toneLevels[side] - level;
      return [{ order, side, offsetHz: hzOf(cycles), powerDbm: dbm(level), ratioDb }];
    }),
  );
  return {
    carrierIndex: 0,
    toneSpacingHz: (spacing * sampleRateHz) / output.re.length,
    tones: SIDES.map((side) => ({ side, powerDbm: dbm(toneLevels[side]), levelDb: toneLevels[side] })),
    products,
  };
}

function wholeCycles(cycles: number): number {
  const whole = Math.round(cycles);
  if (Math.abs(cycles - whole) > WHOLE_CYCLE * Math.max(1, Math.abs(cycles))) {
    throw new RangeError(`measureTwoTone: a tone on ${cycles} cycles per record; tones stand on whole cycles`);
  }
  return whole;
}
