// The sentence the study of a frozen correction answers with.
import { formatQuantity } from '../../../shared/format/numbers.ts';
import type { HoldCell, HoldResult, HoldSets } from '../../../shared/schema/holdReport.ts';
import { db } from './answerWords.ts';

export function answerHold(result: HoldResult): string {
  const parts = [setsText(result), ownRowText(result), worstText(result)].filter((part) => part !== '');
  return parts.length === 0 ? 'no frozen run is read yet.' : parts.join(' ');
}

/** Fewer sets are as good within this. */
const SAME_DB = 1;

/** The fewest sets that keep the limit, or that come near the most tried. */
function setsText({ sets, requiredAclrDb, cost }: HoldResult): string {
  const read = sets.filter((one) => one.worstAclrDb !== null);
  const [fewest] = read;
  if (fewest === undefined) return '';
  const most = Math.max(...read.map(aclrOf));
  const keeping = requiredAclrDb === null ? undefined : read.find((one) => aclrOf(one) >= requiredAclrDb);
  const enough = keeping ?? read.find((one) => aclrOf(one) >= most - SAME_DB) ?? fewest;
  const channels = `${enough.channels.length} channels`;
  const memory = cost === null ? '' : ` in ${enough.memoryBytes} bytes`;
  const count = `${enough.setCount} ${enough.setCount === 1 ? 'set' : 'sets'} of coefficients`;
  const what = `${count}${memory} ${enough.setCount === 1 ? 'keeps' : 'keep'} ${db(aclrOf(enough))} on the worst of ${channels}`;
  const one = enough === fewest ? '' : `, ${setName(fewest)} ${db(aclrOf(fewest))}`;
  const best = read.reduce((a, b) => (aclrOf(b) > aclrOf(a) ? b : a));
  const more = best.setCount > enough.setCount ? `, ${setName(best)} ${db(aclrOf(best))}` : '';
  const short =
    requiredAclrDb === null || keeping !== undefined ? '' : `; none tried keeps ${db(requiredAclrDb)} on all of them`;
  return `${what}${one}${more}${short}.${warmText(enough)}`;
}

/** What passes that go on from the stored sets make of them. */
function warmText({ warm, setCount }: HoldSets): string {
  if (warm?.worstAclrDb == null) return '';
  const passes = `${warm.passCount} ${warm.passCount === 1 ? 'pass' : 'passes'}`;
  return ` Learning on from ${setCount === 1 ? 'it' : 'them'}, ${passes} on each channel, gives ${db(warm.worstAclrDb)} on the worst.`;
}

const aclrOf = ({ worstAclrDb }: HoldSets): number => worstAclrDb ?? 0;
const setName = ({ setCount }: HoldSets): string => `${setCount} ${setCount === 1 ? 'set' : 'sets'}`;

interface OwnCell extends HoldCell {
  readonly label: string;
  readonly aclrDb: number;
}

/** How far the coefficients learned under the scenario's own condition hold. */
function ownRowText(result: HoldResult): string {
  const { conditions, cells, requiredAclrDb, axis } = result;
  const ownIndex = conditions.findIndex(({ isOwn }) => isOwn);
  const row = cells.flatMap((cell): OwnCell[] => {
    const aclrDb = cell.reading?.worstAclrDb ?? null;
    if (cell.trainedOn !== ownIndex || aclrDb === null) return [];
    return [{ ...cell, label: conditions[cell.usedOn].label, aclrDb }];
  });
  const own = row.find(({ usedOn }) => usedOn === ownIndex);
  const others = row.filter((cell) => cell !== own);
  if (own === undefined || others.length === 0) return '';
  const worst = others.reduce((a, b) => (b.aclrDb < a.aclrDb ? b : a));
  const fall = `ACLR ${worst.aclrDb < own.aclrDb ? 'falls to' : 'reads'} ${db(worst.aclrDb)}${shortText(worst)}`;
  if (requiredAclrDb === null || own.aclrDb < requiredAclrDb) {
    return `Frozen coefficients read ${db(own.aclrDb)} where they were learned; at ${worst.label} ${fall}.`;
  }
  const kept = keptAround(row, own, requiredAclrDb);
  const outside = others.filter((cell) => !kept.includes(cell));
  const required = db(requiredAclrDb);
  if (outside.length === 0)
    return `Frozen coefficients keep ${required} under all ${row.length} conditions; at ${worst.label} ${fall}.`;
  const [first, last] = [kept[0], kept[kept.length - 1]];
  const isOrdered = axis !== 'carriers';
  const range =
    !isOrdered || first === last
      ? `only at ${kept.map(({ label }) => label).join(', ')}`
      : `from ${first.label} to ${last.label}`;
  const miss = outside.reduce((a, b) => (b.aclrDb < a.aclrDb ? b : a));
  return `Frozen coefficients keep ${required} ${range}; at ${miss.label} ACLR falls to ${db(miss.aclrDb)}${shortText(miss)}.`;
}

function shortText({ lossDb }: HoldCell): string {
  if (lossDb === null) return '';
  return lossDb > 0 ? `, ${db(lossDb)} short of retraining` : ', no worse than retraining';
}

/** Neighbours of the own condition, both ways, as far as the limit is kept. */
function keptAround(row: readonly OwnCell[], own: OwnCell, requiredDb: number): OwnCell[] {
  const at = row.indexOf(own);
  let [from, to] = [at, at];
  while (from > 0 && row[from - 1].aclrDb >= requiredDb) from--;
  while (to < row.length - 1 && row[to + 1].aclrDb >= requiredDb) to++;
  return row.slice(from, to + 1);
}

/** The worst cell of the matrix, where it is not told already. */
function worstText({ worst, conditions }: HoldResult): string {
  if (worst === null || conditions[worst.trainedOn].isOwn) return '';
  const { worstAclrDb, evmPercent } = worst.reading;
  const figure = worstAclrDb === null ? `${formatQuantity(evmPercent ?? 0, '%')} EVM` : db(worstAclrDb);
  return `Worst cell: learned at ${conditions[worst.trainedOn].label}, used at ${conditions[worst.usedOn].label}: ${figure}.`;
}
