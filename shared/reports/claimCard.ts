// The claim card: one self-contained HTML file with the claim, its conditions, every figure, the floors, the spread, the
// scenario and a digest. `kneepoint check FILE.html` repeats the run and compares. Everything printed, but for the
// pictures, is written from the data inside, so that a changed print is found by writing the page again.
import { estimatorCondition } from '../figures/spectrumFigure.ts';
import { formatCount, formatEngineering, formatQuantity } from '../format/numbers.ts';
import type { SpreadResult } from '../schema/studyReport.ts';
import { CLAIM_FORMAT, type Claim, claimFigures } from './claim.ts';
import { toJson } from './json.ts';
import { figure, foldedText, htmlPage, list, paragraph, section } from './page.ts';
import { tableHtml } from './readingTable.ts';
import { figuresSection, floorsSection, limitsSection } from './runPage.ts';
import { unequalPowerText } from './runParts.ts';
import type { ReadReport } from './runTable.ts';
import { sha256 } from './sha256.ts';
import { spreadTables } from './studyTables.ts';

/** `pictures`: the run's figures as SVG. */
export function claimCard(claim: Claim, pictures: readonly string[]): string {
  const text = claimText(claim);
  return writeClaimPage(text, JSON.parse(text) as Claim, pictures);
}

/** The data block: JSON in which nothing can end the element that holds it. */
function claimText(claim: Claim): string {
  return toJson(claim).trim().replaceAll('<', '\\u003c');
}

const DIGEST_NAME = 'kneepoint-digest';
const DATA_ID = 'kneepoint-claim';

function writeClaimPage(text: string, claim: Claim, pictures: readonly string[]): string {
  const { report, spread } = claim;
  const { scenario } = report;
  const digest = sha256(text);
  const [first = '', ...others] = pictures;
  return htmlPage({
    title: `Claim: ${scenario.title}`,
    answer: report.answer,
    head: `<meta name="${DIGEST_NAME}" content="${digest}">`,
    sections: [
      report.equalPower ? '' : paragraph(unequalPowerText(report), 'over'),
      section('Conditions', list(conditionsOf(report))),
      first === '' ? '' : figure(first),
      limitsSection(report),
      figuresSection(report),
      spread === null ? '' : section('Spread', spreadHtml(spread)),
      floorsSection(report.floors),
      ...others.map(figure),
      section('Warnings', list(report.warnings.map(({ message }) => message))),
      section('Cautions', list(report.cautions)),
      section('How to check this card', howToCheck(claim, digest)),
      foldedText('The scenario, fully resolved', toJson(scenario)),
      `<script type="application/json" id="${DATA_ID}">${text}</script>`,
    ],
  });
}

function conditionsOf({ scenario, waveform, uncorrected, corrected, traces }: ReadReport): string[] {
  const { antennaMeanDbm, meanPowerDbm, outputBackoffDb, evm } = corrected ?? uncorrected;
  const power =
    meanPowerDbm === null
      ? 'no power scale stated'
      : `${formatQuantity(meanPowerDbm, 'dBm', 2)} mean at the amplifier, ${formatQuantity(antennaMeanDbm, 'dBm', 2)} at the antenna port`;
  const { judging, training, selection } = scenario.seeds;
  const symbols = waveform.symbolCount === null ? '' : `, ${waveform.symbolCount} symbols`;
  const carriers = waveform.carriers.map(({ label }) => label).join('; ');
  const crest = scenario.waveform.crestFactorReduction;
  return [
    `Power: ${power}, ${formatQuantity(outputBackoffDb, 'dB', 2)} of output back-off; with and without correction the same.`,
    `Waveform: ${carriers}; ${formatCount(waveform.sampleCount)} samples at ${formatEngineering(waveform.sampleRateHz, 'Hz', 6)}${symbols}.`,
    crest === null
      ? 'Crest factor: not reduced.'
      : `Crest factor: reduced to ${formatQuantity(crest.targetPaprDb, 'dB')}.`,
    `Spectra: ${estimatorCondition(traces.conditions)}.`,
    ...(evm === null ? [] : [`EVM: over ${evm.symbolCount} symbols.`]),
    `Seeds: judging ${judging}, training ${training}, selection ${selection}; judged on a record that was not trained on.`,
  ];
}

function spreadHtml(spread: SpreadResult): string {
  const seeds = `Over ${spread.seedsRead} seed sets; marginal: the mean lies within two standard deviations of its limit.`;
  return `${spreadTables(spread).map(tableHtml).join('')}${paragraph(seeds, 'note')}`;
}

function howToCheck(claim: Claim, digest: string): string {
  const { kneepoint } = claim.report;
  return [
    paragraph(
      `“kneepoint check FILE.html” repeats the run from the scenario inside this file and compares all ${claimFigures(claim).size} figures within 0.01 dB or its equivalent. The digest finds accidents; only the repeated run finds a changed figure.`,
    ),
    paragraph(
      `Kneepoint ${kneepoint.version}, claim format ${claim.kneepointClaim}. SHA-256 of the data inside:`,
      'note',
    ),
    `<p class="digest">${digest}</p>`,
  ].join('');
}

export type ClaimReading =
  | {
      readonly kind: 'claim';
      readonly claim: Claim;
      readonly statedDigest: string | null;
      readonly foundDigest: string;
    }
  | { readonly kind: 'damaged'; readonly reason: string }
  | { readonly kind: 'other' };

/** Whether a text is a claim card, and what it claims. The data are not checked beyond their shape. */
export function readClaimCard(html: string): ClaimReading {
  const data = new RegExp(`<script type="application/json" id="${DATA_ID}">([\\s\\S]*?)</script>`).exec(html);
  const stated = new RegExp(`<meta name="${DIGEST_NAME}" content="([^"]*)">`).exec(html);
  if (data === null && stated === null) return { kind: 'other' };
  if (data === null) return { kind: 'damaged', reason: 'the data block is missing' };
  const text = data[1] ?? '';
  let claim: unknown;
  try {
    claim = JSON.parse(text);
  } catch {
    return { kind: 'damaged', reason: 'the data block is not JSON' };
  }
  if (!isClaim(claim)) return { kind: 'damaged', reason: `the data block is no claim of format ${CLAIM_FORMAT}` };
  return { kind: 'claim', claim, statedDigest: stated?.[1] ?? null, foundDigest: sha256(text) };
}

function isClaim(value: unknown): value is Claim {
  if (typeof value !== 'object' || value === null) return false;
  const { kneepointClaim, report, spread } = value as Record<string, unknown>;
  if (kneepointClaim !== CLAIM_FORMAT || typeof report !== 'object' || report === null) return false;
  const { scenario, kneepoint, answer } = report as Record<string, unknown>;
  const isSpread = spread === null || typeof spread === 'object';
  return isSpread && typeof scenario === 'object' && typeof kneepoint === 'object' && typeof answer === 'string';
}

/** The page as this version writes it from the data inside a card, with the pictures of the repeated run. */
export function rewriteClaimCard(html: string, claim: Claim, pictures: readonly string[]): string {
  const text = new RegExp(`id="${DATA_ID}">([\\s\\S]*?)</script>`).exec(html)?.[1] ?? '';
  return writeClaimPage(text, claim, pictures);
}
