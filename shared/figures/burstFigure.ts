// A burst's start: EVM of every symbol against time, one line for each silence and one for the warm burst.
import { burstName, burstsOf } from '../reports/burstTables.ts';
import type { BurstPoint, BurstResult, StudyReport } from '../schema/studyReport.ts';
import { axisNumber } from './chartRange.ts';
import { conditionLines } from './conditionLines.ts';
import { drawLineChart } from './lineChart.ts';
import { PALETTE, TRACE_STYLES, type TraceStyle } from './palette.ts';

/** In the order of the silences; the dash tells lines of one colour apart. */
const SILENCE_LOOKS: readonly Pick<TraceStyle, 'colour' | 'dash'>[] = [
  { colour: TRACE_STYLES.data.colour, dash: [2, 3] },
  { colour: TRACE_STYLES.waveform.colour, dash: [6, 4] },
  { colour: TRACE_STYLES.drive.colour, dash: [9, 3, 2, 3] },
  { colour: TRACE_STYLES.uncorrected.colour, dash: [] },
];
const WARM_LOOK = { colour: PALETTE.ink, dash: [] };

/** The longest silence always has the same look; there may be more silences than looks. */
export function silenceLookIndex(index: number, count: number, lookCount: number): number {
  return (((index - count + lookCount) % lookCount) + lookCount) % lookCount;
}

export function drawBurst(report: StudyReport, result: BurstResult): string {
  const bursts = burstsOf(result);
  const durationMs = 1e3 * (result.symbolDurationS ?? 0);
  const symbolCount = bursts[0]?.netPercent.length ?? 0;
  const most = Math.max(result.evmWithinPercent, ...bursts.flatMap(({ netPercent }) => netPercent));
  const end = symbolCount * durationMs;
  return drawLineChart({
    title: report.study.title,
    description: `EVM of each symbol against the time since the burst began. ${report.answer}`,
    x: { label: 'Time since the burst began, ms', minimum: 0, maximum: end, scale: 'linear', format: axisNumber },
    y: {
      label: 'EVM of the symbol without shaping, %',
      minimum: 0,
      maximum: 1.05 * most,
      scale: 'linear',
      format: axisNumber,
    },
    traces: bursts.map((burst, i) => ({
      style: { name: burstName(burst), ...lookOf(burst, i - 1, bursts.length - 1) },
      dots: true,
      // A symbol stands at its middle: its EVM is a mean over it.
      x: burst.netPercent.map((_, symbol) => (symbol + 0.5) * durationMs),
      y: burst.netPercent,
    })),
    limits: [
      {
        label: `settled under ${result.evmWithinPercent} %`,
        fromX: 0,
        toX: end,
        level: result.evmWithinPercent,
        labelAt: 'end',
      },
    ],
    condition: conditionLines(report.conditions),
  });
}

function lookOf({ silenceS }: BurstPoint, index: number, count: number): Pick<TraceStyle, 'colour' | 'dash'> {
  if (silenceS === null) return WARM_LOOK;
  return SILENCE_LOOKS[silenceLookIndex(index, count, SILENCE_LOOKS.length)] ?? WARM_LOOK;
}
