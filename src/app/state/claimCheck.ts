// A claim card against a repeated run in this browser: figures, sentence, digest and everything it prints.
import { runFigures } from '../../../shared/figures/runFigures.ts';
import { buildClaim, type Claim } from '../../../shared/reports/claim.ts';
import { type ClaimReading, readClaimCard, rewriteClaimCard } from '../../../shared/reports/claimCard.ts';
import { compareFigures, type FigureDifference } from '../../../shared/reports/compareClaim.ts';
import { comparePrints, type PrintDifference, printedTexts } from '../../../shared/reports/printedTexts.ts';
import type { Issue } from '../../../shared/schema/issue.ts';
import type { Report } from '../../../shared/schema/report.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { SpreadResult } from '../../../shared/schema/studyReport.ts';
import type { EngineClient } from '../../worker/client.ts';
import type { StudyClient } from '../../worker/studyClient.ts';

export type ReadClaim = Extract<ClaimReading, { kind: 'claim' }>;

export interface ClaimVerdict {
  readonly holds: boolean;
  readonly figureCount: number;
  readonly differences: readonly FigureDifference[];
  /** What the card prints otherwise than its own data say; not compared between versions. */
  readonly prints: readonly PrintDifference[];
  readonly digestHolds: boolean;
  readonly isSameVersion: boolean;
  /** What the repeated run answers, where it is something else. */
  readonly repeatedAnswer: string | null;
  readonly scenario: Scenario;
}

export type ClaimOutcome =
  | { readonly kind: 'verdict'; readonly verdict: ClaimVerdict }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] }
  | { readonly kind: 'stopped' };

export { readClaimCard };

/** Repeats the run, and the spread where the card has one, and compares. */
export async function checkClaim(
  html: string,
  reading: ReadClaim,
  client: EngineClient,
  studies: StudyClient,
): Promise<ClaimOutcome> {
  const { claim } = reading;
  const outcome = await client.run(claim.report.scenario, 'full');
  if (outcome === null) return { kind: 'stopped' };
  if (outcome.kind === 'invalid') return outcome;
  const spread = claim.spread === null ? null : await spreadOver(claim.report.scenario, claim.spread, studies);
  return { kind: 'verdict', verdict: compare(html, reading, outcome.report, spread) };
}

async function spreadOver(
  scenario: Scenario,
  { seedCount }: SpreadResult,
  studies: StudyClient,
): Promise<SpreadResult | null> {
  let found: SpreadResult | null = null;
  const study = { scenario, question: { kind: 'spread', seedCount, unitCount: 0 } };
  await studies.run(study, ({ evaluation }) => {
    const result = evaluation.kind === 'evaluated' && evaluation.report.complete ? evaluation.report.result : null;
    if (result?.kind === 'spread') found = result;
  });
  return found;
}

function compare(
  html: string,
  { claim, statedDigest, foundDigest }: ReadClaim,
  report: Report,
  spread: SpreadResult | null,
): ClaimVerdict {
  const repeated: Claim = buildClaim(report, spread);
  const { differences, count } = compareFigures(claim, repeated);
  const isSameVersion = claim.report.kneepoint.version === report.kneepoint.version;
  // Pictures of a run that differs differ as well; the figures say it better.
  const expected = differences.length > 0 ? html : rewriteClaimCard(html, claim, runFigures(report));
  const prints = isSameVersion ? comparePrints(printedTexts(html), printedTexts(expected)) : [];
  const repeatedAnswer = isSameVersion && claim.report.answer !== report.answer ? report.answer : null;
  const digestHolds = statedDigest === foundDigest;
  return {
    holds: differences.length === 0 && prints.length === 0 && digestHolds && repeatedAnswer === null,
    figureCount: count,
    differences,
    prints,
    digestHolds,
    isSameVersion,
    repeatedAnswer,
    scenario: claim.report.scenario,
  };
}
