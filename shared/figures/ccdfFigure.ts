// The exceedance curve (CCDF): how often the envelope's power lies above a level over its mean.
import { formatCount, formatProbability } from '../format/numbers.ts';
import type { CcdfTrace, Report } from '../schema/report.ts';
import { type ChartTrace, drawLineChart } from './lineChart.ts';
import { TRACE_STYLES, type TraceStyle } from './palette.ts';

/** Fewer samples than this beyond a level say little about it; the axis ends there. */
const LEAST_SAMPLES = 1;

/** Exceedance curves of a run: data, shaped waveform, drive and output. */
export function drawCcdf(report: Report): string {
  const { ccdf } = report.traces;
  const isShaped = report.scenario.waveform.crestFactorReduction !== null;
  const traces: ChartTrace[] = [
    traceOf(TRACE_STYLES.gaussian, ccdf.gaussian),
    traceOf(TRACE_STYLES.data, ccdf.data),
    ...(isShaped ? [traceOf(TRACE_STYLES.shaped, ccdf.shaped)] : []),
    ...(ccdf.drive ? [traceOf(TRACE_STYLES.drive, ccdf.drive)] : []),
    traceOf(TRACE_STYLES.uncorrected, ccdf.output),
    ...(ccdf.correctedOutput ? [traceOf(TRACE_STYLES.corrected, ccdf.correctedOutput)] : []),
  ];
  const { sampleCount } = report.waveform;
  const record = `${formatCount(sampleCount)} samples, judging seed ${report.scenario.seeds.judging}`;
  return drawExceedance(report.scenario.title, traces, sampleCount, record);
}

export function traceOf(style: TraceStyle, trace: CcdfTrace): ChartTrace {
  return { style, x: trace.levelDb, y: trace.probability };
}

export function drawExceedance(
  title: string,
  traces: readonly ChartTrace[],
  sampleCount: number,
  record: string,
): string {
  const minimum = 10 ** Math.floor(Math.log10(LEAST_SAMPLES / sampleCount));
  return drawLineChart({
    title: `${title}: exceedance of the envelope’s power`,
    description: 'Probability that the envelope power lies above a level over the mean power of the same signal.',
    x: {
      label: 'Level over mean power, dB',
      minimum: 0,
      maximum: levelEnd(traces, minimum),
      scale: 'linear',
      format: String,
    },
    y: {
      label: 'Probability (share of samples above the level)',
      minimum,
      maximum: 1,
      scale: 'log',
      format: formatProbability,
    },
    traces,
    condition: [`${record}; every curve over its own mean power`],
  });
}

/** The next whole dB after the last level that any curve reaches, 10 dB at least. */
function levelEnd(traces: readonly ChartTrace[], minimum: number): number {
  let end = 10;
  for (const { x, y } of traces) {
    for (let i = 0; i < x.length; i++) if ((y[i] as number) >= minimum) end = Math.max(end, x[i] as number);
  }
  return Math.ceil(end);
}
