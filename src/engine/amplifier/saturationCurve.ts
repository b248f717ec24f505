// The nonlinearity of the filter–nonlinearity–filter amplifier as one complex gain against the envelope power u = r²:
//
//   G = B(r)·(1 + u^p)^(−1/2p)·exp(jΦ(r))
//   B = 1 + Σ heightRatio·exp(−((r − centre)/width)²)                                  expansion and dips
//   Φ = amPm·u/(h + u) + step/2·(1 + tanh((r − centre)/width))                         saturating AM/PM and a step
//
// Knee of Rapp 1991. Bumps and step: our own shapes for class-AB expansion and two-device amplifiers, no source.
import type { FilterNonlinearityFilterSettings, GainBump } from '../../../shared/schema/scenario.ts';
import type { Complex } from '../dsp/complex.ts';
import { kneeGain } from './knee.ts';
import { largestOnInterval } from './largestOnInterval.ts';

type Settings = Pick<
  FilterNonlinearityFilterSettings,
  'kneeSharpness' | 'amPmDeg' | 'amPmHalfPower' | 'gainBumps' | 'amPmStep'
>;

export interface SaturationCurve {
  /** G at envelope power u ≥ 0. */
  readonly gainAt: (envelopePower: number) => Complex;
  /** Largest |G|·r over all r: 1 unless bumps lift the output above the saturated amplitude. */
  readonly bound: number;
  /** Knee sharpness of a curve without bumps and steps that has features as narrow: see envelopeGainTable.ts. */
  readonly equivalentSharpness: number;
}

const RAD_PER_DEG = Math.PI / 180;

/** The curve of these settings. */
export function saturationCurve(settings: Settings): SaturationCurve {
  const { kneeSharpness, amPmHalfPower, gainBumps, amPmStep } = settings;
  const amPmRad = settings.amPmDeg * RAD_PER_DEG;
  const isPlain = gainBumps.length === 0 && amPmStep === null;
  const gainAt = (u: number): Complex => {
    const r = isPlain ? 0 : Math.sqrt(u);
    const gain = kneeGain(u, kneeSharpness) * bumpFactor(r, gainBumps);
    const step =
      amPmStep === null
        ? 0
        : 0.5 *
          RAD_PER_DEG *
          amPmStep.amPmDeg *
          (1 + Math.tanh((r - amPmStep.centreAmplitude) / amPmStep.widthAmplitude));
    const phase = (amPmRad * u) / (amPmHalfPower + u) + step;
    return { re: gain * Math.cos(phase), im: gain * Math.sin(phase) };
  };
  const features = [...gainBumps, ...(amPmStep === null ? [] : [amPmStep])];
  return {
    gainAt,
    bound: boundOf(kneeSharpness, gainBumps),
    equivalentSharpness: Math.max(kneeSharpness, ...features.map(sharpnessOf)),
  };
}

function bumpFactor(amplitude: number, bumps: readonly GainBump[]): number {
  let factor = 1;
  for (const { heightRatio, centreAmplitude, widthAmplitude } of bumps) {
    const t = (amplitude - centreAmplitude) / widthAmplitude;
    factor += heightRatio * Math.exp(-t * t);
  }
  return factor;
}

/** exp(−7²) = 5e-22: nothing of a bump is left this many widths from its centre. */
const WIDTHS_OF_A_BUMP = 7;

/** Without bumps that rise r·(1 + r^2p)^(−1/2p) < 1 for every r; beyond the last bump it stays so. */
function boundOf(kneeSharpness: number, bumps: readonly GainBump[]): number {
  if (!bumps.some((bump) => bump.heightRatio > 0)) return 1;
  const end = Math.max(...bumps.map((bump) => bump.centreAmplitude + WIDTHS_OF_A_BUMP * bump.widthAmplitude));
  return Math.max(1, largestOnInterval((r) => r * kneeGain(r * r, kneeSharpness) * bumpFactor(r, bumps), 0, end).value);
}

/** A knee of sharpness p bends within 1/2p of its amplitude; a bump within its width, at some centre + 2 widths at most. */
function sharpnessOf({ centreAmplitude, widthAmplitude }: { centreAmplitude: number; widthAmplitude: number }): number {
  return 0.5 * (centreAmplitude / widthAmplitude + 2);
}
