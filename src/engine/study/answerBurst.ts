// The sentence the burst study answers with.
import { formatEngineering, formatQuantity, withUnit } from '../../../shared/format/numbers.ts';
import type { BurstPoint, BurstResult } from '../../../shared/schema/studyReport.ts';
import { db } from './answerWords.ts';

const seconds = (value: number) => formatEngineering(value, 's');
const percent = (value: number) => formatQuantity(value, '%');

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
  const start = `After ${seconds(worst.silenceS ?? 0)} of silence the first symbol reads ${percent(worst.netPercent[0])} EVM`;
  const first = `${start}, ${percent(warm.netPercent[0])} when warm, and ${settledText(worst, result)}.`;
  return [first, aclrText(worst), lost].filter((part) => part !== '').join(' ');
}

function settledText(point: BurstPoint, { evmWithinPercent, symbolDurationS }: BurstResult): string {
  const { settledAfterSymbols, settledAfterS, netPercent } = point;
  const threshold = withUnit(String(evmWithinPercent), '%');
  if (settledAfterSymbols === 0) return `every symbol stays under ${threshold}`;
  if (settledAfterSymbols === null || settledAfterS === null) {
    const burst = seconds(netPercent.length * (symbolDurationS ?? 0));
    return `within the burst of ${burst} it does not come to stay under ${threshold}`;
  }
  const symbols = settledAfterSymbols === 1 ? 'symbol' : 'symbols';
  return `it takes ${settledAfterSymbols} ${symbols} (${seconds(settledAfterS)}) to stay under ${threshold}`;
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
