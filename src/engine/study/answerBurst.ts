// The sentence the burst study answers with.
import { formatEngineering, formatFixed } from '../../../shared/format/numbers.ts';
import type { BurstPoint, BurstResult } from '../../../shared/schema/studyReport.ts';
import { db } from './answerWords.ts';

const seconds = (value: number) => formatEngineering(value, 's');
const percent = (value: number) => `${formatFixed(value, 1)} %`;

/** The silence that hurts most: its first symbol, how long it takes, and what ACLR says of it. */
export function answerBurst(result: BurstResult): string {
  const { warm, bursts, recordsOutOfReach, recordCount } = result;
  const worst = bursts.reduce<BurstPoint | null>(
    (most, one) => (most === null || one.netPercent[0] > most.netPercent[0] ? one : most),
    null,
  );
  const lost =
    recordsOutOfReach === 0
      ? ''
      : `With ${recordsOutOfReach} of ${recordCount} records the wanted power is out of reach.`;
  if (warm === null || worst === null) return lost === '' ? 'no record is read yet.' : lost;
  return [firstText(worst, warm), settledText(worst, result), aclrText(worst), lost]
    .filter((part) => part !== '')
    .join(' ');
}

function firstText({ silenceS, netPercent, droopDb }: BurstPoint, warm: BurstPoint): string {
  const [first] = netPercent;
  const own = `${percent(warm.netPercent[0])} when warm`;
  const gain =
    Math.abs(droopDb) < SAME_GAIN_DB
      ? ''
      : `, and is ${formatFixed(Math.abs(droopDb), 2)} dB ${droopDb > 0 ? 'stronger' : 'weaker'}`;
  return `After ${seconds(silenceS ?? 0)} of silence the first symbol reads ${percent(first)} EVM against ${own}${gain}.`;
}

const SAME_GAIN_DB = 0.005;

function settledText(point: BurstPoint, { evmWithinPercent, symbolDurationS }: BurstResult): string {
  const { settledAfterSymbols, settledAfterS, netPercent } = point;
  if (settledAfterSymbols === 0) return `Every symbol stays under ${evmWithinPercent} %.`;
  if (settledAfterSymbols === null || settledAfterS === null) {
    const burst = seconds(netPercent.length * (symbolDurationS ?? 0));
    return `Within the burst of ${burst} it does not come to stay under ${evmWithinPercent} %.`;
  }
  const symbols = settledAfterSymbols === 1 ? 'symbol' : 'symbols';
  return `It takes ${settledAfterSymbols} ${symbols} (${seconds(settledAfterS)}) to stay under ${evmWithinPercent} %.`;
}

/** Below this the two readings tell the same. */
const SAME_ACLR_DB = 1;

function aclrText({ aclrDb, firstSymbolsAclrDb }: BurstPoint): string {
  if (aclrDb === null || firstSymbolsAclrDb === null) return '';
  const figures = `${db(aclrDb)} against ${db(firstSymbolsAclrDb)} in the first two symbols`;
  return aclrDb - firstSymbolsAclrDb < SAME_ACLR_DB
    ? `ACLR over the whole burst is ${figures}.`
    : `ACLR over the whole burst hides it: ${figures}.`;
}
