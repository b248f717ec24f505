// An amplifier by a constant carrier: gain and phase against output power, one under the other, with the compression
// points and the largest output marked; the intercept, which lies outside, in the condition.
import { formatFixed } from '../format/numbers.ts';
import {
  type AmplifierPicture,
  type CurvePoints,
  curveCondition,
  curveMarks,
  curvePoints,
  gainRange,
  outputRange,
  outputsOf,
  outputUnit,
  phaseRange,
} from './amplifierCurveParts.ts';
import type { ChartPoint } from './chartMarks.ts';
import { axisNumber } from './chartRange.ts';
import type { ChartTrace, LineChart } from './lineChart.ts';
import { PALETTE, TRACE_STYLES } from './palette.ts';
import { drawStack } from './stackedCharts.ts';

/** Labels of marks closer than this share of the axis would lie on each other. */
const LABEL_SHARE = 0.08;

/** Gain over phase, both against output power, as one SVG document. */
export function drawAmplifierCurve(picture: AmplifierPicture): string {
  const { curve, title, label } = picture;
  const output = outputsOf(curve);
  const marks = curveMarks(picture);
  const points = curvePoints(picture);
  const description = `Gain and phase of ${label} against output power of a constant carrier.`;
  const chart = (name: 'gain' | 'phase'): LineChart => {
    const y = name === 'gain' ? curve.gainDb : curve.phaseDeg;
    const heights = marks.map(({ gainDb, phaseDeg }) => (name === 'gain' ? gainDb : phaseDeg));
    const measured = points?.[name === 'gain' ? 'gainDb' : 'phaseDeg'] ?? [];
    const range = yAxis(name, [...y, ...measured]);
    const leastApart = LABEL_SHARE * (range.maximum - range.minimum);
    return {
      title: name === 'gain' ? title : '',
      description,
      x: { ...xAxis(picture), label: name === 'gain' ? '' : `Output power, ${outputUnit(curve)}` },
      y: range,
      traces: [
        { style: { ...TRACE_STYLES.uncorrected, name: name === 'gain' ? 'Gain' : 'Phase' }, x: output, y },
        ...measuredTrace(points, measured),
      ],
      points: marks.map((mark, i): ChartPoint => {
        const text = `${mark.name}: ${formatFixed(mark.output, 2)}`;
        const isClose = Math.abs(mark.phaseDeg - (marks[i - 1]?.phaseDeg ?? Number.POSITIVE_INFINITY)) < leastApart;
        const shown = name === 'gain' ? text : isClose ? '' : `${formatFixed(mark.phaseDeg, 1)}°`;
        const place = { x: mark.output, y: heights[i] ?? 0, colour: PALETTE.ink, shape: 'dot' } as const;
        return { ...place, label: shown, labelAt: 'left' };
      }),
      plotHeight: 220,
      condition: name === 'gain' ? [] : curveCondition(picture),
    };
  };
  return drawStack(title, description, [chart('gain'), chart('phase')]);
}

function measuredTrace(points: CurvePoints | null, y: readonly number[]): ChartTrace[] {
  if (points === null) return [];
  // Dots only: the curve runs through them.
  const style = { name: 'Points', colour: PALETTE.ink, dash: [0, 1e4] };
  return [{ style, x: points.output, y, dots: true }];
}

function xAxis(picture: AmplifierPicture): LineChart['x'] {
  const [minimum, maximum] = outputRange(picture);
  return { label: '', minimum, maximum, scale: 'linear', format: axisNumber };
}

function yAxis(name: 'gain' | 'phase', values: readonly number[]): LineChart['y'] {
  const [minimum, maximum] = name === 'gain' ? gainRange(values) : phaseRange(values);
  const label = name === 'gain' ? 'Gain, dB re small signal' : 'Phase, ° re small signal';
  return { label, minimum, maximum, scale: 'linear', format: axisNumber };
}
