// A path study: ACLR of the corrected output against the varied figure, with the knee.
import { pathValueText } from '../format/pathText.ts';
import { listedIn } from '../reports/pathTable.ts';
import { PATH_PARAMETERS } from '../schema/study.ts';
import type { PathPoint, PathResult, StudyReport } from '../schema/studyReport.ts';
import { axisNumber } from './chartRange.ts';
import { conditionLines } from './conditionLines.ts';
import { drawLineChart } from './lineChart.ts';
import { TRACE_STYLES } from './palette.ts';

export function drawPath(report: StudyReport, result: PathResult): string {
  const { parameter, points, knee, judgedBy } = result;
  const { unit, divisor } = listedIn(parameter);
  const x = points.map(({ value }) => (value ?? 0) / divisor);
  const lines =
    judgedBy === 'aclr'
      ? [
          { name: 'first channel', colour: TRACE_STYLES.corrected.colour, pick: (one: PathPoint) => one.worstAclrDb },
          {
            name: 'second channel',
            colour: TRACE_STYLES.waveform.colour,
            pick: (one: PathPoint) => one.alternateAclrDb,
          },
        ]
      : [{ name: 'NMSE', colour: TRACE_STYLES.corrected.colour, pick: (one: PathPoint) => -one.nmseDb }];
  const traces = lines.flatMap(({ name, colour, pick }) => {
    const known = points.flatMap((point, i) => {
      const y = pick(point);
      return y === null ? [] : [{ x: x[i] ?? 0, y }];
    });
    if (known.length === 0) return [];
    const style = { name, colour, dash: name === 'second channel' ? [5, 3] : [] };
    return [{ style, dots: true, x: known.map((one) => one.x), y: known.map((one) => one.y) }];
  });
  const levels = [
    ...traces.flatMap(({ y }) => y),
    ...(result.uncorrectedAclrDb === null ? [] : [result.uncorrectedAclrDb]),
  ];
  const [least, most] = [Math.min(...x), Math.max(...x)];
  return drawLineChart({
    title: report.study.title,
    description: `${PATH_PARAMETERS[parameter].label} against ACLR. ${report.answer}`,
    x: {
      label: `${PATH_PARAMETERS[parameter].label}, ${unit}`,
      minimum: least,
      maximum: most,
      scale: 'linear',
      format: axisNumber,
    },
    y: {
      label: judgedBy === 'aclr' ? 'ACLR of the worse side, dB' : 'Error below the signal, dB',
      minimum: Math.floor(Math.min(...levels)) - 1,
      maximum: Math.ceil(Math.max(...levels)) + 1,
      scale: 'linear',
      format: axisNumber,
    },
    traces,
    columns:
      knee === null
        ? []
        : [
            {
              fromX: knee.from / divisor,
              toX: knee.to / divisor,
              heading: `within ${result.withinDb} dB`,
              readings: [
                { text: `from ${pathValueText(parameter, knee.from)}`, colour: TRACE_STYLES.corrected.colour },
              ],
            },
          ],
    condition: conditionLines(report.conditions),
  });
}
