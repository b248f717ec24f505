// `kneepoint check CARD.html`: repeats the run of a claim card and compares every figure and everything it prints.
import { dirname } from 'node:path';
import { runFigures } from '../../../shared/figures/runFigures.ts';
import { formatSignificant } from '../../../shared/format/numbers.ts';
import { buildClaim, type Claim } from '../../../shared/reports/claim.ts';
import { type ClaimReading, readClaimCard, rewriteClaimCard } from '../../../shared/reports/claimCard.ts';
import { CLAIM_TOLERANCE_DB, compareFigures, type FigureDifference } from '../../../shared/reports/compareClaim.ts';
import { toJson } from '../../../shared/reports/json.ts';
import { comparePrints, type PrintDifference, printedTexts } from '../../../shared/reports/printedTexts.ts';
import { createRunMemory, ENGINE_VERSION, runScenario } from '../../engine/index.ts';
import { supplyRecords } from '../input/scenarioRecords.ts';
import { progressLine } from '../output/messages.ts';
import { formatLines, wrap } from '../output/table.ts';
import { EXIT, type ExitCode, type Session, UnusableInput, unusable } from '../session.ts';
import { spreadOver } from '../study/spreadOver.ts';

type ReadClaim = Extract<ClaimReading, { kind: 'claim' }>;

/** Null when the text is no claim card. */
export async function checkClaim(
  session: Session,
  path: string,
  html: string,
  options: { json?: true },
): Promise<ExitCode | null> {
  const reading = readClaimCard(html);
  if (reading.kind === 'other') return null;
  if (reading.kind === 'damaged') {
    throw unusable(path, 'must be a whole claim card', reading.reason, 'ask for the card again');
  }
  const repeated = await repeat(session, path, reading.claim);
  const verdict = compareCard(html, reading, repeated);
  session.stdout(options.json ? toJson(verdict) : verdictText(path, reading, verdict));
  if (reading.claim.report.kneepoint.version !== ENGINE_VERSION) {
    session.stderr('the card is of another version: what it prints is not compared, and figures may have moved\n');
  }
  return verdict.holds ? EXIT.result : EXIT.limitMissed;
}

interface Repeated {
  readonly claim: Claim;
  readonly pictures: readonly string[];
}

async function repeat(session: Session, path: string, claim: Claim): Promise<Repeated> {
  const progress = progressLine(session);
  const { input, records } = supplyRecords(session, claim.report.scenario, dirname(path));
  const memory = createRunMemory(records);
  const outcome = runScenario(input, { onProgress: progress.onProgress, memory });
  progress.clear();
  if (outcome.kind === 'invalid') throw new UnusableInput(`${path}, its scenario`, outcome.issues);
  const { report } = outcome;
  const spread =
    claim.spread === null ? null : await spreadOver(session, report.scenario, claim.spread.seedCount, records);
  return { claim: buildClaim(report, spread), pictures: runFigures(report) };
}

interface CardVerdict {
  readonly holds: boolean;
  readonly figureCount: number;
  readonly differences: readonly FigureDifference[];
  /** What the card prints otherwise than its own data say. */
  readonly prints: readonly PrintDifference[];
  readonly digestHolds: boolean;
  readonly sentence: { readonly claimed: string; readonly repeated: string } | null;
}

function compareCard(html: string, { claim, statedDigest, foundDigest }: ReadClaim, repeated: Repeated): CardVerdict {
  const { differences, count } = compareFigures(claim, repeated.claim);
  const isSameVersion = claim.report.kneepoint.version === ENGINE_VERSION;
  // Pictures of a run that differs differ as well; the figures say it better.
  const expected = differences.length > 0 ? html : rewriteClaimCard(html, claim, repeated.pictures);
  const prints = isSameVersion ? comparePrints(printedTexts(html), printedTexts(expected)) : [];
  const [claimed, found] = [claim.report.answer, repeated.claim.report.answer];
  const sentence = isSameVersion && claimed !== found ? { claimed, repeated: found } : null;
  const digestHolds = statedDigest === foundDigest;
  const holds = differences.length === 0 && prints.length === 0 && digestHolds && sentence === null;
  return { holds, figureCount: count, differences, prints, digestHolds, sentence };
}

const value = (figure: number | null | undefined): string =>
  figure === undefined ? 'not read' : figure === null ? 'no reading' : formatSignificant(figure, 7);

function verdictText(path: string, { claim, statedDigest, foundDigest }: ReadClaim, verdict: CardVerdict): string {
  const { differences, prints, sentence, figureCount } = verdict;
  const agreeing = figureCount - differences.length;
  const within = `within ${CLAIM_TOLERANCE_DB} dB or its equivalent`;
  const parts = [
    `${path}: ${verdict.holds ? 'the claim holds' : 'the claim does not hold'}\n${wrap(claim.report.answer)}\n`,
    verdict.holds
      ? `${wrap(`All ${figureCount} figures of the repeated run agree ${within}; the digest agrees, and the page prints its own data.`)}\n`
      : `${wrap(`${agreeing} of ${figureCount} figures agree with the repeated run ${within}.`)}\n`,
    ...(differences.length === 0
      ? []
      : [
          `Figures that differ\n${formatLines(
            differences.map((one) => [one.path, `claimed ${value(one.claimed)}`, `repeated ${value(one.repeated)}`]),
            '  ',
          )}`,
        ]),
    ...(sentence === null ? [] : [`${wrap(`The repeated run answers: ${sentence.repeated}`)}\n`]),
    ...(prints.length === 0
      ? []
      : [
          `Printed otherwise than the data inside say\n${formatLines(
            prints.map((one) => [`after “${one.after}”`, `prints “${one.printed}”`, `should be “${one.expected}”`]),
            '  ',
          )}`,
        ]),
    ...(verdict.digestHolds
      ? []
      : [
          `The digest does not fit the data inside: changed by accident or on purpose\n${formatLines(
            [
              ['stated', statedDigest ?? 'none'],
              ['found', foundDigest],
            ],
            '  ',
          )}`,
        ]),
  ];
  return parts.join('\n');
}
