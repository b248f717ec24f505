// The figures of a study as tables: the first is the one a reader needs, the others stand behind it.
import { formatFixed } from '../format/numbers.ts';
import { structureName } from '../format/structureName.ts';
import type {
  AskOption,
  AskRefusal,
  LadderPoint,
  LadderResult,
  ShapePoint,
  SpreadReading,
  SpreadResult,
  StudyReport,
  YieldReading,
} from '../schema/studyReport.ts';
import { burstTables } from './burstTables.ts';
import { holdTables } from './holdTables.ts';
import { mapTables } from './mapTables.ts';
import { pathTable } from './pathTable.ts';
import { type ColumnOf, fillTable, type ReadingTable } from './readingTable.ts';
import { STATE_MARKS } from './runParts.ts';
import { toneTables } from './toneTables.ts';

/** All tables of a study, in reading order; tables without rows are left out. */
export function studyTables(report: StudyReport): ReadingTable[] {
  return tablesOf(report).filter(({ rows }) => rows.length > 0);
}

function tablesOf({ result }: StudyReport): ReadingTable[] {
  switch (result.kind) {
    case 'ladder':
      return [crossingsTable(result), gainTable(result), pointsTable(result), peaksTable(result)];
    case 'shape':
      return [shapeTable(result.points, result.best)];
    case 'map':
      return mapTables(result);
    case 'ask':
      return [optionsTable(result.options), refusedTable(result.refused)];
    case 'spread':
      return spreadTables(result);
    case 'tones':
      return toneTables(result);
    case 'burst':
      return burstTables(result);
    case 'hold':
      return holdTables(result);
    case 'path':
      return [pathTable(result)];
  }
}

/** Name of the table that `--out` writes as table.csv: the one a picture could be drawn from. */
export const MAIN_TABLES: Readonly<Record<StudyReport['questionKind'], string>> = {
  ladder: 'ladder',
  shape: 'crest',
  map: 'cells',
  ask: 'options',
  spread: 'readings',
  tones: 'tones',
  burst: 'symbols',
  path: 'path',
  hold: 'matrix',
};

type CrossingRow = LadderResult['crossings'][number] | LadderResult['unmet'][number];

const found = (row: CrossingRow) => ('outputBackoffDb' in row ? row : null);

function crossingsTable(result: LadderResult): ReadingTable {
  const rows: CrossingRow[] = [...result.crossings, ...result.unmet];
  const columns: ColumnOf<CrossingRow>[] = [
    { heading: 'limit', value: ({ limit }) => limit },
    { heading: 'output', value: ({ of }) => OUTPUTS[of] },
    { heading: 'back-off, dB', decimals: 2, keep: true, value: (row) => found(row)?.outputBackoffDb ?? null },
    { group: 'mean power', heading: 'dBm', decimals: 2, value: (row) => found(row)?.meanPowerDbm ?? null },
    { group: 'mean power', heading: 'W', decimals: 2, value: (row) => found(row)?.meanPowerW ?? null },
    { heading: 'antenna, dBm', decimals: 2, value: (row) => antennaOf(row) },
    { group: 'ideal', heading: 'DC, W', decimals: 1, value: (row) => found(row)?.dcPowerW ?? null },
    { group: 'ideal', heading: 'heat, W', decimals: 1, value: (row) => found(row)?.heatW ?? null },
    { heading: 'note', value: crossingNote },
  ];
  return fillTable('crossings', 'Smallest output back-off that meets each limit', rows, columns);
}

/** Only where it differs from the power at the amplifier. */
function antennaOf(row: CrossingRow): number | null {
  const crossing = found(row);
  return crossing === null || crossing.antennaMeanDbm === crossing.meanPowerDbm ? null : crossing.antennaMeanDbm;
}

function crossingNote(row: CrossingRow): string {
  if (!('outputBackoffDb' in row)) {
    const { bestMarginDb } = row;
    // Each limit may be met somewhere, and all of them nowhere at once.
    if (!Number.isFinite(bestMarginDb) || bestMarginDb >= 0) return 'not met';
    return `not met, misses by ${formatFixed(-bestMarginDb, 1)} dB`;
  }
  if (!row.bracketed) return 'less would do';
  return row.isEstimate ? 'estimate so far' : '';
}

export const OUTPUTS = { uncorrected: 'uncorrected', corrected: 'corrected', ideal: 'ideal' } as const;

interface Fact {
  readonly what: string;
  readonly value: number | null;
  readonly unit: string;
}

function gainTable({ gain, correctionCost, correctionFailsBelowDb }: LadderResult): ReadingTable {
  const facts: Fact[] = [
    { what: 'output back-off saved', value: gain?.backoffDb ?? null, unit: 'dB' },
    { what: 'mean power gained', value: gain?.meanPowerW ?? null, unit: 'W' },
    { what: 'DC power, ideal, this amplifier corrected', value: gain?.dcPowerCorrectedW ?? null, unit: 'W' },
    { what: 'DC power, ideal, a larger one uncorrected', value: gain?.dcPowerUncorrectedW ?? null, unit: 'W' },
    { what: 'heat saved, ideal', value: gain?.heatSavedW ?? null, unit: 'W' },
    { what: 'saturated power of the larger one', value: gain?.largerSaturatedPowerDbm ?? null, unit: 'dBm' },
    { what: 'correction fails up to an output back-off of', value: correctionFailsBelowDb, unit: 'dB' },
    { what: 'coefficients', value: correctionCost?.coefficientCount ?? null, unit: '' },
    { what: 'real multiplications a sample', value: correctionCost?.realMultipliesPerSample ?? null, unit: '' },
    {
      what: 'floating-point operations a sample, term by term',
      value: correctionCost?.floatingPointOperationsPerSample ?? null,
      unit: '',
    },
    { what: 'gain tables', value: correctionCost?.tableCount ?? null, unit: '' },
    { what: 'memory of one set', value: correctionCost?.bytesPerSet ?? null, unit: 'bytes' },
  ].filter(({ value }) => value !== null);
  return fillTable('correction', 'What correction buys at the same clean power, and what it costs', facts, [
    { heading: 'what', value: ({ what }) => what },
    {
      heading: 'figure',
      decimals: ({ unit }) => (unit === '' || unit === 'bytes' ? 0 : 2),
      value: ({ value }) => value,
    },
    { heading: 'unit', value: ({ unit }) => unit },
  ]);
}

type LadderReading = LadderPoint['subjects'][number];

/** One column for each output of a ladder, under the group's name. */
function perOutput(points: readonly LadderPoint[]) {
  const subjects = points[0]?.subjects.map(({ of }) => of) ?? [];
  return (group: string, decimals: number, value: (reading: LadderReading) => number | null, isDetail = false) =>
    subjects.map((of): ColumnOf<LadderPoint> => {
      return {
        group,
        heading: SHORT_OUTPUTS[of],
        decimals,
        isDetail,
        value: (point) => {
          const reading = point.subjects.find((one) => one.of === of);
          return reading === undefined ? null : value(reading);
        },
      };
    });
}

function pointsTable({ points, power }: LadderResult): ReadingTable {
  const subjects = points[0]?.subjects.map(({ of }) => of) ?? [];
  const each = perOutput(points);
  const ideal = power?.label ?? 'ideal';
  const columns: ColumnOf<LadderPoint>[] = [
    { heading: 'back-off, dB', decimals: 1, value: ({ outputBackoffDb }) => outputBackoffDb },
    { heading: 'mean, dBm', decimals: 1, value: ({ meanPowerDbm }) => meanPowerDbm },
    ...each('ACLR, worse side, dB', 1, ({ worstAclrDb }) => worstAclrDb),
    ...each('EVM, %', 2, ({ evmPercent }) => evmPercent),
    ...each('worst margin, dB', 1, ({ worstMarginDb }) => worstMarginDb, true),
    ...each(`DC power, ${ideal}, W`, 1, ({ dcPowerW }) => dcPowerW, true),
    ...each(`heat, ${ideal}, W`, 1, ({ heatW }) => heatW, true),
    ...(subjects.includes('corrected')
      ? [{ heading: 'note', value: (point: LadderPoint) => (point.correctionUsed ? '' : 'correction not used') }]
      : []),
  ];
  return fillTable('ladder', 'Readings against output back-off', points, columns);
}

/** Peaks, heat and what follows from it: for pages and files. */
function peaksTable({ points, power }: LadderResult): ReadingTable {
  const each = perOutput(points);
  const ideal = power?.label ?? 'ideal';
  const columns: ColumnOf<LadderPoint>[] = [
    { heading: 'back-off, dB', decimals: 1, value: ({ outputBackoffDb }) => outputBackoffDb },
    ...each('peak output, dBm', 2, ({ peakPowerDbm }) => peakPowerDbm),
    ...each('peak output, W', 2, ({ peakPowerW }) => peakPowerW),
    ...each('peak drive, dBm', 2, ({ drivePeakDbm }) => drivePeakDbm),
    ...each('peak drive, W', 4, ({ drivePeakW }) => drivePeakW),
    ...each(`drain efficiency, ${ideal}, %`, 1, ({ efficiencyPercent }) => efficiencyPercent),
    ...each(`junction, ${ideal}, °C`, 1, ({ junctionTemperatureC }) => junctionTemperatureC),
  ];
  const isKnown = points.some(({ subjects }) => subjects.some(({ peakPowerW }) => peakPowerW !== null));
  return fillTable('peaks', 'Peaks and efficiency against output back-off', isKnown ? points : [], columns);
}

const SHORT_OUTPUTS = { uncorrected: 'uncorr.', corrected: 'corr.', ideal: 'ideal' } as const;

function shapeTable(points: readonly ShapePoint[], best: ShapePoint | null): ReadingTable {
  const columns: ColumnOf<ShapePoint>[] = [
    {
      heading: 'target, dB',
      decimals: 1,
      value: ({ targetPaprDb }) => targetPaprDb ?? 'none',
    },
    { heading: 'reached, dB', decimals: 2, value: ({ reachedPaprDb }) => reachedPaprDb },
    { heading: 'EVM spent, %', decimals: 2, value: ({ crestEvmPercent }) => crestEvmPercent },
    {
      group: 'least back-off, dB',
      heading: 'corr.',
      decimals: 2,
      value: ({ correctedBackoffDb }) => correctedBackoffDb,
    },
    {
      group: 'least back-off, dB',
      heading: 'uncorr.',
      decimals: 2,
      value: ({ uncorrectedBackoffDb }) => uncorrectedBackoffDb,
    },
    { group: 'mean, dBm', heading: 'corr.', decimals: 2, value: ({ correctedPowerDbm }) => correctedPowerDbm },
    { group: 'mean, dBm', heading: 'uncorr.', decimals: 2, value: ({ uncorrectedPowerDbm }) => uncorrectedPowerDbm },
    { group: 'corrected there', heading: 'ACLR, dB', decimals: 1, value: ({ correctedAclrDb }) => correctedAclrDb },
    {
      group: 'corrected there',
      heading: 'EVM, %',
      decimals: 2,
      value: ({ correctedEvmPercent }) => correctedEvmPercent,
    },
    { heading: 'note', value: (point) => shapeNote(point, best) },
  ];
  const caption = 'Crest factor against the EVM it spends and the output back-off it allows';
  return fillTable('crest', caption, points, columns, (point) => isSameTarget(point, best));
}

export function isSameTarget(point: ShapePoint, best: ShapePoint | null): boolean {
  return best !== null && point.targetPaprDb === best.targetPaprDb;
}

function shapeNote(point: ShapePoint, best: ShapePoint | null): string {
  const miss = point.correctedMiss ?? point.uncorrectedMiss;
  const parts = [
    ...(isSameTarget(point, best) ? ['best'] : []),
    ...(point.withinEvmBudget ? [] : ['over the EVM budget']),
    ...(miss === null
      ? []
      : [
          `${point.correctedMiss === null ? 'uncorrected ' : ''}misses ${miss.limit} by ${formatFixed(-miss.marginDb, 1)} dB`,
        ]),
    ...(point.complete ? [] : ['unfinished']),
  ];
  return parts.join('; ');
}

function wayColumns<Row extends AskOption | AskRefusal>(): ColumnOf<Row>[] {
  return [
    { heading: 'correction', value: wayText },
    {
      heading: 'crest, dB',
      decimals: 1,
      value: ({ targetPaprDb }) => targetPaprDb ?? 'none',
    },
  ];
}

export function wayText({ corrected, highestOrder, memoryDepth }: AskOption | AskRefusal): string {
  return corrected && highestOrder !== null && memoryDepth !== null ? structureName(highestOrder, memoryDepth) : 'none';
}

function optionsTable(options: readonly AskOption[]): ReadingTable {
  const columns: ColumnOf<AskOption>[] = [
    ...wayColumns<AskOption>(),
    { heading: 'back-off, dB', decimals: 2, value: ({ outputBackoffDb }) => outputBackoffDb },
    {
      group: 'saturated power',
      heading: 'dBm',
      decimals: 1,
      value: ({ neededSaturatedPowerDbm }) => neededSaturatedPowerDbm,
    },
    {
      group: 'saturated power',
      heading: 'W',
      decimals: 1,
      value: ({ neededSaturatedPowerDbm }) => 10 ** ((neededSaturatedPowerDbm - 30) / 10),
    },
    { heading: 'ACLR, dB', decimals: 1, value: ({ worstAclrDb }) => worstAclrDb, isDetail: true },
    { heading: 'EVM, %', decimals: 2, value: ({ evmPercent }) => evmPercent, isDetail: true },
    { heading: 'DC, ideal, W', decimals: 1, value: ({ dcPowerW }) => dcPowerW, isDetail: true },
    { heading: 'heat, ideal, W', decimals: 1, value: ({ heatW }) => heatW, isDetail: true },
    { heading: 'multiplies', decimals: 0, value: ({ cost }) => cost?.realMultipliesPerSample ?? null },
    {
      heading: 'operations',
      decimals: 0,
      value: ({ cost }) => cost?.floatingPointOperationsPerSample ?? null,
      isDetail: true,
    },
    { heading: 'own gives, dBm', decimals: 1, value: ({ mostAntennaMeanDbm }) => mostAntennaMeanDbm },
    { heading: 'note', value: optionNote },
  ];
  const caption = 'Ways to the wanted clean power, least saturated power first';
  const first = options.find(({ withinEvmBudget }) => withinEvmBudget);
  return fillTable('options', caption, options, columns, (option) => option === first);
}

function optionNote({ withinEvmBudget, bracketed }: AskOption): string {
  return [...(withinEvmBudget ? [] : ['over the EVM budget']), ...(bracketed ? [] : ['less would do'])].join('; ');
}

function refusedTable(refused: readonly AskRefusal[]): ReadingTable {
  return fillTable('refused', 'Ways that meet the limits at no output back-off of the range', refused, [
    ...wayColumns<AskRefusal>(),
    { heading: 'limit missed most', value: ({ miss }) => miss.limit },
    { heading: 'by at best, dB', decimals: 1, value: ({ miss }) => -miss.marginDb },
  ]);
}

/** Over seeds, and over units where there are any. */
export function spreadTables({ readings, yields }: SpreadResult): ReadingTable[] {
  return [spreadTable(readings), yieldTable(yields)].filter(({ rows }) => rows.length > 0);
}

function spreadTable(readings: readonly SpreadReading[]): ReadingTable {
  const columns: ColumnOf<SpreadReading>[] = [
    { heading: 'limit', value: ({ limit }) => limit },
    { heading: 'output', value: ({ of }) => OUTPUTS[of] },
    { heading: 'mean', decimals: 2, value: ({ mean }) => mean },
    { heading: '± one sd', decimals: 2, value: ({ standardDeviation }) => standardDeviation },
    { heading: 'worst', decimals: 2, value: ({ worst }) => worst },
    { heading: 'unit', value: ({ unit }) => unit },
    { heading: 'margin of the mean, dB', decimals: 2, value: ({ marginDb }) => marginDb },
    { heading: 'verdict', value: ({ state }) => STATE_MARKS[state] },
  ];
  return fillTable('readings', 'Readings over the seeds', readings, columns);
}

function yieldTable(yields: readonly YieldReading[]): ReadingTable {
  return fillTable('yield', 'Amplifiers of one production line that meet all limits', yields, [
    { heading: 'output', value: ({ of }) => OUTPUTS[of] },
    { heading: 'units', decimals: 0, value: ({ unitCount }) => unitCount },
    { heading: 'pass', decimals: 0, value: ({ passCount }) => passCount },
    { heading: 'yield, %', decimals: 1, value: ({ yieldPercent }) => yieldPercent },
    { group: '95 % interval', heading: 'from, %', decimals: 1, value: ({ lowPercent }) => lowPercent },
    { group: '95 % interval', heading: 'to, %', decimals: 1, value: ({ highPercent }) => highPercent },
  ]);
}
