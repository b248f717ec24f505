// Memoryless amplifiers of the literature with parameters of the user's own. The formulas are in staticCurves.ts; where a
// curve turns down, the drive is held at its largest output.
import type { Issue } from '../../../shared/schema/issue.ts';
import type {
  GhorbaniSettings,
  ModifiedRappSettings,
  RappSettings,
  SalehSettings,
} from '../../../shared/schema/scenario.ts';
import { type LiteratureKind, literatureCurves } from '../../../shared/tables/amplifierLiterature.ts';
import { largestOnInterval } from './largestOnInterval.ts';
import type { CoreOutcome } from './modelCore.ts';
import { type ScaledCurve, staticCurveCore } from './staticCurveCore.ts';
import { ghorbaniCurve, modifiedRappCurve, salehCurve } from './staticCurves.ts';

export type LiteratureSettings = SalehSettings | RappSettings | ModifiedRappSettings | GhorbaniSettings;

/** The amplifier of these parameters, or what is wrong with them. */
export function literatureCore(settings: LiteratureSettings): CoreOutcome {
  switch (settings.kind) {
    case 'saleh':
      return coreOf(saleh(settings));
    case 'rapp':
      return coreOf(rapp(settings));
    case 'modifiedRapp':
      return coreOf(modifiedRapp(settings));
    case 'ghorbani':
      return ghorbani(settings);
  }
}

function sourceOf(kind: LiteratureKind): string {
  const { source, status } = literatureCurves[kind];
  return `${source}; formula ${status}`;
}

function coreOf(curve: ScaledCurve): CoreOutcome {
  return { kind: 'core', core: staticCurveCore(curve) };
}

function saleh({ alphaAmplitude, betaAmplitude, alphaPhaseRad, betaPhase }: SalehSettings): ScaledCurve {
  return {
    label: 'Saleh',
    source: sourceOf('saleh'),
    curve: salehCurve(alphaAmplitude, betaAmplitude, alphaPhaseRad, betaPhase),
    smallSignalGain: alphaAmplitude,
    saturatedAmplitude: alphaAmplitude / (2 * Math.sqrt(betaAmplitude)),
    driveRange: 1 / Math.sqrt(betaAmplitude),
  };
}

function rapp({ gainRatio, saturatedAmplitude, kneeSharpness }: RappSettings): ScaledCurve {
  return {
    ...modifiedRapp({
      kind: 'modifiedRapp',
      gainRatio,
      saturatedAmplitude,
      kneeSharpness,
      alphaPhaseDeg: 0,
      betaPhase: 1,
      phaseOrder: 2,
      phaseSaturationOrder: 2,
    }),
    label: `Rapp, knee ${kneeSharpness}`,
    source: sourceOf('rapp'),
  };
}

function modifiedRapp(settings: ModifiedRappSettings): ScaledCurve {
  const { gainRatio, saturatedAmplitude, kneeSharpness, alphaPhaseDeg, betaPhase } = settings;
  const { phaseOrder, phaseSaturationOrder } = settings;
  return {
    label: `Modified Rapp, knee ${kneeSharpness}`,
    source: sourceOf('modifiedRapp'),
    curve: modifiedRappCurve({
      gain: gainRatio,
      saturatedAmplitude,
      sharpness: kneeSharpness,
      alpha: alphaPhaseDeg,
      beta: betaPhase,
      phaseUnit: 'deg',
      phaseOrder,
      phaseSaturationOrder,
    }),
    smallSignalGain: gainRatio,
    saturatedAmplitude,
    driveRange: null,
  };
}

/** A term x₄·r this small against x₁/x₃ at the half-way drive is none: it would matter 180 dB further up. */
const LEAST_TURN = 1e-9;
/** e^−30 of the drive at which A is zero again is below any drive at which it could be largest. */
const LOWEST_LOG = -30;

/**
 * With x₂ > 1 the gain x₁·r^(x₂−1)/(1 + x₃·r^x₂) + x₄ rises from x₄, so that there is no small-signal gain; its largest,
 * at x₃·r^x₂ = x₂ − 1, takes that place. With x₄ < 0 the output turns down and is zero before r = x₁/(x₃·|x₄|).
 */
function ghorbani({ x1, x2, x3, x4: stated, y1, y2, y3, y4 }: GhorbaniSettings): CoreOutcome {
  const halfWay = x3 ** (-1 / x2);
  const x4 = Math.abs(stated) * halfWay < LEAST_TURN * (x1 / x3) ? 0 : stated;
  const curve = ghorbaniCurve([x1, x2, x3, x4], [y1, y2, y3, y4]);
  const atLargestGain = ((x2 - 1) / x3) ** (1 / x2);
  const largestGain = x2 === 1 ? x1 + x4 : curve.amplitude(atLargestGain) / atLargestGain;
  if (!(largestGain > 0) || !Number.isFinite(largestGain)) return { kind: 'invalid', issues: [gainIssue(largestGain)] };
  const zeroAgain = x4 === 0 ? null : x1 / (x3 * -x4);
  const peak =
    zeroAgain === null ? null : largestOnInterval((u) => curve.amplitude(zeroAgain * Math.exp(u)), LOWEST_LOG, 0);
  return coreOf({
    label: 'Ghorbani',
    source: sourceOf('ghorbani'),
    curve,
    smallSignalGain: largestGain,
    saturatedAmplitude: peak === null ? x1 / x3 : peak.value,
    driveRange: peak === null || zeroAgain === null ? null : zeroAgain * Math.exp(peak.at),
  });
}

function gainIssue(gain: number): Issue {
  return {
    path: 'amplifier.model.x4',
    rule: 'must leave a positive gain at some drive',
    value: `a largest gain of ${gain}`,
    remedy: 'bring x4 nearer to zero, or raise x1',
  };
}
