// Tones on whole cycles of the record.
//
// Phases of tone k = 0 … N − 1: in phase 0; Newman πk²/N (Newman 1965, Boyd 1986); Schroeder −πk(k + 1)/N (Schroeder
// 1970); random uniform. Newman's and Schroeder's differ by a delay and a constant: the same crest factor.
import type { ToneGeometry } from '../../../shared/schema/geometry.ts';
import type { MultitoneCarrierSettings, TwoToneCarrierSettings } from '../../../shared/schema/scenario.ts';
import { type ComplexSignal, type Samples, zeros } from '../dsp/complex.ts';
import { dbToAmplitudeRatio } from '../dsp/decibels.ts';
import { inverseFftInPlace } from '../dsp/fft.ts';
import type { Random } from '../dsp/random.ts';

/** Equal tones about the centre: half spacings when their number is even. */
export function multitoneGeometry({
  toneCount,
  toneSpacingHz,
}: Pick<MultitoneCarrierSettings, 'toneCount' | 'toneSpacingHz'>): ToneGeometry {
  const frequencyHz = new Float64Array(toneCount);
  for (let k = 0; k < toneCount; k++) frequencyHz[k] = (k - (toneCount - 1) / 2) * toneSpacingHz;
  return { toneSpacingHz, frequencyHz, levelDb: new Float64Array(toneCount) };
}

export function twoToneGeometry({ toneSpacingHz, upperOverLowerDb }: TwoToneCarrierSettings): ToneGeometry {
  const levelDb = Float64Array.of(Math.min(0, -upperOverLowerDb), Math.min(0, upperOverLowerDb));
  return { ...multitoneGeometry({ toneCount: 2, toneSpacingHz }), levelDb };
}

/** Phases in radians, tones rising. */
export function tonePhases(law: MultitoneCarrierSettings['phaseLaw'], toneCount: number, random: Random): Samples {
  const phases = new Float64Array(toneCount);
  for (let k = 0; k < toneCount; k++) {
    if (law === 'newman') phases[k] = (Math.PI * k * k) / toneCount;
    else if (law === 'schroeder') phases[k] = (-Math.PI * k * (k + 1)) / toneCount;
    else if (law === 'random') phases[k] = 2 * Math.PI * random.uniform();
  }
  return phases;
}

/** Σ a_k·exp(j(2πf_k·t + φ_k)), the strongest tone of amplitude 1; periodic with `sampleCount` samples. */
export function sumTones(
  { frequencyHz, levelDb }: ToneGeometry,
  phases: Samples,
  sampleRateHz: number,
  sampleCount: number,
): ComplexSignal {
  const spectrum = zeros(sampleCount);
  for (let k = 0; k < frequencyHz.length; k++) {
    const cycles = Math.round((frequencyHz[k] * sampleCount) / sampleRateHz);
    const bin = cycles < 0 ? cycles + sampleCount : cycles;
    const amplitude = sampleCount * dbToAmplitudeRatio(levelDb[k]);
    spectrum.re[bin] = amplitude * Math.cos(phases[k]);
    spectrum.im[bin] = amplitude * Math.sin(phases[k]);
  }
  return inverseFftInPlace(spectrum);
}
