// Polynomial amplifiers: memory polynomial, generalized memory polynomial, and published coefficient sets.
//
//   raw:    Y = Σ a_i · X[n−l] · |X[n−l−m]|^(k−1),  |X| ≤ R
//   scaled: y = Y/A at X = c·x, so a'_i = a_i·c^k/A, where A is the raw amplitude of saturated power and
//           c = A/|Σ a_i over k = 1| makes the static small-signal gain 1. The drive range becomes R/c.
//
// Bound for any drive held to the range: |y| ≤ Σ over delay pairs. A pair with m = 0 adds max_{r ≤ R'}|P(r)|,
// P(r) = Σ a'_i·r^k; a pair with a cross term adds R'·max_{r ≤ R'}|P(r)/r|, since |x[n−l]| and |x[n−l−m]| are then free
// of each other. Pairs with m = 0 at the same l count as one polynomial.

import type { Issue } from '../../../shared/schema/issue.ts';
import type { GeneralizedMemoryPolynomialSettings, MemoryPolynomialSettings } from '../../../shared/schema/scenario.ts';
import { applyBasis, type BasisStructure, type BasisTerm, memorySpan } from '../basis/memoryPolynomial.ts';
import type { Complex, ComplexSignal } from '../dsp/complex.ts';
import { zeros } from '../dsp/complex.ts';
import { largestOnInterval } from './largestOnInterval.ts';
import type { CoreOutcome, ModelCore } from './modelCore.ts';

export interface PolynomialTerm extends BasisTerm, Complex {}

export interface PolynomialModel {
  readonly label: string;
  readonly source: string | null;
  readonly modelRateHz: number | null;
  readonly terms: readonly PolynomialTerm[];
  readonly driveRange: number | 'none';
  readonly saturatedAmplitude: number | 'peakOfRange';
  /** Scenario path of the list of orders, for an issue about a missing linear term. */
  readonly ordersPath: string;
}

export function memoryPolynomialCore(settings: MemoryPolynomialSettings): CoreOutcome {
  const { nonlinearOrders, memoryDepth, coefficients } = settings;
  const wanted = nonlinearOrders.length * memoryDepth;
  const path = 'amplifier.model.coefficients';
  if (coefficients.length !== wanted) {
    const rule = `must hold ${nonlinearOrders.length} orders × ${memoryDepth} delays = ${wanted} numbers`;
    return invalid([
      {
        path,
        rule,
        value: `${coefficients.length} numbers`,
        remedy: 'list them delay by delay, in each delay order by order',
      },
    ]);
  }
  const terms = coefficients.map((coefficient, i) => ({
    delaySamples: Math.floor(i / nonlinearOrders.length),
    envelopeDelaySamples: 0,
    nonlinearOrder: nonlinearOrders[i % nonlinearOrders.length],
    re: coefficient.re,
    im: coefficient.im,
  }));
  return polynomialCore({
    label: `Memory polynomial, order ${nonlinearOrders.at(-1)}, memory depth ${memoryDepth}`,
    source: null,
    modelRateHz: rateOf(settings.modelRateHz),
    terms,
    driveRange: settings.driveRange,
    saturatedAmplitude: settings.saturatedAmplitude,
    ordersPath: 'amplifier.model.nonlinearOrders',
  });
}

export function generalizedMemoryPolynomialCore(settings: GeneralizedMemoryPolynomialSettings): CoreOutcome {
  const issues: Issue[] = [];
  const terms = settings.terms.flatMap((term, i) => {
    if (term.coefficients.length !== term.nonlinearOrders.length) {
      const path = `amplifier.model.terms.${i}.coefficients`;
      const rule = `must hold ${term.nonlinearOrders.length} numbers, one for each nonlinear order`;
      issues.push({
        path,
        rule,
        value: `${term.coefficients.length} numbers`,
        remedy: 'give one coefficient for each order',
      });
    }
    return term.coefficients.map((coefficient, k) => ({
      delaySamples: term.delaySamples,
      envelopeDelaySamples: term.envelopeDelaySamples,
      nonlinearOrder: term.nonlinearOrders[k],
      re: coefficient.re,
      im: coefficient.im,
    }));
  });
  if (issues.length > 0) return invalid(issues);
  return polynomialCore({
    label: `Generalized memory polynomial, ${terms.length} coefficients`,
    source: null,
    modelRateHz: rateOf(settings.modelRateHz),
    terms,
    driveRange: settings.driveRange,
    saturatedAmplitude: settings.saturatedAmplitude,
    ordersPath: 'amplifier.model.terms',
  });
}

/** Scales a polynomial model and finds its bound; issues when it has no linear term or no peak to scale by. */
export function polynomialCore(model: PolynomialModel): CoreOutcome {
  const gain = staticSum(model.terms.filter((term) => term.nonlinearOrder === 1));
  const gainMagnitude = Math.sqrt(gain.re * gain.re + gain.im * gain.im);
  const issues = polynomialIssues(model, gainMagnitude);
  if (issues.length > 0) return invalid(issues);
  const rawRange = model.driveRange === 'none' ? null : model.driveRange;
  const saturated =
    model.saturatedAmplitude === 'peakOfRange' ? peakOf(model.terms, rawRange as number) : model.saturatedAmplitude;
  const driveFactor = saturated / gainMagnitude;
  const scaled = model.terms.map((term) => {
    const factor = driveFactor ** term.nonlinearOrder / saturated;
    return { ...term, re: factor * term.re, im: factor * term.im };
  });
  return {
    kind: 'core',
    core: {
      ...scaledCore(model, scaled, rawRange === null ? null : rawRange / driveFactor, gainMagnitude, gain),
      ownUnits: { drive: driveFactor, output: saturated },
    },
  };
}

function scaledCore(
  model: PolynomialModel,
  terms: readonly PolynomialTerm[],
  driveRange: number | null,
  gainMagnitude: number,
  gain: Complex,
): Omit<ModelCore, 'ownUnits'> {
  const structure: BasisStructure = { terms };
  const coefficients = coefficientsOf(terms);
  return {
    label: model.label,
    source: model.source,
    modelRateHz: model.modelRateHz,
    driveRange,
    guarded: driveRange !== null,
    outputBound: driveRange === null ? null : boundOf(terms, driveRange),
    smallSignalGain: { re: gain.re / gainMagnitude, im: gain.im / gainMagnitude },
    memorySpanSamples: memorySpan(structure),
    apply: (drive) => applyBasis(structure, coefficients, drive),
    staticOutput: (amplitude) => staticOutput(terms, amplitude),
  };
}

function polynomialIssues(model: PolynomialModel, gainMagnitude: number): Issue[] {
  const issues: Issue[] = [];
  if (!model.terms.every((term) => Number.isFinite(term.re) && Number.isFinite(term.im))) {
    issues.push({
      path: 'amplifier.model',
      rule: 'must have finite coefficients',
      value: 'an infinite one',
      remedy: 'correct the coefficients',
    });
  }
  // A sum of rounding errors is no linear term either.
  if (!(gainMagnitude > 1e-12)) {
    issues.push({
      path: model.ordersPath,
      rule: 'must give a linear gain: coefficients of order 1 whose sum over the delays is not zero',
      value: `a small-signal gain of ${gainMagnitude}`,
      remedy: 'add order 1 with its coefficients',
    });
  }
  if (model.saturatedAmplitude === 'peakOfRange' && model.driveRange === 'none') {
    issues.push({
      path: 'amplifier.model.saturatedAmplitude',
      rule: 'must be a number when there is no drive range to find the peak in',
      value: '"peakOfRange"',
      remedy: 'give the saturated amplitude, or a drive range',
    });
  }
  return issues;
}

function coefficientsOf(terms: readonly PolynomialTerm[]): ComplexSignal {
  const coefficients = zeros(terms.length);
  terms.forEach((term, i) => {
    coefficients.re[i] = term.re;
    coefficients.im[i] = term.im;
  });
  return coefficients;
}

function staticSum(terms: readonly Complex[]): Complex {
  return terms.reduce<Complex>((sum, term) => ({ re: sum.re + term.re, im: sum.im + term.im }), { re: 0, im: 0 });
}

/** Σ a_i·r^k: the response to a constant drive of amplitude r. */
function staticOutput(terms: readonly PolynomialTerm[], r: number): Complex {
  let re = 0;
  let im = 0;
  for (const term of terms) {
    const power = r ** term.nonlinearOrder;
    re += term.re * power;
    im += term.im * power;
  }
  return { re, im };
}

function magnitudeOf(terms: readonly PolynomialTerm[], r: number): number {
  const { re, im } = staticOutput(terms, r);
  return Math.sqrt(re * re + im * im);
}

/** Largest |y| for a constant drive up to the range. */
function peakOf(terms: readonly PolynomialTerm[], range: number): number {
  return largestOnInterval((r) => magnitudeOf(terms, r), 0, range).value;
}

function boundOf(terms: readonly PolynomialTerm[], range: number): number {
  const pairs = new Map<string, PolynomialTerm[]>();
  for (const term of terms) {
    const key = `${term.delaySamples}/${term.envelopeDelaySamples}`;
    pairs.set(key, [...(pairs.get(key) ?? []), term]);
  }
  let bound = 0;
  for (const pair of pairs.values()) {
    const isCross = pair[0].envelopeDelaySamples !== 0;
    const envelope = isCross ? pair.map((term) => ({ ...term, nonlinearOrder: term.nonlinearOrder - 1 })) : pair;
    bound += (isCross ? range : 1) * peakOf(envelope, range);
  }
  return bound;
}

function rateOf(modelRateHz: number | 'any'): number | null {
  return modelRateHz === 'any' ? null : modelRateHz;
}

function invalid(issues: readonly Issue[]): CoreOutcome {
  return { kind: 'invalid', issues };
}
