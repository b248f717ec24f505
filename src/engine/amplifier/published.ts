// Amplifiers printed in 3GPP contributions and papers, from shared/tables. Polynomials: x clipped at |x| = 1, or at the
// stated range; taps at the stated rate. The Wiener–Hammerstein amplifier is held by the amplitude behind its first filter.
// Static curves: Saleh and the dB polynomial are held at the drive of their largest output, beyond which they fold back;
// the modified Rapp curves saturate by themselves. |y| = 1 is the largest CW output.
import { publishedLiterature } from '../../../shared/tables/amplifierLiterature.ts';
import { type PublishedAmplifier, publishedAmplifiers } from '../../../shared/tables/publishedAmplifiers.ts';
import { largestOnInterval } from './largestOnInterval.ts';
import type { CoreOutcome, ModelCore } from './modelCore.ts';
import { polynomialCore } from './polynomial.ts';
import { type ScaledCurve, staticCurveCore } from './staticCurveCore.ts';
import { decibelPolynomialCurve, modifiedRappCurve, salehCurve } from './staticCurves.ts';
import { wienerHammersteinCore } from './wienerHammerstein.ts';

/** Cores hold no state, and finding a polynomial's largest output takes a while: each is made once. */
const made = new Map<string, CoreOutcome>();

/** The published model of this id. Throws RangeError for an id the table does not hold. */
export function publishedCore(id: string): CoreOutcome {
  const known = made.get(id);
  if (known !== undefined) return known;
  const core = makeCore(id);
  made.set(id, core);
  return core;
}

function makeCore(id: string): CoreOutcome {
  const entry = publishedAmplifiers[id];
  if (entry === undefined) throw new RangeError(`publishedCore: no published amplifier is called ${id}`);
  if (entry.terms !== undefined) return polynomialOf(id, entry);
  if (entry.nonlinearity !== undefined) return { kind: 'core', core: wienerHammersteinOf(id, entry) };
  const curve = curveOf(id, entry);
  if (curve === null) throw new RangeError(`publishedCore: ${id} has neither terms nor a known curve`);
  return { kind: 'core', core: staticCore(id, entry, curve) };
}

function polynomialOf(id: string, entry: PublishedAmplifier): CoreOutcome {
  const terms = (entry.terms ?? []).flatMap((term) =>
    term.re.map((re, k) => ({
      delaySamples: term.l,
      envelopeDelaySamples: term.m,
      nonlinearOrder: 2 * k + 1,
      re,
      im: term.im[k],
    })),
  );
  return polynomialCore({
    label: `${id} (published)`,
    source: sourceOf(id, entry),
    modelRateHz: entry.sample_rate_Hz ?? null,
    terms,
    driveRange: entry.drive_range ?? 1,
    saturatedAmplitude: 'peakOfRange',
    ordersPath: 'amplifier.model.id',
  });
}

function wienerHammersteinOf(id: string, entry: PublishedAmplifier): ModelCore {
  const { input_filter, nonlinearity, output_filter, inner_range } = entry;
  if (!input_filter || !nonlinearity || !output_filter || inner_range === undefined) {
    throw new RangeError(`publishedCore: ${id} lacks a filter, its polynomial or the range of it`);
  }
  return wienerHammersteinCore({
    label: `${id} (published)`,
    source: sourceOf(id, entry),
    inputFilter: input_filter,
    coefficients: nonlinearity.re.map((re, k) => ({ re, im: nonlinearity.im[k] })),
    outputFilter: output_filter,
    innerRange: inner_range,
  });
}

type PublishedCurve = Omit<ScaledCurve, 'label' | 'source'>;

function curveOf(id: string, entry: PublishedAmplifier): PublishedCurve | null {
  const p = entry as unknown as Readonly<Record<string, number>>;
  if (id === 'Saleh_1981_TWT') {
    return {
      curve: salehCurve(p['alpha_a'], p['beta_a'], p['alpha_p'], p['beta_p']),
      smallSignalGain: p['alpha_a'],
      saturatedAmplitude: p['alpha_a'] / (2 * Math.sqrt(p['beta_a'])),
      driveRange: 1 / Math.sqrt(p['beta_a']),
    };
  }
  if (id === 'mmwave_modified_Rapp_R4-163314')
    return rappOf(p['G'], p['Vsat'], p['p'], 'rad', [p['A'], p['B'], p['q'], p['q']]);
  if (id === 'IEEE_802.11ad_60GHz_modified_Rapp') {
    return rappOf(p['g'], p['Asat'], p['s'], 'deg', [p['alpha'], p['beta'], p['q1'], p['q2']]);
  }
  return entry.am_am_dBm_poly_highest_first === undefined ? null : decibelCurveOf(entry);
}

function rappOf(
  gain: number,
  saturatedAmplitude: number,
  sharpness: number,
  phaseUnit: 'rad' | 'deg',
  [alpha, beta, phaseOrder, phaseSaturationOrder]: readonly [number, number, number, number],
): PublishedCurve {
  const parameters = { gain, saturatedAmplitude, sharpness, alpha, beta, phaseUnit, phaseOrder, phaseSaturationOrder };
  return { curve: modifiedRappCurve(parameters), smallSignalGain: gain, saturatedAmplitude, driveRange: null };
}

/** Below this input the polynomial ripples; its gain is taken as constant there (the entry's own warning). */
const CONSTANT_GAIN_BELOW_DBM = -30;

function decibelCurveOf(entry: PublishedAmplifier): PublishedCurve {
  const computed = entry['computed'] as { readonly Pout_max_at_in_dBm: number };
  const heldAtDbm = computed.Pout_max_at_in_dBm;
  const curve = decibelPolynomialCurve(
    entry.am_am_dBm_poly_highest_first ?? [],
    entry.am_pm_deg_poly_highest_first ?? [],
    CONSTANT_GAIN_BELOW_DBM,
    heldAtDbm,
  );
  const driveRange = 10 ** (heldAtDbm / 20);
  const small = 10 ** (CONSTANT_GAIN_BELOW_DBM / 20);
  return {
    curve,
    smallSignalGain: curve.amplitude(small) / small,
    // The printed place of the peak is rounded, its height is not taken from there.
    saturatedAmplitude: largestOnInterval((r) => curve.amplitude(r), 0, driveRange).value,
    driveRange,
  };
}

function staticCore(id: string, entry: PublishedAmplifier, published: PublishedCurve): ModelCore {
  return staticCurveCore({ ...published, label: `${id} (published)`, source: sourceOf(id, entry) });
}

/** The document it is printed in, with the mark of its values. */
function sourceOf(id: string, entry: PublishedAmplifier): string {
  return `${publishedLiterature(id)?.source ?? id}; values ${entry.status}`;
}
