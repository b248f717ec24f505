// Amplitude and phase curves of memoryless amplifiers, as printed. r is the input amplitude in the source's own scale;
// the output is A(r)·exp(j(arg x + Φ(r))).
import { kneeGain } from './knee.ts';

/** A memoryless amplifier: output amplitude and phase shift against input amplitude r ≥ 0. */
export interface StaticCurve {
  amplitude(r: number): number;
  phaseRad(r: number): number;
}

const RAD_PER_DEG = Math.PI / 180;

/**
 * A = α_a·r/(1 + β_a·r²), Φ = α_φ·r²/(1 + β_φ·r²) rad. Saturates at r = 1/√β_a with A = α_a/(2√β_a), then falls.
 * Source: Saleh 1981, IEEE Trans. Commun. 29(11), eqs (3) and (4).
 */
export function salehCurve(alphaA: number, betaA: number, alphaPhi: number, betaPhi: number): StaticCurve {
  return {
    amplitude: (r) => (alphaA * r) / (1 + betaA * r * r),
    phaseRad: (r) => (alphaPhi * r * r) / (1 + betaPhi * r * r),
  };
}

/**
 * A = x₁·r^x₂/(1 + x₃·r^x₂) + x₄·r, Φ = the same form with y₁ … y₄, rad.
 * Source: Ghorbani and Sheikhan 1991, IEE Digital Processing of Signals in Communications (from memory).
 */
export function ghorbaniCurve(
  x: readonly [number, number, number, number],
  y: readonly [number, number, number, number],
): StaticCurve {
  return { amplitude: (r) => ghorbaniForm(x, r), phaseRad: (r) => ghorbaniForm(y, r) };
}

function ghorbaniForm([c1, c2, c3, c4]: readonly [number, number, number, number], r: number): number {
  const power = r ** c2;
  return (c1 * power) / (1 + c3 * power) + c4 * r;
}

/** Parameters of the modified Rapp curve; `phaseUnit` is that of `alpha`. */
export interface ModifiedRappParameters {
  readonly gain: number;
  readonly saturatedAmplitude: number;
  readonly sharpness: number;
  readonly alpha: number;
  readonly beta: number;
  readonly phaseUnit: 'rad' | 'deg';
  readonly phaseOrder: number;
  readonly phaseSaturationOrder: number;
}

/**
 * A = g·r/(1 + (g·r/A_sat)^2p)^(1/2p), Φ = α·r^q₁/(1 + (r/β)^q₂).
 * Sources: IEEE 802.11-09/0296 and 3GPP R4-163314 (parameter values from memory).
 */
export function modifiedRappCurve(parameters: ModifiedRappParameters): StaticCurve {
  const { gain, saturatedAmplitude, sharpness, alpha, beta, phaseOrder, phaseSaturationOrder } = parameters;
  const toRad = parameters.phaseUnit === 'deg' ? RAD_PER_DEG : 1;
  return {
    amplitude: (r) => {
      const ratio = (gain * r) / saturatedAmplitude;
      return gain * r * kneeGain(ratio * ratio, sharpness);
    },
    // Written with (β/r) so that neither power overflows at high drive.
    phaseRad: (r) =>
      r === 0
        ? 0
        : (toRad * alpha * r ** (phaseOrder - phaseSaturationOrder)) /
          (r ** -phaseSaturationOrder + beta ** -phaseSaturationOrder),
  };
}

/**
 * Output power in dBm and phase in degrees as polynomials (highest power first) of the input power in dBm, where
 * amplitude 1 is 0 dBm. Below `lowestInputDbm` gain and phase are constant, above `highestInputDbm` the input is held.
 * Source: 3GPP R4-163314 (one transcription); the two ends are our own guard against its ripple and fold.
 */
export function decibelPolynomialCurve(
  outputDbm: readonly number[],
  phaseDeg: readonly number[],
  lowestInputDbm: number,
  highestInputDbm: number,
): StaticCurve {
  const inputDbm = (r: number) => Math.min(Math.max(20 * Math.log10(r), lowestInputDbm), highestInputDbm);
  const lowestAmplitude = 10 ** (lowestInputDbm / 20);
  const smallSignalGain = 10 ** ((horner(outputDbm, lowestInputDbm) - lowestInputDbm) / 20);
  return {
    amplitude: (r) => (r <= lowestAmplitude ? smallSignalGain * r : 10 ** (horner(outputDbm, inputDbm(r)) / 20)),
    phaseRad: (r) => RAD_PER_DEG * horner(phaseDeg, inputDbm(r)),
  };
}

function horner(highestFirst: readonly number[], x: number): number {
  let sum = 0;
  for (const coefficient of highestFirst) sum = sum * x + coefficient;
  return sum;
}
