// The headroom ladder: ACLR and EVM against output back-off, with the limits, where each is met, and the gap that
// correction opens.
import { ALL_LIMITS, limitName } from '../format/limitText.ts';
import { formatFixed, formatQuantity, withUnit } from '../format/numbers.ts';
import { channelSaturatedPowerDbm } from '../schema/overBand.ts';
import type { Subject } from '../schema/report.ts';
import type { LadderPoint, LadderResult, LimitCrossing, StudyReport } from '../schema/studyReport.ts';
import type { ChartArrow, ChartPoint } from './chartMarks.ts';
import { axisNumber, rangeAround } from './chartRange.ts';
import { conditionLines } from './conditionLines.ts';
import type { ChartAxis, ChartColumn, ChartLimit, ChartTrace, LineChart } from './lineChart.ts';
import { PALETTE, TRACE_STYLES } from './palette.ts';
import { drawStack } from './stackedCharts.ts';

type Reading = LadderPoint['subjects'][number];

/** ACLR above EVM, over one axis of output back-off. */
export function drawLadder(report: StudyReport, result: LadderResult): string {
  const charts = [aclrChart(report, result), ...(hasEvm(result) ? [evmChart(report, result)] : [])];
  const last = charts.at(-1) as LineChart;
  const withConditions = [...charts.slice(0, -1), { ...last, condition: conditionLines(report.conditions) }];
  return drawStack(report.study.title, `ACLR and EVM against output back-off. ${report.answer}`, withConditions);
}

function hasEvm({ points }: LadderResult): boolean {
  return points.some(({ subjects }) => subjects.some(({ evmPercent }) => evmPercent !== null));
}

function backoffAxis(report: StudyReport, points: readonly LadderPoint[]): ChartAxis {
  const saturatedPowerDbm = channelSaturatedPowerDbm(report.scenario.amplifier);
  const { question } = report.study;
  const places = points.map(({ outputBackoffDb }) => outputBackoffDb);
  const [from, to] =
    question.kind === 'ladder'
      ? [question.outputBackoff.fromDb, question.outputBackoff.toDb]
      : [Math.min(...places), Math.max(...places)];
  const power = saturatedPowerDbm === null ? '' : '; below it the mean power at the amplifier, dBm';
  return {
    label: `Output back-off, dB${power}`,
    minimum: from,
    maximum: to,
    scale: 'linear',
    format: axisNumber,
    ...(saturatedPowerDbm === null ? {} : { under: (value) => formatFixed(saturatedPowerDbm - value, 1) }),
  };
}

/** The same axis without its name, which stands under the chart below. */
function unnamed({ under: _under, ...axis }: ChartAxis): ChartAxis {
  return { ...axis, label: '' };
}

/** A line for each output; the corrected one is drawn last. */
function tracesOf(points: readonly LadderPoint[], pick: (reading: Reading) => number | null): ChartTrace[] {
  const order: readonly Subject[] = ['ideal', 'uncorrected', 'corrected'];
  return order.flatMap((of) => {
    const read = points.flatMap((point) => {
      const reading = point.subjects.find((one) => one.of === of);
      const value = reading === undefined ? null : pick(reading);
      return value === null ? [] : [{ x: point.outputBackoffDb, y: value }];
    });
    if (read.length === 0) return [];
    return [{ style: TRACE_STYLES[of], dots: true, x: read.map(({ x }) => x), y: read.map(({ y }) => y) }];
  });
}

function crossingOf(result: LadderResult, of: Subject, limit: string): LimitCrossing | undefined {
  return result.crossings.find((one) => one.of === of && one.limit === limit);
}

/** From the least back-off at which the output that is used keeps all limits. */
function passColumn(report: StudyReport, result: LadderResult, axis: ChartAxis): ChartColumn[] {
  const of = report.scenario.predistorter === null ? 'uncorrected' : 'corrected';
  const needed = crossingOf(result, of, ALL_LIMITS);
  if (needed === undefined) return [];
  const name = of === 'corrected' ? 'within all limits, corrected' : 'within all limits';
  const fromX = Math.max(axis.minimum, needed.outputBackoffDb);
  return [{ fromX, toX: axis.maximum, heading: name, fill: PALETTE.chosen, readings: [] }];
}

function aclrChart(report: StudyReport, result: LadderResult): LineChart {
  const x = backoffAxis(report, result.points);
  const traces = tracesOf(result.points, ({ worstAclrDb }) => worstAclrDb);
  const required = report.scenario.limits.flatMap((limit) => (limit.reading === 'aclr' ? [limit.requiredDb] : []));
  // The ideal limiter reaches figures far above any limit; the axis ends where the others do, and a little above.
  const compared = traces.filter(({ style }) => style !== TRACE_STYLES.ideal).flatMap(({ y }) => Array.from(y));
  const [minimum, top] = rangeAround([...compared, ...required, ...required.map((level) => level + 12)], 6);
  const limits = report.scenario.limits.flatMap((limit): ChartLimit[] =>
    limit.reading === 'aclr'
      ? [limitLine(`ACLR ${limit.channel} ≥ ${withUnit(String(limit.requiredDb), 'dB')}`, limit.requiredDb, x, 'below')]
      : [],
  );
  return {
    title: report.study.title,
    description: 'ACLR of the worse side of the first channel against output back-off.',
    x: hasEvm(result) ? unnamed(x) : x,
    y: { label: 'ACLR, worse side, dB', minimum, maximum: top, scale: 'linear', format: axisNumber },
    traces,
    limits,
    columns: passColumn(report, result, x),
    points: crossingPoints(report, result, 'aclr'),
    arrows: gapArrow(report, result, minimum, top),
    plotHeight: 340,
    condition: [],
  };
}

function evmChart(report: StudyReport, result: LadderResult): LineChart {
  const x = backoffAxis(report, result.points);
  const traces = tracesOf(result.points, ({ evmPercent }) => evmPercent);
  const allowed = report.scenario.limits.flatMap((limit) => (limit.reading === 'evm' ? [limit.requiredPercent] : []));
  const [, maximum] = rangeAround(
    [0, ...traces.flatMap(({ y }) => Array.from(y)), ...allowed.map((level) => 1.3 * level)],
    4,
  );
  const limits = allowed.map((level) => limitLine(`EVM ≤ ${withUnit(String(level), '%')}`, level, x, 'above'));
  return {
    title: '',
    description: 'EVM against output back-off.',
    x,
    y: { label: 'EVM, rms, %', minimum: 0, maximum, scale: 'linear', format: axisNumber },
    traces,
    limits,
    columns: passColumn(report, result, x).map((column) => ({ ...column, heading: '' })),
    points: crossingPoints(report, result, 'evm'),
    plotHeight: 170,
    condition: [],
  };
}

function limitLine(label: string, level: number, x: ChartAxis, forbidden: 'above' | 'below'): ChartLimit {
  return { label, level, fromX: x.minimum, toX: x.maximum, forbidden };
}

const SAME_DB = 0.05;

/** A ring where an output meets a single limit, with back-off and power beside the one that decides. */
function crossingPoints(report: StudyReport, result: LadderResult, reading: 'aclr' | 'evm'): ChartPoint[] {
  return report.scenario.limits.flatMap((limit) => {
    if (limit.reading !== reading) return [];
    const name = limitName(limit);
    const y = limit.reading === 'aclr' ? limit.requiredDb : limit.requiredPercent;
    return (['uncorrected', 'corrected'] as const).flatMap((of): ChartPoint[] => {
      const crossing = crossingOf(result, of, name);
      if (crossing === undefined || !crossing.bracketed) return [];
      const { colour } = TRACE_STYLES[of];
      const all = crossingOf(result, of, ALL_LIMITS);
      // Two searches for the same point end within their tolerance of each other.
      const decides = all !== undefined && Math.abs(all.outputBackoffDb - crossing.outputBackoffDb) < SAME_DB;
      const point: ChartPoint = { x: crossing.outputBackoffDb, y, colour, shape: 'ring', labelAt: 'below' };
      return [decides ? { ...point, label: crossingLabel(all) } : point];
    });
  });
}

function crossingLabel({ outputBackoffDb, meanPowerDbm, isEstimate }: LimitCrossing): string {
  const backoff = `${isEstimate ? '≈ ' : ''}${formatQuantity(outputBackoffDb, 'dB')}`;
  return meanPowerDbm === null ? backoff : `${backoff}: ${formatQuantity(meanPowerDbm, 'dBm')}`;
}

/** From the back-off needed uncorrected to the one needed corrected, in the upper part of the plot. */
function gapArrow(report: StudyReport, result: LadderResult, minimum: number, maximum: number): ChartArrow[] {
  const without = crossingOf(result, 'uncorrected', ALL_LIMITS);
  const corrected = crossingOf(result, 'corrected', ALL_LIMITS);
  if (without === undefined || corrected === undefined || result.gain === null || result.gain.backoffDb < 0.3)
    return [];
  const { backoffDb, dcPowerCorrectedW, dcPowerUncorrectedW } = result.gain;
  const dc =
    dcPowerCorrectedW === null || dcPowerUncorrectedW === null
      ? ''
      : `, ${formatFixed(dcPowerUncorrectedW - dcPowerCorrectedW, 0)} W less DC, ideal`;
  const y = Math.max(
    ...report.scenario.limits.flatMap((limit) => (limit.reading === 'aclr' ? [limit.requiredDb] : [])),
  );
  const level = Number.isFinite(y) ? y + 0.16 * (maximum - minimum) : minimum + 0.75 * (maximum - minimum);
  return [
    {
      fromX: without.outputBackoffDb,
      toX: corrected.outputBackoffDb,
      y: Math.min(level, minimum + 0.88 * (maximum - minimum)),
      label: `correction buys ${formatQuantity(backoffDb, 'dB')}${dc}`,
    },
  ];
}
