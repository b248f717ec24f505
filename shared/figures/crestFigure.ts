// The crest-factor trade: the least output back-off within all limits, and the EVM spent, against the crest factor.
import { formatProbability, formatQuantity } from '../format/numbers.ts';
import type { ShapePoint, ShapeResult, StudyReport } from '../schema/studyReport.ts';
import type { ChartPoint } from './chartMarks.ts';
import { axisNumber, rangeAround } from './chartRange.ts';
import { conditionLines } from './conditionLines.ts';
import type { ChartAxis, ChartLimit, ChartTrace, LineChart } from './lineChart.ts';
import { TRACE_STYLES, type TraceStyle } from './palette.ts';
import { drawStack } from './stackedCharts.ts';

/** Back-off above EVM, over one axis of crest factor. */
export function drawCrestTrade(report: StudyReport, result: ShapeResult): string {
  const points = [...result.points].filter((point) => placeOf(point) !== null).sort(byPapr);
  const x = paprAxis(points);
  const description = `Output back-off needed and EVM against the crest factor. ${report.answer}`;
  const charts = [backoffChart(report, result, points, x), evmChart(report, points, x)];
  return drawStack(report.study.title, description, charts);
}

/** The crest factor read, or the target where the record is too short to read one. */
function placeOf({ reachedPaprDb, targetPaprDb }: ShapePoint): number | null {
  return reachedPaprDb ?? targetPaprDb;
}

const byPapr = (a: ShapePoint, b: ShapePoint) => (placeOf(a) as number) - (placeOf(b) as number);

function paprAxis(points: readonly ShapePoint[]): ChartAxis {
  const [minimum, maximum] = rangeAround(
    points.flatMap((point) => [(placeOf(point) as number) - 0.2, (placeOf(point) as number) + 0.2]),
    7,
  );
  const probability = formatProbability(points[0]?.paprProbability ?? 1e-4);
  const label = `Crest factor reached at ${probability}, dB`;
  return { label, minimum, maximum, scale: 'linear', format: axisNumber };
}

function traceOf(style: TraceStyle, points: readonly ShapePoint[], pick: (point: ShapePoint) => number | null) {
  const read = points.filter((point) => pick(point) !== null);
  const trace: ChartTrace = {
    style,
    dots: true,
    x: read.map((point) => placeOf(point) as number),
    y: read.map((point) => pick(point) as number),
  };
  return read.length === 0 ? [] : [trace];
}

function backoffChart(
  report: StudyReport,
  { best }: ShapeResult,
  points: readonly ShapePoint[],
  x: ChartAxis,
): LineChart {
  const traces = [
    ...traceOf(TRACE_STYLES.uncorrected, points, ({ uncorrectedBackoffDb }) => uncorrectedBackoffDb),
    ...traceOf(TRACE_STYLES.corrected, points, ({ correctedBackoffDb }) => correctedBackoffDb),
  ];
  const values = traces.flatMap(({ y }) => Array.from(y));
  const [minimum, maximum] = rangeAround([...values, ...values.map((value) => value - 1.5)], 5);
  return {
    title: report.study.title,
    description: 'Smallest output back-off that meets all limits against the crest factor.',
    x: { ...x, label: '' },
    y: { label: 'Least output back-off within all limits, dB', minimum, maximum, scale: 'linear', format: axisNumber },
    traces,
    points: bestPoint(best),
    plotHeight: 280,
    condition: [],
  };
}

function bestPoint(best: ShapePoint | null): ChartPoint[] {
  const backoffDb = best?.correctedBackoffDb ?? best?.uncorrectedBackoffDb ?? null;
  const place = best && placeOf(best);
  if (best === null || place === null || backoffDb === null) return [];
  const isCorrected = best.correctedBackoffDb !== null;
  const power = isCorrected ? best.correctedPowerDbm : best.uncorrectedPowerDbm;
  const target = best.targetPaprDb === null ? 'no reduction' : `target ${formatQuantity(best.targetPaprDb, 'dB')}`;
  const what = power === null ? formatQuantity(backoffDb, 'dB') : formatQuantity(power, 'dBm');
  const { colour } = isCorrected ? TRACE_STYLES.corrected : TRACE_STYLES.uncorrected;
  const label = `best: ${target}, ${what}`;
  return [{ x: place, y: backoffDb, colour, shape: 'ring', label, labelAt: 'below' }];
}

const SPENT: TraceStyle = { ...TRACE_STYLES.shaped, name: 'Spent on crest' };

function evmChart(report: StudyReport, points: readonly ShapePoint[], x: ChartAxis): LineChart {
  const { scenario } = report;
  const traces = [
    ...traceOf(SPENT, points, ({ crestEvmPercent }) => crestEvmPercent),
    ...traceOf(TRACE_STYLES.corrected, points, ({ correctedEvmPercent }) => correctedEvmPercent),
  ];
  const lines = scenario.limits.flatMap((limit) => (limit.reading === 'evm' ? [limit.requiredPercent] : []));
  const budget = scenario.waveform.crestFactorReduction?.evmBudgetPercent ?? null;
  const limits: ChartLimit[] = [
    ...lines.map((level) => limitAt(x, level, `limit: EVM ≤ ${formatQuantity(level, '%')}`)),
    ...(budget === null ? [] : [limitAt(x, budget, `budget of the reduction: ${formatQuantity(budget, '%')}`)]),
  ];
  const [, maximum] = rangeAround(
    [0, ...traces.flatMap(({ y }) => Array.from(y)), ...limits.map(({ level }) => 1.3 * level)],
    4,
  );
  return {
    title: '',
    description: 'EVM spent by crest-factor reduction, and EVM at the corrected output.',
    x,
    y: { label: 'EVM, rms, %', minimum: 0, maximum, scale: 'linear', format: axisNumber },
    traces,
    limits,
    plotHeight: 170,
    condition: conditionLines(report.conditions),
  };
}

function limitAt(x: ChartAxis, level: number, label: string): ChartLimit {
  return { label, level, fromX: x.minimum, toX: x.maximum, labelAt: 'end' };
}
