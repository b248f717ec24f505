// The emission plot of a report or a record: spectra, limit lines, ACLR columns. Chooses and places; every figure is the
// report's own.
import { WINDOW_NAMES } from '../format/measurementWords.ts';
import { formatCount, formatEngineering, formatFixed, formatQuantity } from '../format/numbers.ts';
import type { AclrReading, OutputReport, Report, Traces } from '../schema/report.ts';
import { type ChartColumn, type ChartLimit, type ChartTrace, drawLineChart } from './lineChart.ts';
import { TRACE_STYLES, type TraceStyle } from './palette.ts';

/** The axis reaches this far below its top at most, and less when the lines end above. */
const SHOWN_RANGE_DB = 110;
const GRID_DB = 10;

/** The conditions every spectrum states. */
export interface SpectrumCondition {
  readonly method: 'segments' | 'wholeRecord';
  readonly window: string;
  readonly segmentLength: number;
  readonly segmentCount: number;
  readonly resolutionBandwidthHz: number;
}

/** Emission plot of a run. */
export function drawSpectrum(report: Report): string {
  const { spectra, conditions, limitLines } = report.traces;
  const traces = [
    traceOf(TRACE_STYLES.waveform, spectra.waveform),
    traceOf(TRACE_STYLES.ideal, spectra.ideal),
    traceOf(TRACE_STYLES.uncorrected, spectra.uncorrected),
    ...(spectra.corrected ? [traceOf(TRACE_STYLES.corrected, spectra.corrected)] : []),
  ];
  const columns = runColumns(report);
  const reach = reachOf(columns, report.waveform.carriers, spectra.uncorrected.frequencyHz);
  const unit = conditions.unit === 'dBm' ? 'dBm at the antenna port' : 'dB re saturation';
  return drawLineChart({
    title: report.scenario.title,
    description: `Power spectra of the waveform and of the amplifier’s output. ${report.answer}`,
    x: offsetAxis(reach),
    y: levelAxis(`${unit}, in ${formatEngineering(conditions.resolutionBandwidthHz, 'Hz')}`, traces, reach),
    traces,
    limits: shownLimits(limitLines, reach),
    columns,
    condition: [runCondition(report), `${estimatorCondition(conditions)}. Readings in the columns: ACLR in dB`],
  });
}

type LimitLine = Traces['limitLines'][number];

/**
 * Limit lines cut to the shown part of the axis, in MHz. A mask of many pieces has its name once, at its longest shown
 * piece; so have ratios of one name on either side.
 */
export function shownLimits(lines: readonly LimitLine[], reach: readonly [number, number]): ChartLimit[] {
  const shown = lines.flatMap((line) => {
    const cut = cutLine(line, reach);
    return cut === null ? [] : [{ line, cut }];
  });
  return shown.map(({ line, cut }) => {
    const same = shown.filter(
      (other) =>
        other.line.kind === line.kind &&
        other.line.label === line.label &&
        (line.kind === 'mask' || isRight(other.cut) === isRight(cut)),
    );
    const longest = same.reduce((a, b) => (b.cut.toX - b.cut.fromX >= a.cut.toX - a.cut.fromX ? b : a));
    return longest.cut === cut ? cut : { ...cut, label: '' };
  });
}

const isRight = ({ fromX, toX }: ChartLimit) => fromX + toX > 0;

function cutLine({ label, fromHz, toHz, level, toLevel }: LimitLine, [low, high]: readonly [number, number]) {
  const [fromX, toX] = [Math.max(low, fromHz / 1e6), Math.min(high, toHz / 1e6)];
  if (toX < fromX) return null;
  const at = (x: number) =>
    toHz === fromHz ? level : level + ((x * 1e6 - fromHz) / (toHz - fromHz)) * (toLevel - level);
  return { label, fromX, toX, level: at(fromX), toLevel: at(toX) };
}

function traceOf(style: TraceStyle, trace: { frequencyHz: Float64Array; level: Float64Array }): ChartTrace {
  return { style, x: trace.frequencyHz.map((hz) => hz / 1e6), y: trace.level };
}

function runColumns(report: Report): ChartColumn[] {
  const outputs: readonly (readonly [OutputReport | null, TraceStyle])[] = [
    [report.uncorrected, TRACE_STYLES.uncorrected],
    [report.corrected, TRACE_STYLES.corrected],
    [report.ideal, TRACE_STYLES.ideal],
  ];
  const columns = report.uncorrected.aclr.map(({ channel, centreHz, bandwidthHz, side }) => {
    const readings = outputs.flatMap(([output, { colour }]) => {
      const found = output?.aclr.find(
        (one) => one.channel === channel && one.side === side && one.centreHz === centreHz,
      );
      return found === undefined ? [] : [{ colour, text: formatFixed(found.aclrDb, 1) }];
    });
    const [fromX, toX] = [(centreHz - bandwidthHz / 2) / 1e6, (centreHz + bandwidthHz / 2) / 1e6];
    return { fromX, toX, heading: channel, readings };
  });
  return apart(columns);
}

/** Columns that lie over an earlier one are left out: their readings would cover each other. */
export function apart(columns: readonly ChartColumn[]): ChartColumn[] {
  const kept: ChartColumn[] = [];
  for (const column of columns) {
    if (kept.every((other) => column.fromX >= other.toX || other.fromX >= column.toX)) kept.push(column);
  }
  return kept;
}

/** Place of a measured channel beside the outer carriers, in MHz. */
export function columnOf(
  reading: Pick<AclrReading, 'channel' | 'side' | 'offsetHz' | 'bandwidthHz'>,
  lowestHz: number,
  highestHz: number,
  readings: ChartColumn['readings'],
): ChartColumn {
  const centreHz = reading.side === 'lower' ? lowestHz - reading.offsetHz : highestHz + reading.offsetHz;
  return {
    fromX: (centreHz - reading.bandwidthHz / 2) / 1e6,
    toX: (centreHz + reading.bandwidthHz / 2) / 1e6,
    heading: reading.channel,
    readings,
  };
}

/** Carriers and measured channels with half a channel of room, inside the axis; MHz. */
export function reachOf(
  columns: readonly ChartColumn[],
  carriers: readonly { readonly offsetHz: number; readonly channelBandwidthHz: number }[],
  frequencyHz: ArrayLike<number>,
): readonly [number, number] {
  const half = Math.max(...carriers.map(({ channelBandwidthHz }) => channelBandwidthHz)) / 2e6;
  const offsets = carriers.map(({ offsetHz }) => offsetHz / 1e6);
  const low = Math.min(Math.min(...offsets) - half, ...columns.map(({ fromX }) => fromX)) - half;
  const high = Math.max(Math.max(...offsets) + half, ...columns.map(({ toX }) => toX)) + half;
  const last = (frequencyHz[frequencyHz.length - 1] as number) / 1e6;
  return [Math.max(low, (frequencyHz[0] as number) / 1e6), Math.min(high, last)];
}

export function offsetAxis([minimum, maximum]: readonly [number, number]) {
  const format = (value: number) => (value > 0 ? `+${shortNumber(value)}` : shortNumber(value));
  return { label: 'Offset from the centre, MHz', minimum, maximum, scale: 'linear' as const, format };
}

const shortNumber = (value: number): string => String(value).replace('-', '\u2212');

/** Whole tens of dB around the shown part of the lines. */
export function levelAxis(label: string, traces: readonly ChartTrace[], reach: readonly [number, number]) {
  let [lowest, highest] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const { x, y } of traces) {
    for (let i = 0; i < x.length; i++) {
      if ((x[i] as number) < reach[0] || (x[i] as number) > reach[1]) continue;
      lowest = Math.min(lowest, y[i] as number);
      highest = Math.max(highest, y[i] as number);
    }
  }
  // The headings of the columns stand above the lines.
  const maximum = GRID_DB * Math.ceil((highest + 12) / GRID_DB);
  const minimum = Math.max(GRID_DB * Math.floor(lowest / GRID_DB), maximum - SHOWN_RANGE_DB);
  return { label, minimum, maximum, scale: 'linear' as const, format: shortNumber };
}

/** Power, EVM's equalizer, seed. */
export function runCondition({ uncorrected, scenario, waveform }: Report): string {
  const antenna = uncorrected.antennaMeanDbm;
  const power =
    antenna === null ? '' : `${formatQuantity(antenna, 'dBm', 2)} mean at the antenna port for every output trace, `;
  const record = `${formatCount(waveform.sampleCount)} samples at ${formatEngineering(waveform.sampleRateHz, 'Hz', 5)}`;
  return `${power}${formatQuantity(uncorrected.outputBackoffDb, 'dB', 2)} output back-off; ${record}; judging seed ${scenario.seeds.judging}`;
}

/** Resolution bandwidth, averages, window. */
export function estimatorCondition(conditions: SpectrumCondition): string {
  const bandwidth = `Resolution bandwidth ${formatEngineering(conditions.resolutionBandwidthHz, 'Hz')}`;
  if (conditions.method === 'wholeRecord') return `${bandwidth}, whole record on exact bins`;
  const averages = `${conditions.segmentCount} averages of ${formatCount(conditions.segmentLength)} samples`;
  return `${bandwidth}, ${averages}, ${WINDOW_NAMES[conditions.window] ?? conditions.window}`;
}
