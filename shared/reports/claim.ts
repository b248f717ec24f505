// A claim: one run's readings with everything needed to repeat it. It is the data inside a claim card.
import type { Report } from '../schema/report.ts';
import type { SpreadResult } from '../schema/studyReport.ts';
import type { ReadReport } from './runTable.ts';

export const CLAIM_FORMAT = 1;

export interface Claim {
  readonly kneepointClaim: typeof CLAIM_FORMAT;
  /** Without its arrays; the conditions of its spectra stay. */
  readonly report: ReadReport;
  /** Over other seeds of the same scenario; null when none were asked for. */
  readonly spread: SpreadResult | null;
}

export function buildClaim(report: Report, spread: SpreadResult | null): Claim {
  const { traces, predistorter: _predistorter, ...readings } = report;
  return { kneepointClaim: CLAIM_FORMAT, report: { ...readings, traces: { conditions: traces.conditions } }, spread };
}

/** Parts of a report that are settings or words, not figures. */
const NOT_FIGURES: readonly string[] = ['kneepoint', 'scenario', 'cautions', 'warnings', 'answer'];

/** Every figure of a claim by its path, such as `report.corrected.aclr.0.aclrDb`; null is a reading that was not made. */
export function claimFigures({ report, spread }: Claim): Map<string, number | null> {
  const figures = new Map<string, number | null>();
  for (const [name, value] of Object.entries(report)) {
    if (!NOT_FIGURES.includes(name)) collect(`report.${name}`, value, figures);
  }
  if (spread !== null) collect('spread', spread, figures);
  return figures;
}

function collect(path: string, value: unknown, figures: Map<string, number | null>): void {
  if (typeof value === 'number' || value === null) figures.set(path, value);
  else if (typeof value === 'object' && value !== undefined) {
    for (const [name, inner] of Object.entries(value as object)) collect(`${path}.${name}`, inner, figures);
  }
}
