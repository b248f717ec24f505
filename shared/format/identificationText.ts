// An identified amplifier in words: which model fits, how far it reaches, what is known of each structure. The page and the
// command line say the same.
import type { IdentificationReport, IdentifiedStructure } from '../schema/identificationReport.ts';
import { formatQuantity, formatSigned } from './numbers.ts';

type Reading = Pick<IdentificationReport, 'trust' | 'chosen' | 'structures' | 'scale'>;

/** Gain change at the largest drive that is worth a word, dB. */
const SPOKEN_COMPRESSION_DB = 0.1;

/** The sentence that answers which model fits a capture, with its distance below the output. */
export function identificationVerdict({ trust, chosen, structures, scale }: Reading): string {
  const distance = formatQuantity(-chosen.heldOutNmseDb, 'dB');
  const model = `a ${modelName(chosen)} with ${chosen.coefficientCount} ${plural('coefficient', chosen.coefficientCount)}`;
  if (trust.level === 'poor') {
    return `Not to be trusted: the best of ${structures.length} structures, ${model}, leaves an error only ${distance} below the output.`;
  }
  const limits = trust.level === 'good' ? '' : ', with limits';
  const reach = reachWords(scale.compressionAtPeakDb);
  return `Good within ${distance}${limits}: ${model} predicts this amplifier up to ${reach}.`;
}

function reachWords(compressionDb: number): string {
  if (Math.abs(compressionDb) < SPOKEN_COMPRESSION_DB) return 'the largest drive of the records';
  const amount = formatQuantity(Math.abs(compressionDb), 'dB');
  return compressionDb > 0
    ? `${amount} of compression`
    : `the largest drive of the records, where its gain has risen by ${amount}`;
}

function plural(word: string, count: number): string {
  return count === 1 ? word : `${word}s`;
}

/** Such as "memory polynomial". */
export function modelName({ memoryDepth, leadSamples, cross }: IdentifiedStructure): string {
  if (cross !== null || leadSamples > 0) return 'generalized memory polynomial';
  return memoryDepth === 1 ? 'polynomial without memory' : 'memory polynomial';
}

/** Such as "1 to 9, odd". */
export function orderWords(orders: readonly number[]): string {
  const [first = 1, last = first] = [orders[0], orders.at(-1)];
  if (orders.length < 3) return orders.join(', ');
  return orders.length === last - first + 1 ? `${first} to ${last}` : `${first} to ${last}, odd`;
}

/** Such as "orders 1 to 9, odd; depth 3". */
export function structureWords({ nonlinearOrders, memoryDepth, leadSamples, cross }: IdentifiedStructure): string {
  const lead = leadSamples === 0 ? '' : `, ${leadSamples} ahead`;
  const crossed = cross && `; cross terms of order ${orderWords(cross.nonlinearOrders)}, ± ${cross.reachSamples}`;
  return `orders ${orderWords(nonlinearOrders)}; depth ${memoryDepth}${lead}${crossed ?? ''}`;
}

export interface StructureKind {
  readonly label: string;
  /** The one of its kind with the least held-out error. */
  readonly best: IdentifiedStructure;
}

const hasEven = ({ nonlinearOrders }: IdentifiedStructure) => nonlinearOrders.includes(2);

const KINDS: readonly (readonly [string, (structure: IdentifiedStructure) => boolean])[] = [
  ['linear', ({ nonlinearOrders }) => nonlinearOrders.length === 1],
  ['static, odd orders', (one) => one.memoryDepth === 1 && !hasEven(one)],
  ['static, all orders', (one) => one.memoryDepth === 1 && hasEven(one)],
  ['memory, odd orders', (one) => one.memoryDepth > 1 && one.cross === null && !hasEven(one)],
  ['memory, all orders', (one) => one.memoryDepth > 1 && one.cross === null && hasEven(one)],
  ['cross terms, odd orders', (one) => one.cross !== null && !hasEven(one)],
  ['cross terms, all orders', (one) => one.cross !== null && hasEven(one)],
];

/** The best structure of each kind that was tried. */
export function structureKinds({ structures }: Pick<IdentificationReport, 'structures'>): StructureKind[] {
  return KINDS.flatMap(([label, passes]) => {
    const kept = structures.filter(passes);
    if (kept.length === 0) return [];
    return [{ label, best: kept.reduce((a, b) => (b.heldOutNmseDb < a.heldOutNmseDb ? b : a)) }];
  });
}

/** How one was taken out of those tried, and which terms pay. */
export function structureNote({
  structures,
  keptMarginDb,
  gains,
}: Pick<IdentificationReport, 'structures' | 'keptMarginDb' | 'gains'>): string {
  const paid = (what: string, gain: number | null) =>
    gain === null ? [] : [`${what} ${gain > keptMarginDb ? 'pay' : 'do not pay'}: ${formatSigned(gain, 'dB', 2)}.`];
  return [
    `The best of each kind by held-out error, out of ${structures.length} tried; taken is the smallest within ${formatQuantity(keptMarginDb, 'dB')} of the best whose extra terms pay.`,
    ...paid('Delays', gains.memoryDb),
    ...paid('Cross terms', gains.crossTermsDb),
    ...paid('Even orders', gains.evenOrdersDb),
  ].join(' ');
}
