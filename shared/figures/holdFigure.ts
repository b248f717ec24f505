// The matrix of a frozen correction: trained on in rows, used on in columns, ACLR in every cell, tinted by the limit (or by
// what it loses against learning again); below it the sets stored over a band, and a picture of the worst cell's spectrum.
import { formatFixed } from '../format/numbers.ts';
import { HOLD_AXIS_NAMES } from '../reports/holdTables.ts';
import type { HoldReading, HoldResult } from '../schema/holdReport.ts';
import type { StudyReport } from '../schema/studyReport.ts';
import { axisNumber } from './chartRange.ts';
import { conditionLines } from './conditionLines.ts';
import { drawLineChart } from './lineChart.ts';
import { PALETTE, TRACE_STYLES } from './palette.ts';
import { svgDocument } from './stackedCharts.ts';
import { tag, textTag } from './svgText.ts';

const WIDTH = 960;
const LEFT = 170;
const TOP = 96;
const CELL_HEIGHT = 44;
const LINE = 17;
/** Losses up to this count as held where there is no limit. */
const HELD_DB = 3;

interface Cell {
  readonly reading: HoldReading | null;
  /** Null: nothing to judge by. */
  readonly spareDb: number | null;
  readonly isWorst: boolean;
  /** The condition it was learned under, or a bound: not frozen. */
  readonly isRetrained: boolean;
}

interface Row {
  readonly label: string;
  readonly cells: readonly Cell[];
  /** Stands behind the row, such as the memory of the sets. */
  readonly note: string;
}

/** Trained on × used on. */
export function drawHoldMatrix(report: StudyReport, result: HoldResult): string {
  const { conditions, cells, worst, requiredAclrDb } = result;
  const rows = [...new Set(cells.map(({ trainedOn }) => trainedOn))].map((trainedOn): Row => {
    const row = cells.filter((cell) => cell.trainedOn === trainedOn);
    return {
      label: conditions[trainedOn]?.label ?? '',
      note: '',
      cells: row.map(({ usedOn, reading, lossDb }) => ({
        reading,
        spareDb: spareDb(reading, lossDb, requiredAclrDb),
        isWorst: worst?.trainedOn === trainedOn && worst.usedOn === usedOn,
        isRetrained: trainedOn === usedOn,
      })),
    };
  });
  const isFull = rows.length === conditions.length;
  const bounds = isFull ? [] : [boundRow('retrained', result, ({ retrained }) => retrained)];
  const all = [...rows, ...bounds, boundRow('no correction', result, ({ uncorrected }) => uncorrected)];
  const heading = `Learned at (rows), used at (columns): ${HOLD_AXIS_NAMES[result.axis]}`;
  return drawGrid(report, { heading, columns: conditions.map(({ label }) => label), rows: all, result });
}

/** Sets × channels. */
export function drawHoldSets(report: StudyReport, result: HoldResult): string {
  const { sets, conditions, requiredAclrDb } = result;
  const rows = sets.map(({ setCount, channels, memoryBytes }): Row => {
    const readings = channels.map(({ reading }) => reading);
    const least = Math.min(...readings.map((reading) => reading?.worstAclrDb ?? Infinity));
    return {
      label: setCount === 1 ? '1 set' : `${setCount} sets`,
      note: `${memoryBytes} bytes`,
      cells: readings.map((reading, i) => ({
        reading,
        spareDb: spareDb(reading, lossOf(reading, conditions[i]?.retrained ?? null), requiredAclrDb),
        isWorst: reading?.worstAclrDb === least,
        isRetrained: false,
      })),
    };
  });
  const all = [
    boundRow('no correction', result, ({ uncorrected }) => uncorrected),
    ...rows,
    boundRow('learned on each', result, ({ retrained }) => retrained),
  ];
  const heading = 'Sets stored over the band (rows) on each channel (columns)';
  return drawGrid(report, { heading, columns: conditions.map(({ label }) => label), rows: all, result });
}

function boundRow(
  label: string,
  { conditions, requiredAclrDb }: HoldResult,
  pick: (condition: HoldResult['conditions'][number]) => HoldReading | null,
): Row {
  const cells = conditions.map((condition): Cell => {
    const reading = pick(condition);
    const spare = requiredAclrDb === null ? null : spareDb(reading, null, requiredAclrDb);
    return { reading, spareDb: spare, isWorst: false, isRetrained: true };
  });
  return { label, cells, note: '' };
}

function lossOf(reading: HoldReading | null, retrained: HoldReading | null): number | null {
  const [a, b] = [reading?.worstAclrDb ?? null, retrained?.worstAclrDb ?? null];
  return a === null || b === null ? null : b - a;
}

/** Room to the limit; without a limit, room to what still counts as held. */
function spareDb(reading: HoldReading | null, loss: number | null, requiredDb: number | null): number | null {
  const aclrDb = reading?.worstAclrDb ?? null;
  if (aclrDb === null) return null;
  if (requiredDb !== null) return aclrDb - requiredDb;
  return loss === null ? null : HELD_DB - loss;
}

interface Grid {
  readonly heading: string;
  readonly columns: readonly string[];
  readonly rows: readonly Row[];
  readonly result: HoldResult;
}

function drawGrid(report: StudyReport, { heading, columns, rows, result }: Grid): string {
  const hasNotes = rows.some(({ note }) => note !== '');
  const cellWidth = Math.min(104, (WIDTH - LEFT - (hasNotes ? 96 : 24)) / columns.length);
  const muted = { fill: PALETTE.muted, 'font-size': 12 };
  const right = LEFT + columns.length * cellWidth;
  const isTight = cellWidth < 80;
  const columnNames = columns.map((name, i) =>
    textTag(
      {
        ...muted,
        'font-size': isTight ? 11 : 12,
        x: LEFT + (i + 0.5) * cellWidth,
        y: TOP - 12,
        'text-anchor': 'middle',
      },
      name,
    ),
  );
  const body = rows.map((row, r) => {
    const y = TOP + r * CELL_HEIGHT;
    return [
      textTag({ ...muted, x: LEFT - 12, y: y + CELL_HEIGHT / 2 + 4, 'text-anchor': 'end' }, row.label),
      ...row.cells.map((cell, c) => drawCell(cell, LEFT + c * cellWidth, y, cellWidth)),
      ...(row.note === '' ? [] : [textTag({ ...muted, x: right + 12, y: y + CELL_HEIGHT / 2 + 4 }, row.note)]),
    ].join('');
  });
  const bottom = TOP + rows.length * CELL_HEIGHT;
  const notes = [keyLine(result), ...conditionLines(report.conditions)];
  const foot = notes.map((text, i) => textTag({ ...muted, x: 24, y: bottom + 30 + LINE * i }, text));
  const title = textTag({ x: 24, y: 26, 'font-size': 15, 'font-weight': 600, fill: PALETTE.ink }, report.study.title);
  const sub = textTag({ ...muted, x: 24, y: 50 }, heading);
  const height = bottom + 36 + LINE * notes.length;
  const document = {
    title: report.study.title,
    description: `${heading}. ${report.answer}`,
    width: WIDTH,
    height,
  };
  return `${svgDocument(document, [title, sub, ...columnNames, ...body, ...foot])}\n`;
}

function keyLine({ requiredAclrDb }: HoldResult): string {
  const what = 'ACLR of the first channel, worse side, dB';
  const judged =
    requiredAclrDb === null
      ? `✓ within ${HELD_DB} dB of learning again, ✕ not`
      : `✓ at least ${requiredAclrDb} dB, ✕ not`;
  return `${what}; ${judged}; small: EVM, %; framed: the worst; italic: not frozen.`;
}

function drawCell(
  { reading, spareDb: spare, isWorst, isRetrained }: Cell,
  x: number,
  y: number,
  width: number,
): string {
  const fill = spare === null ? PALETTE.column : spare >= 0 ? PALETTE.chosen : PALETTE.missed;
  const middle = { x: x + width / 2, 'text-anchor': 'middle' };
  const mark = spare === null ? '' : spare >= 0 ? '✓ ' : '✕ ';
  const aclrDb = reading?.worstAclrDb ?? null;
  const evm = reading?.evmPercent ?? null;
  const style = { 'font-size': 14, 'font-style': isRetrained ? 'italic' : undefined, fill: PALETTE.ink };
  const box = { x: x + 1.5, y: y + 1.5, width: width - 3, height: CELL_HEIGHT - 3 };
  return [
    tag('rect', { ...box, fill }),
    textTag({ ...middle, ...style, y: y + 20 }, aclrDb === null ? '–' : `${mark}${formatFixed(aclrDb, 1)}`),
    ...(evm === null
      ? []
      : [textTag({ ...middle, y: y + 36, 'font-size': 11, fill: PALETTE.muted }, formatFixed(evm, 2))]),
    ...(isWorst ? [tag('rect', { ...box, fill: 'none', stroke: PALETTE.over, 'stroke-width': 2 })] : []),
  ].join('');
}

/** The worst cell's corrected output against that of learning again; only with both spectra. */
export function drawHoldWorst(report: StudyReport, { worst, conditions }: HoldResult): string | null {
  if (worst === null || worst.spectrum === null) return null;
  const { spectrum, retrainedSpectrum, trainedOn, usedOn } = worst;
  const spectra = retrainedSpectrum === null ? [spectrum] : [spectrum, retrainedSpectrum];
  const megahertz = spectrum.frequencyHz.map((hz) => hz / 1e6);
  const top = Math.max(...spectra.flatMap(({ level }) => level));
  const name = (index: number) => conditions[index]?.label ?? '';
  const heading = `The worst cell: learned at ${name(trainedOn)}, used at ${name(usedOn)}`;
  return drawLineChart({
    title: heading,
    description: `Spectrum of the output with frozen coefficients and after learning again. ${report.answer}`,
    x: {
      label: 'Frequency offset, MHz',
      minimum: Math.min(...megahertz),
      maximum: Math.max(...megahertz),
      scale: 'linear',
      format: axisNumber,
    },
    y: { label: 'Level, dB', minimum: top - 90, maximum: top + 5, scale: 'linear', format: axisNumber },
    traces: [
      ...(retrainedSpectrum === null
        ? []
        : [
            {
              style: { ...TRACE_STYLES.corrected, name: 'Retrained' },
              x: retrainedSpectrum.frequencyHz.map((hz) => hz / 1e6),
              y: retrainedSpectrum.level,
            },
          ]),
      { style: { ...TRACE_STYLES.drive, name: 'Frozen' }, x: megahertz, y: spectrum.level },
    ],
    condition: conditionLines(report.conditions),
  });
}
