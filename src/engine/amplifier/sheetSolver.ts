// From the figures of a data sheet to the curve that has them, or to what cannot be met together and by how much.
//
// Saturated power is met by construction (it gives v₂), AM/PM too (it gives φ); the other figures are met by least squares
// over ln p, v₁, logit w, e and, where an intercept is stated, ln h and AM/PM’s share of it, with a weak pull to the class's own shape for what the sheet leaves open.
import { type BoundedProblem, solveBounded } from '../dsp/boundedLeastSquares.ts';
import {
  curveCubicTerm,
  curveGainDb,
  dipShape,
  driveAtCompressionDb,
  driveAtOutputDb,
  expansionShape,
  phaseShapes,
  rappCompressionDb,
  rappDriveDb,
  type SheetCurve,
} from './dataSheetCurve.ts';

export type SheetClass = 'classA' | 'classABSoft' | 'gainExpansion' | 'twoDevice';

/** Figures of a sheet; powers in dB re saturated power, null when not stated. */
export interface SheetFigures {
  readonly class: SheetClass;
  readonly saturationCompressionDb: number | 'asymptote';
  readonly oneDb: number | null;
  readonly threeDb: number | null;
  readonly interceptDb: number | null;
  readonly amPmRad: number;
  readonly amPmBackoffDb: number;
  /** Highest gain over small-signal gain; null for the other classes. */
  readonly expansionDb: number | null;
  readonly dipDb: number;
}

export type FigureName = 'saturation' | 'oneDb' | 'threeDb' | 'interceptDb' | 'expansionDb';

export interface SheetMiss {
  readonly name: FigureName;
  /** What the curve reads over what is stated, dB. */
  readonly missDb: number;
}

export interface SheetSolution {
  readonly curve: SheetCurve;
  /** All figures the search had to meet. */
  readonly misses: readonly SheetMiss[];
}

/** A figure counts as met within these, dB. */
export const TOLERANCE_DB: Readonly<Record<FigureName, number>> = {
  saturation: 0.05,
  oneDb: 0.1,
  threeDb: 0.1,
  interceptDb: 0.3,
  expansionDb: 0.1,
};

const FIGURES = ['oneDb', 'threeDb', 'interceptDb', 'expansionDb'] as const;

/** p, v₁ re the drive of the knee, w of each class where the sheet leaves them open; common practice, no source. */
const CLASS_SHAPES: Readonly<Record<SheetClass, readonly [number, number, number]>> = {
  classA: [3, -2, 0.15],
  classABSoft: [2, -3, 0.5],
  gainExpansion: [2, -2, 0.2],
  twoDevice: [2.5, -2, 0.15],
};

const LOG_SHARPNESS = [Math.log(0.35), Math.log(40)] as const;
/** An intercept is stated where products rise 3 dB per dB: the late term must not reach down there. */
const LEAST_SHARPNESS_WITH_INTERCEPT = 2;
const EARLY_KNEE_DB = [-30, 12] as const;
/** The early knee of a stated intercept lies at most this far below the drive of 1 dB compression. */
const EARLIEST_KNEE_DB = 15;
/** ln h: half the phase is there 5 dB below the knee, unless a stated intercept asks for another onset. */
const LOG_HALF_POWER = [Math.log(0.08), Math.log(0.3), Math.log(1)] as const;
/** AM/PM may make this share of the cubic term that a stated intercept allows. */
const PHASE_SHARE = [0.02, 0.995] as const;
const LOGIT_SHARE = [-9, 4] as const;
const MOST_EXPANSION_DB = 12;
/** Residuals are in units of this, so that the pull to the class's shape moves no figure that can be met. */
const RESIDUAL_DB = 0.01;
const PULL = 0.1;
const NEVER_REACHED_DB = 25;
/** Share of the tolerance at which no other start is tried. */
const CLOSE_ENOUGH = 0.4;

function askedOf(figures: SheetFigures): FigureName[] {
  const stated = FIGURES.filter((name) => figures[name] !== null);
  return figures.saturationCompressionDb === 'asymptote' ? stated : ['saturation', ...stated];
}

/** The curve nearest to all figures. Deterministic. */
export function solveSheet(figures: SheetFigures): SheetSolution {
  const asked = askedOf(figures);
  const problem = problemOf(figures, asked);
  let best: { readonly solution: SheetSolution; readonly worst: number } | null = null;
  for (const start of startsOf(figures)) {
    const curve = curveOf(solveBounded(problem, start).x, figures);
    const misses = missesOf(curve, figures, asked);
    const worst = Math.max(0, ...misses.map(({ name, missDb }) => Math.abs(missDb) / TOLERANCE_DB[name]));
    if (best === null || worst < best.worst) best = { solution: { curve, misses }, worst };
    if (worst < CLOSE_ENOUGH) break;
  }
  if (best === null) throw new RangeError('solveSheet: no start');
  return best.solution;
}

/** The figure that is missed most in its tolerance, and the other that stands against it; null when all are met. */
export interface SheetConflict extends SheetMiss {
  readonly against: FigureName | 'dip';
}

export function conflictOf(figures: SheetFigures, { misses }: SheetSolution): SheetConflict | null {
  const ratio = ({ name, missDb }: SheetMiss) => Math.abs(missDb) / TOLERANCE_DB[name];
  const missed = misses.filter((miss) => ratio(miss) > 1).sort((a, b) => ratio(b) - ratio(a));
  if (missed.length === 0) return null;
  const [worst] = missed;
  let against: SheetConflict['against'] = 'saturation';
  let least = 1;
  for (const other of misses) {
    if (other.name === worst.name || other.name === 'saturation') continue;
    const without = solveSheet({ ...figures, [other.name]: null });
    const left = Math.max(...without.misses.map(ratio));
    if (left < least) [against, least] = [other.name, left];
  }
  if (against === 'saturation' && figures.dipDb > 0) {
    const flat = solveSheet({ ...figures, dipDb: 0 });
    if (Math.max(...flat.misses.map(ratio)) < 1) against = 'dip';
  }
  return { ...worst, against };
}

function problemOf(figures: SheetFigures, asked: readonly FigureName[]): BoundedProblem {
  const centre = centreOf(figures);
  const scales = [1, 3, 1, 1, 0.3, 1];
  const hasIntercept = figures.interceptDb !== null;
  const leastLog = figures.interceptDb === null ? LOG_SHARPNESS[0] : Math.log(LEAST_SHARPNESS_WITH_INTERCEPT);
  const kneeDb = figures.oneDb === null ? -3 : figures.oneDb + 1;
  const earliest = figures.interceptDb === null ? EARLY_KNEE_DB[0] : kneeDb - EARLIEST_KNEE_DB;
  return {
    lowest: [leastLog, earliest, LOGIT_SHARE[0], 0, PHASE_SHARE[0], LOG_HALF_POWER[hasIntercept ? 0 : 1]],
    highest: [
      LOG_SHARPNESS[1],
      Math.max(EARLY_KNEE_DB[1], earliest),
      LOGIT_SHARE[1],
      figures.expansionDb === null ? 0 : MOST_EXPANSION_DB,
      PHASE_SHARE[1],
      LOG_HALF_POWER[hasIntercept ? 2 : 1],
    ],
    residuals: (x) => {
      const misses = missesOf(curveOf(x, figures), figures, asked);
      return [
        ...misses.map(({ missDb }) => missDb / RESIDUAL_DB),
        ...x.map((value, i) => (PULL * (value - centre[i])) / scales[i]),
      ];
    },
  };
}

function centreOf({ class: shape, oneDb, expansionDb }: SheetFigures): number[] {
  const [sharpness, early, share] = CLASS_SHAPES[shape];
  return [
    Math.log(sharpness),
    oneDb === null ? early : oneDb + 1,
    Math.log(share / (1 - share)),
    expansionDb ?? 0,
    0.7,
    LOG_HALF_POWER[1],
  ];
}

function startsOf(figures: SheetFigures): number[][] {
  const [sharpness, early, share, expansion, phase, half] = centreOf(figures);
  const starts = [[sharpness, early, share, expansion, phase, half]];
  for (const log of [1.2, 0.1, 2.5]) {
    for (const knee of [0, -6]) {
      for (const logit of [-3, 0.5]) starts.push([log, early + knee, logit, 1.5 * expansion, phase, half]);
    }
  }
  return starts;
}

/** Curve of the unknowns, with v₂ from the saturated power and the phase from AM/PM. */
function curveOf(x: readonly number[], figures: SheetFigures): SheetCurve {
  const [logSharpness, earlyKneeDb, logit, expansionDb, phaseShare, logHalfPower] = x;
  const earlyShare = 1 / (1 + Math.exp(-logit));
  const lateSharpness = Math.exp(logSharpness);
  const rest = 1 - earlyShare;
  const { saturationCompressionDb: stated, dipDb } = figures;
  let lateKneeDb: number;
  if (stated === 'asymptote') lateKneeDb = -(earlyShare * earlyKneeDb + expansionDb) / rest;
  else {
    const shaped = stated + expansionDb * expansionShape(stated) - dipDb * dipShape(stated);
    const late = (shaped - earlyShare * rappCompressionDb(stated - earlyKneeDb, 1)) / rest;
    lateKneeDb = stated - rappDriveDb(Math.max(late, 1e-3), lateSharpness);
  }
  const curve = {
    earlyShare,
    earlyKneeDb,
    lateKneeDb,
    lateSharpness,
    expansionDb,
    dipDb,
    phaseRad: 0,
    latePhaseShare: 0,
    phaseHalfPower: Math.exp(logHalfPower),
  };
  return figures.amPmRad === 0 ? curve : { ...curve, ...phaseOf(curve, figures, phaseShare) };
}

/** Far above any knee: both phase shapes are 1 there. */
const HIGHEST_DRIVE_DB = 80;
function phaseOf(
  curve: SheetCurve,
  { amPmRad, amPmBackoffDb, interceptDb }: SheetFigures,
  phaseShare: number,
): Pick<SheetCurve, 'phaseRad' | 'latePhaseShare'> {
  const drive = driveAtOutputDb(curve, -amPmBackoffDb) ?? HIGHEST_DRIVE_DB;
  const [early, late] = phaseShapes(10 ** (drive / 10), curve.phaseHalfPower);
  if (interceptDb === null) return { phaseRad: amPmRad / early, latePhaseShare: 0 };
  // (1 − m)·φ/h ≤ t with φ = amPm/((1 − m)·early + m·late).
  const allowed = phaseShare * 10 ** (-interceptDb / 10);
  const excess = Math.abs(amPmRad) / curve.phaseHalfPower - allowed * early;
  const latePhaseShare = excess <= 0 ? 0 : 1 / (1 + (allowed * late) / excess);
  return { phaseRad: amPmRad / ((1 - latePhaseShare) * early + latePhaseShare * late), latePhaseShare };
}

function missesOf(curve: SheetCurve, figures: SheetFigures, asked: readonly FigureName[]): SheetMiss[] {
  return asked.map((name) => ({ name, missDb: readFigure(curve, figures, name) }));
}

/** What the curve reads over what is stated, dB. */
function readFigure(curve: SheetCurve, figures: SheetFigures, name: FigureName): number {
  switch (name) {
    case 'saturation': {
      const stated = figures.saturationCompressionDb as number;
      return stated + curveGainDb(curve, stated);
    }
    case 'oneDb':
      return (driveAtCompressionDb(curve, 1) ?? NEVER_REACHED_DB) - 1 - (figures.oneDb ?? 0);
    case 'threeDb':
      return (driveAtCompressionDb(curve, 3) ?? NEVER_REACHED_DB) - 3 - (figures.threeDb ?? 0);
    case 'interceptDb':
      return -10 * Math.log10(curveCubicTerm(curve) + 1e-12) - (figures.interceptDb ?? 0);
    case 'expansionDb':
      return highestGainDb(curve) - (figures.expansionDb ?? 0);
  }
}

const GAIN_STEP_DB = 0.25;

/** Largest gain over small-signal gain, by a scan and the parabola through its highest three points. */
function highestGainDb(curve: SheetCurve): number {
  let highest = 0;
  let [before, here] = [curveGainDb(curve, -40), curveGainDb(curve, -40 + GAIN_STEP_DB)];
  for (let v = -40 + 2 * GAIN_STEP_DB; v < 20; v += GAIN_STEP_DB) {
    const after = curveGainDb(curve, v);
    if (here >= before && here > after) {
      const bend = before - 2 * here + after;
      highest = Math.max(highest, here - (after - before) ** 2 / (8 * bend));
    }
    [before, here] = [here, after];
  }
  return highest;
}
