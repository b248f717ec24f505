// A claim against a repeated run: every figure within 0.01 dB, or what 0.01 dB is worth in its unit.
import { type Claim, claimFigures } from './claim.ts';

/** Every figure in dB agrees within this. */
export const CLAIM_TOLERANCE_DB = 0.01;
/** Percentages of amplitude: 20·log10. */
const AMPLITUDE_RATIO = 10 ** (CLAIM_TOLERANCE_DB / 20) - 1;
/** Powers in watts: 10·log10. */
const POWER_RATIO = 10 ** (CLAIM_TOLERANCE_DB / 10) - 1;
/** Beyond this a level in dB is the rounding of double precision, which differs between runtimes. */
const ROUNDING_DB = 150;
/** Ratios and percentages nearer to zero than this are zero. */
const ALMOST_ZERO = 1e-6;

export interface FigureDifference {
  readonly path: string;
  readonly claimed: number | null;
  /** `undefined`: no such figure. */
  readonly repeated: number | null | undefined;
}

/** Figures that differ, and figures that only one of the two has. */
export function compareFigures(claimed: Claim, repeated: Claim): { differences: FigureDifference[]; count: number } {
  const [stated, found] = [claimFigures(claimed), claimFigures(repeated)];
  const differences: FigureDifference[] = [];
  for (const [path, value] of stated) {
    const other = found.get(path);
    if (!agrees(path, value, other)) differences.push({ path, claimed: value, repeated: other });
  }
  const isSameVersion = claimed.report.kneepoint.version === repeated.report.kneepoint.version;
  for (const [path, value] of found) {
    // A newer version may read more.
    if (isSameVersion && !stated.has(path)) differences.push({ path, claimed: null, repeated: value });
  }
  return { differences, count: stated.size };
}

function agrees(path: string, a: number | null, b: number | null | undefined): boolean {
  if (a === null || b === null || b === undefined) return a === b;
  const name = path.split('.').at(-1) ?? '';
  if (/(Count|Index|symbols|seedsRead|seedsOutOfReach|unitsRead|unitsOutOfReach|chosenPass)$/.test(name))
    return a === b;
  const difference = Math.abs(a - b);
  if (isDecibel(path, name)) {
    const isRounding = Math.abs(a) > ROUNDING_DB && Math.abs(b) > ROUNDING_DB && a * b > 0;
    return isRounding || difference <= CLAIM_TOLERANCE_DB;
  }
  const ratio = name.endsWith('W') ? POWER_RATIO : AMPLITUDE_RATIO;
  return difference <= Math.max(ratio * Math.abs(a), ALMOST_ZERO);
}

/** By the name's unit; the ledger of peaks holds dB throughout, except its share of held samples. */
function isDecibel(path: string, name: string): boolean {
  if (path.startsWith('report.peaks.')) return name !== 'driveHeld';
  return /(Db|Dbm|Dbc|DbmPerMHz|db)$/.test(name) || name === 'maximumDb';
}
