// Filter–nonlinearity–filter amplifier from the figures of a data sheet.
//
//   v = x ⋆ (1 + a·δ(t − T/2))/(1 + a)            echo ahead: a = s/√2·e^(jπ/3), 20·log10 s is the stated strength
//   w = v·G(|v|²)                                  dataSheetCurve.ts, solved by sheetSolver.ts
//   y = w ⋆ (1 + b·δ(t − T))/(1 + b) ⋆ ripple      echo behind: b = s/√2·e^(−jπ/4)
//   ripple: e^(−κ)·Σ Iₙ(κ)·δ(t − n/B), so that |H| = κ·(cos(2πf/B) − 1) neper, κ half the stated ripple
//
// Times are physical: the taps are made at the record's rate, a delay between two samples is shared by both in proportion,
// which keeps Σ|h|. So |y| ≤ (largest static output)·Σ|output taps|. Generating function of Iₙ: Abramowitz and Stegun 9.6.33.
import type { DataSheetSettings } from '../../../shared/schema/dataSheet.ts';
import type { Warning } from '../../../shared/schema/issue.ts';
import type { Complex, ComplexSignal } from '../dsp/complex.ts';
import { zeros } from '../dsp/complex.ts';
import { dbToAmplitudeRatio } from '../dsp/decibels.ts';
import { filterPeriodic } from '../dsp/fir.ts';
import { impossibleFigures, nearMisses, sheetFigures } from './dataSheetChecks.ts';
import { curveAsymptoteDb, curveGainDb, curvePhaseRad, type SheetCurve } from './dataSheetCurve.ts';
import type { CoreOutcome, ModelCore } from './modelCore.ts';
import { conflictOf, type SheetFigures, type SheetSolution, solveSheet } from './sheetSolver.ts';

/** Settled: what the solver found for these figures and, if they cannot be met together, which stand against each other. */
interface Solved {
  readonly solution: SheetSolution;
  readonly conflict: ReturnType<typeof conflictOf>;
}

/** The last sheets solved: a scenario is checked at every edit, its sheet rarely changes. A function of its key alone. */
const solved = new Map<string, Solved>();
const MOST_SOLVED = 16;

function solve(figures: SheetFigures): Solved {
  const key = JSON.stringify(figures);
  const known = solved.get(key);
  if (known) return known;
  const solution = solveSheet(figures);
  const result = { solution, conflict: conflictOf(figures, solution) };
  if (solved.size >= MOST_SOLVED) solved.clear();
  solved.set(key, result);
  return result;
}

/**
 * The amplifier of this sheet for records of `rateHz`, or the pairs of figures that exclude each other.
 * `saturatedPowerDbm`: the amplifier section's, for sheets that state none of their own.
 */
export function dataSheetCore(
  settings: DataSheetSettings,
  rateHz: number,
  saturatedPowerDbm: number | null,
): CoreOutcome {
  const outcome = sheetFigures(settings, saturatedPowerDbm);
  if (outcome.kind === 'invalid') return outcome;
  const { figures } = outcome;
  const { solution, conflict } = solve(figures);
  const issues = impossibleFigures(settings, solution, conflict);
  if (issues.length > 0) return { kind: 'invalid', issues };
  return { kind: 'core', core: coreOf(settings, rateHz, solution.curve, nearMisses(settings, solution, conflict)) };
}

function coreOf(settings: DataSheetSettings, rateHz: number, curve: SheetCurve, notes: readonly Warning[]): ModelCore {
  const echo = settings.memorySpanS > 0 ? dbToAmplitudeRatio(-settings.memoryBelowSignalDb) * Math.SQRT1_2 : 0;
  const span = settings.memorySpanS * rateHz;
  const input = echoTaps(span / 2, echo, Math.PI / 3);
  const output = convolve(echoTaps(span, echo, -Math.PI / 4), rippleTaps(settings, rateHz));
  const stated = settings.saturationCompressionDb;
  const staticOutput = (amplitude: number): Complex => {
    const gain = gainAt(curve, amplitude * amplitude);
    return { re: amplitude * gain.re, im: amplitude * gain.im };
  };
  return {
    label: `Data sheet, ${SHAPE_WORDS[settings.class]}, saturated power ${stated === 'asymptote' ? 'at any drive' : `at ${stated} dB of compression`}`,
    source: null,
    modelRateHz: null,
    // There the curve has fallen by the stated compression to |y| = 1.
    driveRange: stated === 'asymptote' ? null : dbToAmplitudeRatio(stated),
    guarded: true,
    outputBound: dbToAmplitudeRatio(curveAsymptoteDb(curve)) * absoluteSum(output.taps),
    smallSignalGain: { re: 1, im: 0 },
    ownUnits: { drive: 1, output: 1 },
    memorySpanSamples: input.taps.re.length + output.taps.re.length - 1,
    notes,
    apply: (drive) => {
      const v = filterPeriodic(drive, input.taps, input.delaySamples);
      saturateInPlace(v, curve);
      return filterPeriodic(v, output.taps, output.delaySamples);
    },
    staticOutput,
  };
}

const SHAPE_WORDS = {
  classA: 'class A',
  classABSoft: 'class AB, soft',
  gainExpansion: 'gain expansion',
  twoDevice: 'two devices',
} as const;

/** Below this envelope power the gain is small-signal gain to the last digit but one. */
const VANISHING_POWER = 1e-20;

function gainAt(curve: SheetCurve, u: number): Complex {
  if (u < VANISHING_POWER) return { re: 1, im: 0 };
  const gain = dbToAmplitudeRatio(curveGainDb(curve, 10 * Math.log10(u)));
  const phase = curvePhaseRad(curve, u);
  return { re: gain * Math.cos(phase), im: gain * Math.sin(phase) };
}

function saturateInPlace(v: ComplexSignal, curve: SheetCurve): void {
  for (let n = 0; n < v.re.length; n++) {
    const re = v.re[n];
    const im = v.im[n];
    const gain = gainAt(curve, re * re + im * im);
    v.re[n] = re * gain.re - im * gain.im;
    v.im[n] = re * gain.im + im * gain.re;
  }
}

/** Taps and the place of time zero among them. */
interface PlacedTaps {
  readonly taps: ComplexSignal;
  readonly delaySamples: number;
}

/** (1 + a·δ(t − delay))/(1 + a): gain 1 at the carrier. */
function echoTaps(delaySamples: number, magnitude: number, phase: number): PlacedTaps {
  if (magnitude === 0) return { taps: { re: Float64Array.of(1), im: Float64Array.of(0) }, delaySamples: 0 };
  const taps = zeros(Math.floor(delaySamples) + 2);
  const a = { re: magnitude * Math.cos(phase), im: magnitude * Math.sin(phase) };
  const denominator = (1 + a.re) ** 2 + a.im ** 2;
  const inverse = { re: (1 + a.re) / denominator, im: -a.im / denominator };
  addAt(taps, 0, inverse);
  addAt(taps, delaySamples, { re: a.re * inverse.re - a.im * inverse.im, im: a.re * inverse.im + a.im * inverse.re });
  return { taps, delaySamples: 0 };
}

/** A tap between two samples is shared by both. */
function addAt(taps: ComplexSignal, place: number, value: Complex): void {
  const before = Math.floor(place);
  const share = place - before;
  for (const [index, weight] of [
    [before, 1 - share],
    [before + 1, share],
  ]) {
    if (weight === 0) continue;
    taps.re[index] += weight * value.re;
    taps.im[index] += weight * value.im;
  }
}

/** Terms up to here hold all but 1e-5 of a ripple of 6 dB. */
const RIPPLE_TERMS = 4;

function rippleTaps({ gainRippleDb, rippleBandHz }: DataSheetSettings, rateHz: number): PlacedTaps {
  const kappa = (gainRippleDb / 2) * (Math.LN10 / 20);
  if (kappa === 0) return { taps: { re: Float64Array.of(1), im: Float64Array.of(0) }, delaySamples: 0 };
  const step = rateHz / rippleBandHz;
  const centre = Math.ceil(RIPPLE_TERMS * step) + 1;
  const taps = zeros(2 * centre + 1);
  const weights = Array.from({ length: RIPPLE_TERMS + 1 }, (_, n) => besselI(n, kappa));
  const sum = weights[0] + 2 * weights.slice(1).reduce((total, weight) => total + weight, 0);
  weights.forEach((weight, n) => {
    addAt(taps, centre + n * step, { re: weight / sum, im: 0 });
    if (n > 0) addAt(taps, centre - n * step, { re: weight / sum, im: 0 });
  });
  return { taps, delaySamples: centre };
}

/** Iₙ(x) by its power series Σ (x/2)^(2k+n)/(k!(k+n)!), for small x. */
function besselI(n: number, x: number): number {
  let term = 1;
  for (let i = 1; i <= n; i++) term *= x / 2 / i;
  let sum = term;
  for (let k = 1; k < 12; k++) {
    term *= (x * x) / 4 / (k * (k + n));
    sum += term;
  }
  return sum;
}

function convolve(a: PlacedTaps, b: PlacedTaps): PlacedTaps {
  const taps = zeros(a.taps.re.length + b.taps.re.length - 1);
  for (let i = 0; i < a.taps.re.length; i++) {
    for (let k = 0; k < b.taps.re.length; k++) {
      taps.re[i + k] += a.taps.re[i] * b.taps.re[k] - a.taps.im[i] * b.taps.im[k];
      taps.im[i + k] += a.taps.re[i] * b.taps.im[k] + a.taps.im[i] * b.taps.re[k];
    }
  }
  return { taps, delaySamples: a.delaySamples + b.delaySamples };
}

function absoluteSum({ re, im }: ComplexSignal): number {
  return re.reduce((sum, value, i) => sum + Math.sqrt(value * value + im[i] * im[i]), 0);
}
