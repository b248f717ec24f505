// The two-tone study as tables: the intercept, the limits, and both sweeps.
import { formatFixed } from '../format/numbers.ts';
import type { Side } from '../schema/report.ts';
import type { ToneIntercept, ToneLimit, TonePoint, ToneSide, TonesResult } from '../schema/studyReport.ts';
import { type ColumnOf, fillTable, type ReadingTable } from './readingTable.ts';

const SIDES: readonly Side[] = ['lower', 'upper'];

export function toneTables(result: TonesResult): ReadingTable[] {
  const { intercept, limits, levels, spacings } = result;
  return [interceptTable(intercept), limitsTable(limits), levelsTable(levels, intercept), spacingsTable(spacings)];
}

type InterceptSide = ToneIntercept['sides'][number];

function interceptTable(intercept: ToneIntercept | null): ReadingTable {
  const levels = (place: 'fromToneBackoffDb' | 'toToneBackoffDb') => (): number | null => intercept?.[place] ?? null;
  const columns: ColumnOf<InterceptSide>[] = [
    { heading: 'side', value: ({ side }) => side },
    { group: 'OIP3 per tone', heading: 'dBm', decimals: 2, value: ({ oip3Dbm }) => oip3Dbm },
    { group: 'OIP3 per tone', heading: 'over saturation, dB', decimals: 2, value: (one) => one.oip3OverSaturationDb },
    { heading: 'spread, dB', decimals: 2, value: ({ spreadDb }) => spreadDb },
    { group: 'levels, dB below saturation', heading: 'from', decimals: 1, value: levels('fromToneBackoffDb') },
    { group: 'levels, dB below saturation', heading: 'to', decimals: 1, value: levels('toToneBackoffDb') },
  ];
  const caption = 'Third-order output intercept of one tone, and the levels it is averaged over';
  return fillTable('intercept', caption, intercept?.sides ?? [], columns, ({ side }) => side === intercept?.side);
}

function limitsTable(limits: readonly ToneLimit[]): ReadingTable {
  return fillTable('limits', 'Highest tones that keep each intermodulation limit on both sides', limits, [
    { heading: 'limit', value: ({ limit }) => limit },
    {
      heading: 'one tone below saturation, dB',
      decimals: 2,
      keep: true,
      value: ({ toneBackoffDb }) => toneBackoffDb,
    },
    { heading: 'per tone, dBm', decimals: 2, value: ({ tonePowerDbm }) => tonePowerDbm },
    {
      heading: 'note',
      value: ({ toneBackoffDb, bracketed }) =>
        toneBackoffDb === null ? 'missed at every level' : bracketed ? '' : 'more would do',
    },
  ]);
}

type Pick<Reading> = (side: Reading) => number | null;

/** Lower and upper under one heading. */
function bothSides(
  group: string,
  decimals: number,
  pick: Pick<TonePoint['uncorrected'][number]>,
  isDetail = false,
): ColumnOf<TonePoint>[] {
  return SIDES.map((side) => ({
    group,
    heading: side,
    decimals,
    isDetail,
    value: ({ uncorrected }) => readingOf(uncorrected, side, pick),
  }));
}

function correctedSides(group: string, pick: Pick<ToneSide>, isDetail = false): ColumnOf<TonePoint>[] {
  return SIDES.map((side) => ({
    group,
    heading: side,
    decimals: 1,
    isDetail,
    value: ({ corrected }) => (corrected === null ? null : readingOf(corrected, side, pick)),
  }));
}

function readingOf<Reading extends { readonly side: Side }>(
  readings: readonly Reading[],
  side: Side,
  pick: Pick<Reading>,
): number | null {
  const found = readings.find((one) => one.side === side);
  return found === undefined ? null : pick(found);
}

const POWERS: readonly ColumnOf<TonePoint>[] = [
  { group: 'power, dBm', heading: 'one tone', decimals: 2, value: ({ tonePowerDbm }) => tonePowerDbm },
  { group: 'power, dBm', heading: 'both', decimals: 2, isDetail: true, value: ({ bothTonesDbm }) => bothTonesDbm },
  {
    group: 'power, dBm',
    heading: 'envelope peak',
    decimals: 2,
    isDetail: true,
    value: ({ peakEnvelopeDbm }) => peakEnvelopeDbm,
  },
];

const PRODUCTS: readonly ColumnOf<TonePoint>[] = [
  ...bothSides('IM3, dBc', 1, ({ im3Dbc }) => im3Dbc),
  ...bothSides('IM5, dBc', 1, ({ im5Dbc }) => im5Dbc),
  ...bothSides('IM7, dBc', 1, ({ im7Dbc }) => im7Dbc, true),
  ...bothSides('IM3, dBm', 1, ({ im3Dbm }) => im3Dbm, true),
  ...bothSides('IM5, dBm', 1, ({ im5Dbm }) => im5Dbm, true),
  ...correctedSides('IM3 corrected, dBc', ({ im3Dbc }) => im3Dbc),
  ...correctedSides('IM5 corrected, dBc', ({ im5Dbc }) => im5Dbc, true),
];

function levelsTable(levels: readonly TonePoint[], intercept: ToneIntercept | null): ReadingTable {
  const isCorrected = levels.some(({ corrected }) => corrected !== null);
  const columns: ColumnOf<TonePoint>[] = [
    { heading: 'below sat., dB', decimals: 1, value: ({ toneBackoffDb }) => toneBackoffDb },
    ...POWERS,
    ...PRODUCTS,
    ...bothSides('slope, dB/dB', 2, ({ im3Slope }) => im3Slope),
    ...bothSides('OIP3, dBm', 1, ({ oip3Dbm }) => oip3Dbm),
    ...bothSides('OIP3 over saturation, dB', 2, ({ oip3OverSaturationDb }) => oip3OverSaturationDb, true),
    { heading: 'compressed, dB', decimals: 2, isDetail: true, value: ({ compressionDb }) => compressionDb },
    { heading: 'note', value: (point) => levelNote(point, intercept, isCorrected) },
  ];
  const caption = 'Products against level: one tone below saturated power';
  return fillTable('tones', caption, levels, columns);
}

function levelNote(
  { toneBackoffDb, corrected, correctionUsed }: TonePoint,
  intercept: ToneIntercept | null,
  isCorrected: boolean,
): string {
  const counts =
    intercept !== null &&
    toneBackoffDb >= intercept.fromToneBackoffDb - 1e-9 &&
    toneBackoffDb <= intercept.toToneBackoffDb + 1e-9;
  const correction = corrected === null ? 'no correction learned' : correctionUsed ? '' : 'correction not used';
  return [...(counts ? ['counts'] : []), ...(isCorrected && correction !== '' ? [correction] : [])].join('; ');
}

function spacingsTable(spacings: readonly TonePoint[]): ReadingTable {
  const columns: ColumnOf<TonePoint>[] = [
    { heading: 'spacing, MHz', decimals: spacingDecimals, value: ({ toneSpacingHz }) => toneSpacingHz / 1e6 },
    ...POWERS,
    ...PRODUCTS,
    {
      heading: 'lower − upper, dB',
      decimals: 2,
      value: ({ uncorrected: [lower, upper] }) => {
        const [a, b] = [lower?.im3Dbc ?? null, upper?.im3Dbc ?? null];
        return a === null || b === null ? null : a - b;
      },
    },
  ];
  const level =
    spacings[0] === undefined ? '' : `, one tone ${formatFixed(spacings[0].toneBackoffDb, 1)} dB below saturated power`;
  return fillTable('spacings', `Products against tone spacing${level}`, spacings, columns);
}

/** Four digits of a spacing, whatever its size. */
function spacingDecimals({ toneSpacingHz }: TonePoint): number {
  return Math.max(0, 3 - Math.floor(Math.log10(toneSpacingHz / 1e6)));
}
