// The burst study as tables: each burst in a line, and every symbol.
import { formatEngineering } from '../format/numbers.ts';
import type { BurstPoint, BurstResult } from '../schema/studyReport.ts';
import { type ColumnOf, fillTable, type ReadingTable } from './readingTable.ts';

/** Symbols that stand in the table of the bursts, as far as a burst has them; a terminal has room for the first. */
const SHOWN_SYMBOLS = [0, 1, 2, 5, 20];
const LAST_IN_TERMINAL = 5;

export function burstTables(result: BurstResult): ReadingTable[] {
  return [burstsTable(result), symbolsTable(result)];
}

/** Warm first, then the shortest silence. */
export function burstsOf({ warm, bursts }: BurstResult): readonly BurstPoint[] {
  return warm === null ? [] : [warm, ...bursts];
}

/** Such as "5 ms off"; "warm" for the burst that follows itself. */
export function burstName({ silenceS }: BurstPoint): string {
  return silenceS === null ? 'warm' : `${formatEngineering(silenceS, 's')} off`;
}

/** Without digits that only the arithmetic made. */
function silenceMs(silenceS: number | null): number {
  return Number((1e3 * (silenceS ?? 0)).toPrecision(12));
}

/** As many as the value has, up to microseconds. */
function decimalsOf(ms: number): number {
  return [0, 1, 2].find((decimals) => Number(ms.toFixed(decimals)) === ms) ?? 3;
}

function burstsTable(result: BurstResult): ReadingTable {
  const columns: ColumnOf<BurstPoint>[] = [
    {
      heading: 'silence, ms',
      decimals: ({ silenceS }) => decimalsOf(silenceMs(silenceS)),
      value: ({ silenceS }) => (silenceS === null ? 'warm' : silenceMs(silenceS)),
    },
    ...SHOWN_SYMBOLS.map(
      (symbol): ColumnOf<BurstPoint> => ({
        group: 'net EVM of symbol, %',
        heading: String(symbol),
        decimals: 2,
        isDetail: symbol > LAST_IN_TERMINAL,
        value: ({ netPercent }) => netPercent[symbol] ?? null,
      }),
    ),
    { heading: 'droop, dB', decimals: 2, value: ({ droopDb }) => droopDb },
    { group: 'ACLR, dB', heading: 'whole', decimals: 1, value: ({ aclrDb }) => aclrDb },
    { group: 'ACLR, dB', heading: 'first two', decimals: 1, value: ({ firstSymbolsAclrDb }) => firstSymbolsAclrDb },
    { group: 'settled after', heading: 'symbols', decimals: 0, keep: true, value: (one) => one.settledAfterSymbols },
    {
      group: 'settled after',
      heading: 'ms',
      decimals: 2,
      keep: true,
      value: ({ settledAfterS }) => settledAfterS && 1e3 * settledAfterS,
    },
  ];
  const caption = `Bursts after a silence; settled: EVM without shaping stays under ${result.evmWithinPercent} %`;
  return fillTable('bursts', caption, burstsOf(result), columns);
}

/** One line a symbol, one column a burst. */
function symbolsTable(result: BurstResult): ReadingTable {
  const { warm, symbolDurationS } = result;
  const bursts = burstsOf(result);
  const symbols = warm === null ? [] : warm.netPercent.map((_, symbol) => symbol);
  const columns: ColumnOf<number>[] = [
    { heading: 'symbol', decimals: 0, value: (symbol) => symbol },
    { heading: 'begins, ms', decimals: 3, value: (symbol) => 1e3 * symbol * (symbolDurationS ?? 0) },
    ...bursts.map(
      (burst): ColumnOf<number> => ({
        group: 'EVM without shaping, %',
        heading: burstName(burst),
        decimals: 2,
        value: (symbol) => burst.netPercent[symbol] ?? null,
      }),
    ),
    ...bursts.map(
      (burst): ColumnOf<number> => ({
        group: '± one sd of a record, %',
        heading: burstName(burst),
        decimals: 2,
        isDetail: true,
        value: (symbol) => burst.netSpreadPercent?.[symbol] ?? null,
      }),
    ),
  ];
  return fillTable('symbols', 'EVM of every symbol without what shaping spent on it', symbols, columns);
}
