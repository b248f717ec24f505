// A burst's start: EVM of every symbol against time, one line for each silence and one for the warm burst.
import { burstName, burstsOf } from '../reports/burstTables.ts';
import type { BurstResult, StudyReport } from '../schema/studyReport.ts';
import { axisNumber } from './chartRange.ts';
import { conditionLines } from './conditionLines.ts';
import { drawLineChart } from './lineChart.ts';
import { PALETTE, TRACE_STYLES } from './palette.ts';

/** Colour and dash of the silences, shortest first; on the page the colour is a custom property. */
export const SILENCE_LOOKS = [
  { colour: TRACE_STYLES.data.colour, variable: '--trace-data', dash: [2, 3] },
  { colour: TRACE_STYLES.waveform.colour, variable: '--trace-waveform', dash: [5, 2, 1.5, 2] },
  { colour: '#A3246B', variable: '--trace-seventh', dash: [6, 4] },
  { colour: TRACE_STYLES.drive.colour, variable: '--trace-drive', dash: [] },
] as const;
const WARM_LOOK = { colour: PALETTE.ink, variable: '--ink', dash: [] } as const;

/** Look of a burst among all, warm first. The longest silence always has the last look; with many they come round. */
export function burstLook(index: number, count: number): (typeof SILENCE_LOOKS)[number] | typeof WARM_LOOK {
  const looks = SILENCE_LOOKS.length;
  return index === 0 ? WARM_LOOK : (SILENCE_LOOKS[looks - 1 - ((count - 1 - index) % looks)] ?? WARM_LOOK);
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
      style: { name: burstName(burst), ...burstLook(i, bursts.length) },
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
