// Learning sample by sample as a picture: the error before each update against the samples seen. Every figure is the
// report's.
import { formatFixed } from '../../../shared/format/numbers.ts';
import type { LearningConvergence } from '../../../shared/schema/report.ts';
import { BARE_MODEL, type LineModel, roundedRange } from './lineModel.ts';
import { TRACE_STYLES } from './traceStyles.ts';

const PLAIN = (value: number) => formatFixed(value, Number.isInteger(value) ? 0 : 1);
const STEP_DB = 5;

export function convergenceModel({ sampleIndex, errorDb }: LearningConvergence): LineModel {
  const x = sampleIndex.map((index) => index / 1e3);
  return {
    ...BARE_MODEL,
    x: { label: 'samples seen, thousands', format: PLAIN, minimum: 0, maximum: Math.max(1, x.at(-1) ?? 1) },
    y: { label: 'error before each update, dB', format: PLAIN, ...roundedRange(errorDb, STEP_DB) },
    curves: [{ ...TRACE_STYLES.corrected, x, y: errorDb }],
    hasNames: false,
    description: 'Error of learning sample by sample against the samples seen',
  };
}
