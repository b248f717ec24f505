// The published memory-polynomial amplifier of Ding et al. (2004) under indirect learning, as reference checks DI-02 and
// DI-03 describe it: no levelling, the gain aimed at is the small-signal gain, trained and judged on the same record.

import { USUAL_LEARNING } from '../../../shared/schema/predistorter.ts';
import type { LearningSettings } from '../../../shared/schema/scenario.ts';
import { publishedAmplifiers } from '../../../shared/tables/publishedAmplifiers.ts';
import { impulseResponse, type RationalFilter } from '../../../src/engine/amplifier/wienerHammerstein.ts';
import { applyBasis, type BasisStructure } from '../../../src/engine/basis/memoryPolynomial.ts';
import { polynomialRegressors } from '../../../src/engine/basis/regressors.ts';
import { type ComplexSignal, fromPairs, peakPower, type Samples, scale } from '../../../src/engine/dsp/complex.ts';
import { filterPeriodic } from '../../../src/engine/dsp/fir.ts';
import type { Device } from '../../../src/engine/dsp/waveformTypes.ts';
import { type LearningBench, learnIndirectly } from '../../../src/engine/linearization/indirectLearning.ts';
import { measureAclr } from '../../../src/engine/measurement/aclr.ts';
import { measureNmseDb } from '../../../src/engine/measurement/nmse.ts';
import { wholeRecord } from '../measurement/flatNoise.ts';
import { multicarrierRecord } from './multicarrierRecord.ts';

const terms = publishedAmplifiers['Ding_2004'].terms ?? [];

/** Orders 1, 3, 5 at delays 0, 1, 2. */
export const dingStructure: BasisStructure = {
  terms: terms.flatMap(({ l, m, re }) =>
    re.map((_, k) => ({ delaySamples: l, envelopeDelaySamples: m, nonlinearOrder: 2 * k + 1 })),
  ),
};
export const dingCoefficients = fromPairs(
  terms.flatMap(({ re, im }) => re.map((value, k) => ({ re: value, im: im[k] }))),
);

/** Without the drive range of the table: the worked example drives inside it. */
export function dingAmplifier(drive: ComplexSignal): ComplexSignal {
  return applyBasis(dingStructure, dingCoefficients, drive);
}

/** |sum of the linear taps|: the gain of a slow, small drive. */
const linear = terms.map(({ re, im }) => ({ re: re[0], im: im[0] }));
export const dingGain = Math.hypot(
  linear.reduce((sum, tap) => sum + tap.re, 0),
  linear.reduce((sum, tap) => sum + tap.im, 0),
);

/** 32768 samples, 4801 occupied bins, 5334 bins between channels, crest factor 8.0 dB. */
export const dingRecord = multicarrierRecord(32768, 4801, 5334, 8, 1);

/** The record at the drive whose nominal peak, 8.0 dB above its rms, is stated. */
export function dingDrive(peak: number): ComplexSignal {
  return scale(dingRecord.signal, peak * 10 ** (-8 / 20));
}

export interface DingReading {
  readonly lowerDb: number;
  readonly upperDb: number;
  readonly nmseDb: number;
}

export function readDing(x: ComplexSignal, y: ComplexSignal): DingReading {
  const { sampleRateHz, carriers, channels } = dingRecord;
  const { readings } = measureAclr(wholeRecord(y), sampleRateHz, carriers, channels);
  return { lowerDb: readings[0].aclrDb, upperDb: readings[1].aclrDb, nmseDb: measureNmseDb(x, y) };
}

const hammerstein = publishedAmplifiers['Ding_2004_Wiener_Hammerstein'];
const innerTaps = impulseResponse(hammerstein.input_filter as RationalFilter);
const outerTaps = impulseResponse(hammerstein.output_filter as RationalFilter);
const innerTerms: BasisStructure = {
  terms: (hammerstein.nonlinearity?.re ?? []).map((_, k) => ({
    delaySamples: 0,
    envelopeDelaySamples: 0,
    nonlinearOrder: 2 * k + 1,
  })),
};

const filtered = (x: ComplexSignal, taps: Samples) =>
  filterPeriodic(x, { re: taps, im: new Float64Array(taps.length) }, 0);

/** Ding's Wiener–Hammerstein amplifier, in the units it is printed in. */
export function hammersteinAmplifier(drive: ComplexSignal): ComplexSignal {
  const inner = hammerstein.nonlinearity ?? { re: [], im: [] };
  const coefficients = fromPairs(inner.re.map((re, k) => ({ re, im: inner.im[k] })));
  return filtered(applyBasis(innerTerms, coefficients, filtered(drive, innerTaps)), outerTaps);
}

/** The record at the drive whose peak behind the first filter is stated. */
export function hammersteinDrive(peak: number): ComplexSignal {
  const { signal } = dingRecord;
  return scale(signal, peak / Math.sqrt(peakPower(filtered(signal, innerTaps))));
}

/** A reading after each pass. */
export function learnDing(
  structure: BasisStructure,
  x: ComplexSignal,
  passCount: number,
  amplify: Device = dingAmplifier,
  /** Null: the least-squares gain of each pass. */
  gain: number | null = dingGain,
) {
  const settings: LearningSettings = { ...USUAL_LEARNING, passCount, driveCeilingRatio: 100 };
  const bench: LearningBench = {
    amplify,
    level: (device, input) => ({ scale: 1, output: device(input), outputBackoffDb: 0 }),
    judge: (output) => {
      const { lowerDb, upperDb } = readDing(x, output);
      return { worstAclrDb: Math.min(lowerDb, upperDb), evmPercent: null };
    },
    measureNmseDb,
  };
  const faults = { ...(gain === null ? {} : { fixedObservationGain: gain }), ignoreCeiling: true, keepLastPass: true };
  const { coefficients } = learnIndirectly({
    structure: polynomialRegressors(structure),
    settings,
    training: x,
    selection: x,
    bench,
    faults,
  });
  return coefficients.map((c) => readDing(x, amplify(applyBasis(structure, c, x))));
}
