// What the literature says of each amplifier model: its formula, its source, and whether the source was read or recalled.
// Curves with parameters of the user's own here; printed models from publishedAmplifiers.json.
import { type PublishedAmplifier, publishedAmplifierOrigin, publishedAmplifiers } from './publishedAmplifiers.ts';

export type LiteratureKind = 'saleh' | 'rapp' | 'modifiedRapp' | 'ghorbani';

export interface LiteratureEntry {
  readonly name: string;
  /** Amplitude, then phase; r is the drive's amplitude. */
  readonly formulas: readonly string[];
  readonly source: string;
  /** Of the printed values, or of the formula where the values are the user's. */
  readonly status: 'read' | 'from memory';
  /** How firm the status is, or what the source leaves open; empty: nothing to add. */
  readonly note: string;
}

const RAPP_AMPLITUDE = 'A = g·r/(1 + (g·r/A_sat)^(2p))^(1/(2p))';

export const literatureCurves: Readonly<Record<LiteratureKind, LiteratureEntry>> = {
  saleh: {
    name: 'Saleh',
    formulas: ['A = α_a·r/(1 + β_a·r²)', 'Φ = α_φ·r²/(1 + β_φ·r²), rad'],
    source: 'Saleh 1981, IEEE Trans. Commun. 29(11), eqs (3) and (4)',
    status: 'from memory',
    note: 'values of the paper’s travelling-wave tube unless changed',
  },
  rapp: {
    name: 'Rapp',
    formulas: [RAPP_AMPLITUDE, 'Φ = 0'],
    source: 'Rapp 1991, ECSC',
    status: 'from memory',
    note: '',
  },
  modifiedRapp: {
    name: 'Modified Rapp',
    formulas: [RAPP_AMPLITUDE, 'Φ = α·r^q₁/(1 + (r/β)^q₂), degrees'],
    source: 'IEEE 802.11-09/0296 and 3GPP R4-163314',
    status: 'from memory',
    note: '',
  },
  ghorbani: {
    name: 'Ghorbani',
    formulas: ['A = x₁·r^x₂/(1 + x₃·r^x₂) + x₄·r', 'Φ = y₁·r^y₂/(1 + y₃·r^y₂) + y₄·r, rad'],
    source: 'Ghorbani and Sheikhan 1991, IEE Digital Processing of Signals in Communications',
    status: 'from memory',
    note: 'values of the paper’s solid-state amplifier unless changed',
  },
};

/** What is said of a published model; null for an id the table does not hold. */
export function publishedLiterature(id: string): LiteratureEntry | null {
  const entry = publishedAmplifiers[id];
  if (entry === undefined) return null;
  return {
    name: id.replaceAll('_', ' '),
    formulas: formulasOf(entry),
    source: sourceOf(id, entry),
    status: entry.status.startsWith('read') ? 'read' : 'from memory',
    note: noteOf(entry),
  };
}

function formulasOf(entry: PublishedAmplifier): string[] {
  if (entry.terms !== undefined) return [polynomialFormula(entry)];
  if (entry.nonlinearity !== undefined) {
    const count = entry.nonlinearity.re.length;
    return [`v = x ⋆ h₁;  w = Σ bₖ·v·|v|^(2k), ${count} coefficients;  y = w ⋆ h₂`];
  }
  const degree = (entry.am_am_dBm_poly_highest_first?.length ?? 1) - 1;
  if (degree > 0) return [`output dBm and phase: polynomials of degree ${degree} in the input dBm`];
  const { am_am, am_pm_rad, am_pm_deg } = entry as { readonly [name: string]: unknown };
  const phase = am_pm_rad === undefined ? `Φ = ${String(am_pm_deg)}, degrees` : `Φ = ${String(am_pm_rad)}, rad`;
  return [`A = ${String(am_am)}`, `${phase}; ${parametersOf(entry)}`];
}

function polynomialFormula({ terms = [] }: PublishedAmplifier): string {
  const count = terms.reduce((sum, { re }) => sum + re.length, 0);
  const isStatic = terms.every(({ l, m }) => l === 0 && m === 0);
  if (isStatic) return `y = Σ aₖ·x·|x|^(2k), ${count} coefficients`;
  const delays = new Set(terms.map(({ l }) => l)).size;
  const isCrossed = terms.some(({ m }) => m !== 0);
  if (!isCrossed) return `y[n] = Σ aₗₖ·x[n−l]·|x[n−l]|^(2k), ${delays} delays, ${count} coefficients`;
  return `y[n] = Σ aₗₘₖ·x[n−l]·|x[n−l−m]|^(2k), ${terms.length} pairs of delays, ${count} coefficients`;
}

/** Numbers of an entry by their paper's names. */
function parametersOf(entry: PublishedAmplifier): string {
  return Object.entries(entry)
    .flatMap(([name, value]) => (typeof value === 'number' ? [`${name} = ${value}`.replace('-', '−')] : []))
    .join(', ');
}

/** Models whose description does not name their document: the first eight are of one contribution. */
const DOCUMENTS: Readonly<Record<string, string>> = {
  'UE_4GHz_R4-163314': '3GPP R4-163314',
  'mmwave_modified_Rapp_R4-163314': '3GPP R4-163314, modified Rapp for millimetre waves',
  'IEEE_802.11ad_60GHz_modified_Rapp': 'IEEE 802.11-09/0296, modified Rapp at 60 GHz',
  Saleh_1981_TWT: literatureCurves.saleh.source,
};

function sourceOf(id: string, { description, terms, drive_range }: PublishedAmplifier): string {
  const document = DOCUMENTS[id];
  if (document !== undefined) return description === undefined ? document : `${description}; ${document}`;
  const isContribution = terms !== undefined && drive_range === undefined;
  return isContribution ? `${description}; ${publishedAmplifierOrigin}` : description;
}

/** The rest of a status such as "read (all nine coefficients confirmed …)", and what the rate of the taps is. */
function noteOf(entry: PublishedAmplifier): string {
  const inBrackets = /\((.*)\)/.exec(entry.status)?.[1] ?? '';
  const rate = entry['tap_rate_note'];
  return [inBrackets, typeof rate === 'string' ? rate : ''].filter((part) => part !== '').join('; ');
}
