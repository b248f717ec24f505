// Amplifiers printed in 3GPP contributions and papers, from shared/tables. Polynomials: x clipped at |x| = 1, or at the
// stated range; taps at the stated rate. Static curves: Saleh and the dB polynomial are held at the drive of their
// largest output, beyond which they fold back; the modified Rapp curves saturate by themselves. |y| = 1 is the largest
// CW output.
import { type PublishedAmplifier, publishedAmplifiers } from '../../../shared/tables/publishedAmplifiers.ts';
import { type Complex, type ComplexSignal, zeros } from '../dsp/complex.ts';
import { largestOnInterval } from './largestOnInterval.ts';
import type { CoreOutcome, ModelCore } from './modelCore.ts';
import { polynomialCore } from './polynomial.ts';
import { decibelPolynomialCurve, modifiedRappCurve, type StaticCurve, salehCurve } from './staticCurves.ts';

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
    source: sourceOf(entry),
    modelRateHz: entry.sample_rate_Hz ?? null,
    terms,
    driveRange: entry.drive_range ?? 1,
    saturatedAmplitude: 'peakOfRange',
    ordersPath: 'amplifier.model.id',
  });
}

/** A static curve with what the operating point needs, in the curve's own scale. */
export interface PublishedCurve {
  readonly curve: StaticCurve;
  readonly smallSignalGain: number;
  /** Largest output, or the limit of the output for ever more drive. */
  readonly saturatedAmplitude: number;
  /** Where the input is held; null when the curve saturates by itself. */
  readonly driveRange: number | null;
}

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
  const driveFactor = published.saturatedAmplitude / published.smallSignalGain;
  const scaled: StaticCurve = {
    amplitude: (r) => published.curve.amplitude(driveFactor * r) / published.saturatedAmplitude,
    phaseRad: (r) => published.curve.phaseRad(driveFactor * r),
  };
  const phase = scaled.phaseRad(0);
  return {
    label: `${id} (published)`,
    source: sourceOf(entry),
    modelRateHz: null,
    driveRange: published.driveRange === null ? null : published.driveRange / driveFactor,
    guarded: true,
    outputBound: 1,
    smallSignalGain: { re: Math.cos(phase), im: Math.sin(phase) },
    ownUnits: { drive: driveFactor, output: published.saturatedAmplitude },
    memorySpanSamples: 1,
    apply: (drive) => applyCurve(scaled, drive),
    staticOutput: (amplitude) => curveOutput(scaled, amplitude),
  };
}

function curveOutput(curve: StaticCurve, amplitude: number): Complex {
  const magnitude = curve.amplitude(amplitude);
  const phase = curve.phaseRad(amplitude);
  return { re: magnitude * Math.cos(phase), im: magnitude * Math.sin(phase) };
}

function applyCurve(curve: StaticCurve, drive: ComplexSignal): ComplexSignal {
  const out = zeros(drive.re.length);
  for (let n = 0; n < drive.re.length; n++) {
    const r = Math.sqrt(drive.re[n] * drive.re[n] + drive.im[n] * drive.im[n]);
    if (r === 0) continue;
    const gain = curve.amplitude(r) / r;
    const phase = curve.phaseRad(r);
    const c = gain * Math.cos(phase);
    const s = gain * Math.sin(phase);
    out.re[n] = drive.re[n] * c - drive.im[n] * s;
    out.im[n] = drive.re[n] * s + drive.im[n] * c;
  }
  return out;
}

function sourceOf(entry: PublishedAmplifier): string {
  return `${entry.description ?? 'published curve'}; values ${entry.status}`;
}
