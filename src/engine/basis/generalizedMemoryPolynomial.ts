// Generalized memory polynomial: a memory polynomial and cross terms between a sample and its neighbours' envelopes.
//
//   y[n] = Σ_{k,l}   a_kl  · x[n−l]·|x[n−l]|^(k−1)
//        + Σ_{k,l,m} b_klm · x[n−l]·|x[n−l−m]|^(k−1)     lagging envelope, m = 1 … M_b
//        + Σ_{k,l,m} c_klm · x[n−l]·|x[n−l+m]|^(k−1)     leading envelope, m = 1 … M_c
//
// Source: Morgan, Ma, Kim, Zierdt and Pastalan 2006, IEEE Trans. Signal Process. 54(10), eq. (24) (from memory).
import { type BasisStructure, type BasisTerm, memoryPolynomialStructure } from './memoryPolynomial.ts';

/** Which cross terms: both sides share orders and signal delays. */
export interface CrossTerms {
  /** Orders k ≥ 2: order 1 has no envelope, so it would repeat the linear term. */
  readonly nonlinearOrders: readonly number[];
  /** Signal delays l = 0 … memoryDepth−1. */
  readonly memoryDepth: number;
  readonly laggingEnvelopeDelays: number;
  readonly leadingEnvelopeDelays: number;
}

/**
 * Terms of the memory polynomial first (index l·orderCount + k), then the cross terms: signal delay by signal delay, in
 * each the lagging envelopes m = 1, 2, …, then the leading ones m = −1, −2, …, in each order by order.
 * Count: K·L + K_c·L_c·(M_b + M_c). Throws RangeError for cross terms of order 1.
 */
export function generalizedMemoryPolynomialStructure(
  nonlinearOrders: readonly number[],
  memoryDepth: number,
  cross: CrossTerms,
): BasisStructure {
  if (cross.nonlinearOrders.some((order) => order < 2)) {
    throw new RangeError(`generalizedMemoryPolynomial: cross-term orders ${cross.nonlinearOrders} must be 2 or more`);
  }
  const terms: BasisTerm[] = [...memoryPolynomialStructure(nonlinearOrders, memoryDepth).terms];
  for (let delaySamples = 0; delaySamples < cross.memoryDepth; delaySamples++) {
    for (const envelopeDelaySamples of envelopeDelays(cross)) {
      for (const nonlinearOrder of cross.nonlinearOrders) {
        terms.push({ delaySamples, envelopeDelaySamples, nonlinearOrder });
      }
    }
  }
  return { terms };
}

function envelopeDelays({ laggingEnvelopeDelays, leadingEnvelopeDelays }: CrossTerms): number[] {
  const delays: number[] = [];
  for (let m = 1; m <= laggingEnvelopeDelays; m++) delays.push(m);
  for (let m = 1; m <= leadingEnvelopeDelays; m++) delays.push(-m);
  return delays;
}
