// Where the exceedance curves pass a probability: the levels that crest factors are told by. Readings are the report's;
// where it has none, the mark sits on the drawn curve.
import type { PaprPoint, Report } from '../../../shared/schema/report.ts';
import type { XyCurve } from './curves.ts';
import { TRACE_STYLES } from './traceStyles.ts';
import { exceedanceModel } from './xyModels.ts';
import type { XyModel } from './xyPlot.ts';

/** Fewer samples above a level tell chance more than the level. */
const LEAST_SAMPLES = 10;

export interface ExceedanceLevel {
  readonly name: string;
  readonly variable: string;
  readonly dash: readonly number[];
  /** Over the stage's mean; null where the record is too short to tell. */
  readonly levelDb: number | null;
}

export interface MarkedExceedance {
  readonly model: XyModel;
  readonly levels: readonly ExceedanceLevel[];
}

/**
 * Level at which a falling curve passes a probability, straight between points on the drawn, logarithmic scale; a curve
 * that ends above it falls straight down at its end.
 */
export function crossing({ x, y }: Pick<XyCurve, 'x' | 'y'>, probability: number): number | null {
  for (let i = 1; i < x.length; i++) {
    const [above, below] = [y[i - 1] ?? 0, y[i] ?? 0];
    if (above < probability || below > probability || above === below) continue;
    if (below <= 0) return x[i] ?? null;
    const share = Math.log(above / probability) / Math.log(above / below);
    return (x[i - 1] ?? 0) + share * ((x[i] ?? 0) - (x[i - 1] ?? 0));
  }
  return null;
}

/** The curves with a line at the probability and a mark where each passes it. */
export function markedExceedance(report: Report, probability: number): MarkedExceedance {
  const model = exceedanceModel(report);
  const readings = new Map<string, readonly PaprPoint[] | undefined>([
    [TRACE_STYLES.data.name, report.waveform.paprBeforeReduction],
    [TRACE_STYLES.shaped.name, report.waveform.papr],
    ['Uncorrected output', report.uncorrected.papr],
    ['Corrected output', report.corrected?.papr],
  ]);
  const levels = model.curves.map((curve) => {
    const { name, variable, dash } = curve;
    const reading = readings.get(name)?.find((point) => Math.abs(point.probability / probability - 1) < 1e-9);
    const isKnown = name === TRACE_STYLES.gaussian.name || probability * report.waveform.sampleCount >= LEAST_SAMPLES;
    const drawn = isKnown ? crossing(curve, probability) : null;
    return { name, variable, dash, levelDb: reading === undefined ? drawn : reading.db };
  });
  const marks = levels.flatMap(({ variable, levelDb }) =>
    levelDb === null ? [] : [{ variable, x: levelDb, y: probability }],
  );
  return { model: { ...model, marks, rule: probability }, levels };
}
