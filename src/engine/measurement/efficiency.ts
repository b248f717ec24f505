// DC power and drain efficiency of an ideal output stage over the real distribution of output amplitudes.
//
// The envelope is slow against the carrier, so each sample draws the DC power of a constant carrier of its amplitude
// v = |y| (|y| = 1 is saturated power). d(v) = DC power over saturated power:
//   class A         d = 2                                     50 % at v = 1
//   class B         d = (4/π)·v                               78.54 % at v = 1
//   two devices     d = (2/π)·v up to v = 1/2, (2/π)·(3v − 1) above   78.54 % at v = 1 and 6.02 dB below
//   class AB        fixed bias q (over peak current), i(φ) = max(0, q + p·cos φ), half conduction angle α, cos α = −q/p:
//                   fundamental (p/π)·(α − sin α·cos α), DC (p/π)·(sin α − α·cos α); d = 2·DC over the fundamental at
//                   full drive p = 1 − q. While p ≤ q the device conducts all the time: fundamental p, DC q.
// Harmonics are shorted, the knee voltage is zero, the supply just holds the peak: real stages stay below (the factor).
// Sources: Cripps, RF Power Amplifiers for Wireless Communications (class A, AB, B; two devices after Doherty 1936);
// Raab 1987, IEEE Trans. Broadcast. 33(3) (two devices, averages); both from memory.
import type { PowerClass } from '../../../shared/schema/powerModel.ts';
import type { PowerModel } from '../amplifier/powerDefaults.ts';
import { type ComplexSignal, meanPower, type Samples } from '../dsp/complex.ts';

/** d at equal steps of v from 0 to 1, straight between them. */
export interface DcCurve {
  readonly values: Samples;
}

/** Steps of the class AB curve: linear interpolation is then within 1e-5 of d at the edge of class A, 1e-8 elsewhere. */
const CURVE_STEPS = 4096;
const BISECTIONS = 50;

/** DC power over saturated power against |y|, for the model's class, with its efficiency factor. */
export function dcCurveOf(power: PowerModel): DcCurve {
  const ideal = idealCurve(power);
  return { values: ideal.map((value) => value / power.efficiencyFactor) };
}

function idealCurve(power: PowerModel): Samples {
  switch (power.class) {
    case 'A':
      return Float64Array.of(2, 2);
    case 'B':
      return Float64Array.of(0, 4 / Math.PI);
    case 'twoDevice':
      return Float64Array.of(0, 1 / Math.PI, 4 / Math.PI);
    case 'AB':
      return classAbCurve(power.quiescentRatio);
  }
}

/** quiescentRatio 0 … 0.5: bias over peak current. */
function classAbCurve(quiescentRatio: number): Samples {
  if (quiescentRatio <= 0) return Float64Array.of(0, 4 / Math.PI);
  if (quiescentRatio >= 0.5) return Float64Array.of(2, 2);
  const fullAngle = Math.acos(-quiescentRatio / (1 - quiescentRatio));
  const full = clippedCosine(quiescentRatio, fullAngle).fundamental;
  const curve = new Float64Array(CURVE_STEPS + 1);
  for (let i = 0; i <= CURVE_STEPS; i++) {
    const wanted = (full * i) / CURVE_STEPS;
    const dc =
      wanted <= quiescentRatio
        ? quiescentRatio
        : clippedCosine(quiescentRatio, angleOf(quiescentRatio, fullAngle, wanted)).dc;
    curve[i] = (2 * dc) / full;
  }
  return curve;
}

/** Half conduction angle, between that of full drive and π, at which the fundamental is as wanted: it falls with the angle. */
function angleOf(quiescentRatio: number, fullAngle: number, wanted: number): number {
  let low = fullAngle;
  let high = Math.PI;
  for (let step = 0; step < BISECTIONS; step++) {
    const middle = (low + high) / 2;
    if (clippedCosine(quiescentRatio, middle).fundamental > wanted) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** Parts of q + p·cos φ clipped at zero, with cos α = −q/p; α within (π/2, π]. */
function clippedCosine(quiescentRatio: number, angle: number): { fundamental: number; dc: number } {
  const cos = Math.cos(angle);
  const sin = Math.sin(angle);
  const scale = -quiescentRatio / (cos * Math.PI);
  return { fundamental: scale * (angle - sin * cos), dc: scale * (sin - angle * cos) };
}

/** d(v) of one constant amplitude; above 1 it is held at d(1). */
export function dcPowerRatio(curve: DcCurve, amplitude: number): number {
  const { values } = curve;
  const steps = values.length - 1;
  const position = Math.min(Math.max(amplitude, 0), 1) * steps;
  const below = Math.min(Math.floor(position), steps - 1);
  return values[below] + (position - below) * (values[below + 1] - values[below]);
}

/** Drain efficiency of a constant carrier at this amplitude, in %. */
export function cwEfficiencyPercent(curve: DcCurve, amplitude: number): number {
  return (100 * amplitude * amplitude) / dcPowerRatio(curve, amplitude);
}

/** Mean DC power of an output over saturated power. An amplitude above 1 draws what 1 draws. */
export function meanDcPowerRatio(output: ComplexSignal, curve: DcCurve): number {
  const { re, im } = output;
  const { values } = curve;
  const steps = values.length - 1;
  let sum = 0;
  for (let n = 0; n < re.length; n++) {
    const amplitude = Math.sqrt(re[n] * re[n] + im[n] * im[n]);
    const position = Math.min(amplitude, 1) * steps;
    let below = Math.floor(position);
    if (below === steps) below--;
    sum += values[below] + (position - below) * (values[below + 1] - values[below]);
  }
  return sum / re.length;
}

export interface EfficiencyReading {
  readonly dcPowerW: number;
  readonly efficiencyPercent: number;
  /** DC power less mean output power. */
  readonly heatW: number;
}

/** DC power and heat in W and drain efficiency in % of one output; saturatedPowerW is the power of |y| = 1. */
export function measureEfficiency(
  output: ComplexSignal,
  power: PowerModel,
  saturatedPowerW: number,
): EfficiencyReading {
  const dcRatio = meanDcPowerRatio(output, dcCurveOf(power));
  const mean = meanPower(output);
  return {
    dcPowerW: saturatedPowerW * dcRatio,
    efficiencyPercent: (100 * mean) / dcRatio,
    heatW: saturatedPowerW * (dcRatio - mean),
  };
}

const CLASS_NAMES: Readonly<Record<PowerClass, string>> = {
  A: 'ideal class A',
  AB: 'ideal class AB',
  B: 'ideal class B',
  twoDevice: 'ideal two-device (Doherty)',
};

/** Names the model wherever its figures stand: "ideal class B", with a factor "ideal class B × 0.8". */
export function powerModelLabel({ class: name, efficiencyFactor }: PowerModel): string {
  return efficiencyFactor === 1 ? CLASS_NAMES[name] : `${CLASS_NAMES[name]} × ${efficiencyFactor}`;
}
