// The pictures of a measured record.
import { drawExceedance, traceOf } from '../../../shared/figures/ccdfFigure.ts';
import { drawLineChart } from '../../../shared/figures/lineChart.ts';
import { TRACE_STYLES } from '../../../shared/figures/palette.ts';
import {
  apart,
  columnOf,
  estimatorCondition,
  levelAxis,
  offsetAxis,
  reachOf,
  shownLimits,
} from '../../../shared/figures/spectrumFigure.ts';
import { formatCount, formatEngineering, formatFixed, NO_READING } from '../../../shared/format/numbers.ts';
import type { RecordReport } from '../../engine/index.ts';

export function recordSpectrumFigure(title: string, record: RecordReport): string {
  const { frequencyHz, level } = record.traces.spectrum;
  const traces = [{ style: TRACE_STYLES.record, x: frequencyHz.map((hz) => hz / 1e6), y: level }];
  const { centreHz, spacingHz } = record.channels;
  const all = record.aclr
    .filter(({ aclrDb }) => aclrDb !== null)
    .map((reading) => {
      const text = reading.aclrDb === null ? NO_READING : formatFixed(reading.aclrDb, 1);
      return columnOf(reading, centreHz, centreHz, [{ text, colour: TRACE_STYLES.record.colour }]);
    });
  const columns = apart(all);
  const reach = reachOf(columns, [{ offsetHz: centreHz, channelBandwidthHz: spacingHz }], frequencyHz);
  const bandwidth = formatEngineering(record.conditions.resolutionBandwidthHz, 'Hz');
  return drawLineChart({
    title,
    description: `Power spectrum of the record ${title}.`,
    x: offsetAxis(reach),
    y: levelAxis(`dB re full scale (|x| = 1), in ${bandwidth}`, traces, reach),
    traces,
    columns,
    limits: shownLimits(
      record.traces.maskLines.map((line) => ({ ...line, kind: 'mask' })),
      reach,
    ),
    condition: [
      recordCondition(record),
      `${estimatorCondition(record.conditions)}. Readings in the columns: ACLR in dB`,
    ],
  });
}

export function recordCcdfFigure(title: string, record: RecordReport): string {
  return drawExceedance(
    title,
    [traceOf(TRACE_STYLES.record, record.traces.ccdf)],
    record.sampleCount,
    recordCondition(record),
  );
}

function recordCondition(record: RecordReport): string {
  const rate = formatEngineering(record.sampleRateHz, 'Hz', 6);
  return `${formatCount(record.sampleCount)} samples at ${rate}; mean power ${formatFixed(record.meanPowerDbfs, 2)} dBfs`;
}
