// Amplifier models printed in 3GPP contributions and papers, with their sources and status marks.
export { publishedAmplifierIds } from './publishedAmplifierIds.ts';

import table from './publishedAmplifiers.json' with { type: 'json' };

/** A term x[n−l]·|x[n−l−m]|^(2k), k = 0, 1, …, with one complex coefficient per k. */
export interface PublishedTerm {
  readonly l: number;
  readonly m: number;
  readonly re: readonly number[];
  readonly im: readonly number[];
}

/** Coefficients of z^0, z^−1, … */
export interface PublishedFilter {
  readonly numerator: readonly number[];
  readonly denominator: readonly number[];
}

/** A published model as printed: polynomial terms, or a static curve whose parameters have their paper's names. */
export interface PublishedAmplifier {
  readonly description: string;
  readonly sample_rate_Hz?: number | null;
  readonly terms?: readonly PublishedTerm[];
  /** Largest input amplitude the polynomial holds for; 1 when absent. */
  readonly drive_range?: number;
  readonly am_am_dBm_poly_highest_first?: readonly number[];
  readonly am_pm_deg_poly_highest_first?: readonly number[];
  readonly input_dBm_range?: readonly number[];
  /** Filters of a Wiener–Hammerstein amplifier, and its polynomial in v·|v|^(2k) between them. */
  readonly input_filter?: PublishedFilter;
  readonly nonlinearity?: { readonly re: readonly number[]; readonly im: readonly number[] };
  readonly output_filter?: PublishedFilter;
  /** Largest amplitude behind the input filter. */
  readonly inner_range?: number;
  readonly status: string;
  readonly [parameter: string]: unknown;
}

export const publishedAmplifierOrigin: string = table.meta.origin;
export const publishedAmplifiers = table.models as unknown as Readonly<Record<string, PublishedAmplifier>>;
