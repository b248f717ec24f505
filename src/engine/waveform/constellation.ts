// Modulation mappings, indexed by the bit word with b0 as its most significant bit. Mean power 1.
//
// BPSK, QPSK and QAM: TS 38.211 clause 5.1 (the same as TS 36.211 clause 7.1 up to 256QAM). With s_i = 1 − 2b_i and
// M = 2^bits points, one axis of bits/2 decisions is nested: s0(2^(m−1) − s2(2^(m−2) − … s_last)), m = bits/2; even bits
// make the real part, odd bits the imaginary part. Scale 1/√(2(M − 1)/3): √2, √10, √42, √170, √682. Gray coded.
// π/2-BPSK: BPSK, every second symbol turned by π/2 (symbolRotation).
// 8PSK, 16APSK (4 + 12), 32APSK (4 + 12 + 16): EN 302 307-1 clause 5.4, from memory.
import type { OfdmGeometry, SingleCarrierGeometry } from '../../../shared/schema/geometry.ts';
import type { SingleCarrierSettings } from '../../../shared/schema/scenario.ts';
import { DEFAULT_APSK_CODE_RATE, ringRatiosAtCodeRate } from '../../../shared/tables/apskRingRatios.ts';
import { type ComplexSignal, meanPower, scale, zeros } from '../dsp/complex.ts';

export type Modulation = OfdmGeometry['modulation'] | SingleCarrierGeometry['modulation'];

const BITS_PER_SYMBOL: Readonly<Record<Modulation, number>> = {
  BPSK: 1,
  'pi/2-BPSK': 1,
  QPSK: 2,
  '8PSK': 3,
  '16QAM': 4,
  '16APSK': 4,
  '32APSK': 5,
  '64QAM': 6,
  '256QAM': 8,
  '1024QAM': 10,
};

export function bitsPerSymbol(modulation: Modulation): number {
  return BITS_PER_SYMBOL[modulation];
}

/** Ring radii of a carrier's constellation over the innermost one; [1] when it has no rings. */
export function ringRatiosOf({ modulation, ringRatio, outerRingRatio }: SingleCarrierSettings): readonly number[] {
  if (modulation === '16APSK') {
    const [second] = ringRatiosAtCodeRate('16APSK', DEFAULT_APSK_CODE_RATE);
    return [1, ringRatio === 'auto' ? second : ringRatio];
  }
  if (modulation === '32APSK') {
    const [second, third] = ringRatiosAtCodeRate('32APSK', DEFAULT_APSK_CODE_RATE);
    return [1, ringRatio === 'auto' ? second : ringRatio, outerRingRatio === 'auto' ? third : outerRingRatio];
  }
  return [1];
}

/**
 * All points of a modulation. Length 2^bits, bits per symbol 1 to 10; mean power 1. APSK needs the radii of its two or
 * three rings over the innermost one, [1, …].
 * @throws RangeError when the number of rings does not fit the modulation.
 */
export function constellation(modulation: Modulation, ringRatios: readonly number[] = [1]): ComplexSignal {
  switch (modulation) {
    case 'BPSK':
    case 'pi/2-BPSK':
      return binaryPoints();
    case '8PSK':
      return ringPoints(EIGHT_PSK, [1]);
    case '16APSK':
      return ringPoints(SIXTEEN_APSK, ringRatios);
    case '32APSK':
      return ringPoints(THIRTY_TWO_APSK, ringRatios);
    default:
      return squarePoints(BITS_PER_SYMBOL[modulation]);
  }
}

/** TS 38.211 clause 5.1.2: (1 − 2b)(1 + j)/√2. */
function binaryPoints(): ComplexSignal {
  const points = zeros(2);
  for (let word = 0; word < 2; word++) points.re[word] = points.im[word] = (1 - 2 * word) * Math.SQRT1_2;
  return points;
}

function squarePoints(bits: number): ComplexSignal {
  const size = 1 << bits;
  const scale = 1 / Math.sqrt((2 * (size - 1)) / 3);
  const points = zeros(size);
  for (let word = 0; word < size; word++) {
    points.re[word] = scale * axisLevel(word, bits, 0);
    points.im[word] = scale * axisLevel(word, bits, 1);
  }
  return points;
}

/** Odd whole number of one axis, from bits first, first + 2, … of the word. */
function axisLevel(word: number, bits: number, first: 0 | 1): number {
  // Innermost decision outwards: s_last, then s·(2 − …), s·(4 − …).
  let level = 0;
  let magnitude = 1;
  for (let i = bits - 2 + first; i >= first; i -= 2) {
    const sign = 1 - 2 * ((word >> (bits - 1 - i)) & 1);
    level = sign * (magnitude - level);
    magnitude *= 2;
  }
  return level;
}

/** Per word: ring (0 innermost) and angle in units of π/24. */
type RingPoint = readonly [ring: number, angle: number];

const EIGHT_PSK: readonly RingPoint[] = [6, 0, 24, 30, 12, 42, 18, 36].map((angle) => [0, angle] as const);

const SIXTEEN_APSK: readonly RingPoint[] = [
  [1, 6],
  [1, -6],
  [1, 18],
  [1, -18],
  [1, 2],
  [1, -2],
  [1, 22],
  [1, -22],
  [1, 10],
  [1, -10],
  [1, 14],
  [1, -14],
  [0, 6],
  [0, -6],
  [0, 18],
  [0, -18],
];

const THIRTY_TWO_APSK: readonly RingPoint[] = [
  [1, 6],
  [1, 10],
  [1, -6],
  [1, -10],
  [1, 18],
  [1, 14],
  [1, -18],
  [1, -14],
  [2, 3],
  [2, 9],
  [2, -6],
  [2, -12],
  [2, 18],
  [2, 12],
  [2, -21],
  [2, -15],
  [1, 2],
  [0, 6],
  [1, -2],
  [0, -6],
  [1, 22],
  [0, 18],
  [1, -22],
  [0, -18],
  [2, 0],
  [2, 6],
  [2, -3],
  [2, -9],
  [2, 21],
  [2, 15],
  [2, 24],
  [2, -18],
];

function ringPoints(map: readonly RingPoint[], ringRatios: readonly number[]): ComplexSignal {
  const ringCount = 1 + Math.max(...map.map(([ring]) => ring));
  if (ringRatios.length !== ringCount) {
    throw new RangeError(`constellation: ${ringRatios.length} ring ratios given, ${ringCount} needed`);
  }
  const points = zeros(map.length);
  map.forEach(([ring, angle], word) => {
    points.re[word] = ringRatios[ring] * Math.cos((angle * Math.PI) / 24);
    points.im[word] = ringRatios[ring] * Math.sin((angle * Math.PI) / 24);
  });
  return scale(points, 1 / Math.sqrt(meanPower(points)));
}
