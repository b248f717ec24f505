// The amplifier's CW curve as plain data for the plots: gain over phase, one axis of output power.
import {
  type AmplifierPicture,
  curveMarks,
  curvePoints,
  gainRange,
  outputRange,
  outputsOf,
  outputUnit,
  phaseRange,
} from '../../../shared/figures/amplifierCurveParts.ts';
import { formatFixed, formatQuantity } from '../../../shared/format/numbers.ts';
import { BARE_MODEL, type LineCurve, type LineMark, type LineModel } from './lineModel.ts';
import { TRACE_STYLES } from './traceStyles.ts';

const SHORT = (value: number) => formatFixed(value, Number.isInteger(value) ? 0 : 1);

/** Gain or phase re small signal against output power, with the readings as labelled marks and measured points as dots. */
export function amplifierModel(picture: AmplifierPicture, kind: 'gain' | 'phase'): LineModel {
  const { curve } = picture;
  const output = outputsOf(curve);
  const [y, range] = kind === 'gain' ? ([curve.gainDb, gainRange] as const) : ([curve.phaseDeg, phaseRange] as const);
  const points = curvePoints(picture);
  const measured = points?.[kind === 'gain' ? 'gainDb' : 'phaseDeg'] ?? [];
  const [minimum, maximum] = outputRange(picture);
  const [lowest, highest] = range([...y, ...measured]);
  const line: LineCurve = { ...TRACE_STYLES.uncorrected, name: kind, x: output, y };
  // Dots only: the curve runs through them.
  const dots: LineCurve = {
    name: '',
    variable: '--ink',
    dash: [0, 1e4],
    x: points?.output ?? [],
    y: measured,
    hasPoints: true,
  };
  return {
    ...BARE_MODEL,
    x: { label: `output power, ${outputUnit(curve)}`, format: SHORT, minimum, maximum },
    y: {
      label: kind === 'gain' ? 'gain, dB re small signal' : 'phase, ° re small signal',
      format: SHORT,
      minimum: lowest,
      maximum: highest,
    },
    curves: points === null ? [line] : [line, dots],
    marks: kind === 'gain' ? gainMarks(picture) : phaseMarks(picture, highest - lowest),
    stops: cursorStops(picture),
    isUpper: kind === 'gain',
    hasNames: false,
    description: `Cursor on the amplifier’s ${kind} against the output power of a constant carrier; the same readings follow as a table`,
  };
}

function markAt(x: number, y: number, label: string, corner: LineMark['corner'] = 'belowLeft'): LineMark {
  return { x, y, variable: '--ink', shape: 'dot', label, corner };
}

/** Gain falls to the right: below and to the left is room. */
function gainMarks(picture: AmplifierPicture): LineMark[] {
  return curveMarks(picture).map(({ name, output, gainDb }) =>
    markAt(output, gainDb, `${name}: ${formatFixed(output, 2)}`),
  );
}

/** Phases closer than this share of the axis would lie on each other; the table has them all. */
const LEAST_APART = 0.14;

function phaseMarks(picture: AmplifierPicture, span: number): LineMark[] {
  let labelled: number | null = null;
  return curveMarks(picture).map(({ output, phaseDeg }) => {
    const isClose = labelled !== null && Math.abs(phaseDeg - labelled) < LEAST_APART * span;
    if (!isClose) labelled = phaseDeg;
    const label = isClose ? '' : formatQuantity(phaseDeg, '°', 1);
    return markAt(output, phaseDeg, label, phaseDeg < 0 ? 'belowLeft' : 'aboveLeft');
  });
}

/** Outputs on the way up to the largest: past it a curve that folds back has two drives for one output. */
export function cursorStops({ curve }: AmplifierPicture): number[] {
  const stops: number[] = [];
  for (const output of outputsOf(curve)) {
    if (output <= (stops.at(-1) ?? Number.NEGATIVE_INFINITY)) break;
    stops.push(output);
  }
  return stops;
}

/** The curve at a stop of the cursor, in words; empty without one. */
export function cursorText({ curve }: AmplifierPicture, x: number | null): string {
  if (x === null) return '';
  const i = outputsOf(curve).indexOf(x);
  if (i < 0) return '';
  const drive =
    curve.driveDbm === null
      ? `drive ${formatQuantity(curve.driveDb[i] ?? 0, 'dB', 1)} re the knee`
      : `drive ${formatQuantity(curve.driveDbm[i] ?? 0, 'dBm', 1)}`;
  const output = `output ${formatQuantity(x, outputUnit(curve), 1)}`;
  return `${output}, ${drive}: gain ${formatQuantity(curve.gainDb[i] ?? 0, 'dB', 2)}, phase ${formatQuantity(curve.phaseDeg[i] ?? 0, '°', 1)}`;
}
