// The crest-factor trade as two pictures over one axis: output back-off needed above, EVM spent below.
import { formatFixed, formatQuantity } from '../../../shared/format/numbers.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { ShapePoint, ShapeResult } from '../../../shared/schema/studyReport.ts';
import {
  BARE_MODEL,
  type LineCurve,
  type LineLimit,
  type LineMark,
  type LineModel,
  roundedRange,
} from './lineModel.ts';
import { TRACE_STYLES } from './traceStyles.ts';

const WHOLE = (value: number) => formatFixed(value, Number.isInteger(value) ? 0 : 1);

/** Where a point stands: its target, or the crest factor the waveform has by itself. */
export function placeOf({ targetPaprDb, reachedPaprDb }: ShapePoint): number | null {
  return targetPaprDb ?? reachedPaprDb;
}

export type CrestReading = 'backoff' | 'evm';

type PickValue = (point: ShapePoint) => number | null;

function curveOf(points: readonly ShapePoint[], style: CurveStyle, value: PickValue): LineCurve {
  const found = points
    .flatMap((point) => {
      const [x, y] = [placeOf(point), value(point)];
      return x === null || y === null ? [] : [[x, y] as const];
    })
    .sort(([a], [b]) => a - b);
  return { ...style, hasPoints: true, x: found.map(([x]) => x), y: found.map(([, y]) => y) };
}

type CurveStyle = { readonly name: string; readonly variable: string; readonly dash: readonly number[] };

function curvesOf({ points }: ShapeResult, reading: CrestReading): LineCurve[] {
  const curves =
    reading === 'backoff'
      ? [
          curveOf(points, TRACE_STYLES.uncorrected, ({ uncorrectedBackoffDb }) => uncorrectedBackoffDb),
          curveOf(points, TRACE_STYLES.corrected, ({ correctedBackoffDb }) => correctedBackoffDb),
        ]
      : [
          curveOf(points, { ...TRACE_STYLES.waveform, name: 'By reduction' }, ({ crestEvmPercent }) => crestEvmPercent),
          curveOf(points, TRACE_STYLES.corrected, ({ correctedEvmPercent }) => correctedEvmPercent),
        ];
  return curves.filter(({ x }) => x.length > 0);
}

function bestMarks(result: ShapeResult, scenario: Scenario, reading: CrestReading): LineMark[] {
  const { best } = result;
  if (best === null) return [];
  const isCorrected = scenario.predistorter !== null;
  const backoff = isCorrected ? best.correctedBackoffDb : best.uncorrectedBackoffDb;
  const power = isCorrected ? best.correctedPowerDbm : best.uncorrectedPowerDbm;
  const x = placeOf(best);
  const y = reading === 'backoff' ? backoff : best.crestEvmPercent;
  if (x === null || y === null) return [];
  const clean = power === null ? '' : ` · ${formatQuantity(power, 'dBm')}`;
  const label = reading === 'backoff' ? `best: ${formatQuantity(y, 'dB')}${clean}` : `${formatQuantity(y, '%')} spent`;
  const variable =
    reading === 'backoff' ? (isCorrected ? '--trace-corrected' : '--trace-uncorrected') : '--trace-waveform';
  return [{ x, y, variable, shape: 'best', label }];
}

function budgetLimit({ waveform }: Scenario): LineLimit[] {
  const budget = waveform.crestFactorReduction?.evmBudgetPercent ?? null;
  if (budget === null) return [];
  return [
    {
      path: 'waveform.crestFactorReduction.evmBudgetPercent',
      name: `budget of the reduction ${formatQuantity(budget, '%')}`,
      level: budget,
      unit: '%',
      forbidden: 'above',
      range: { minimum: 0.5, maximum: 15, step: 0.1 },
    },
  ];
}

/** `scenario` as on the bench, so that the budget follows the hand. */
export function crestModel(result: ShapeResult, scenario: Scenario, reading: CrestReading): LineModel {
  const isUpper = reading === 'backoff';
  const curves = curvesOf(result, reading);
  const limits = isUpper ? [] : budgetLimit(scenario);
  const places = result.points.flatMap((point) => placeOf(point) ?? []);
  const values = [...curves.flatMap(({ y }) => Array.from(y)), ...limits.map(({ level }) => 1.25 * level)];
  return {
    ...BARE_MODEL,
    x: {
      label: 'target crest factor, dB; rightmost: left as it is',
      format: WHOLE,
      ...roundedRange(places.length === 0 ? [6, 10] : places.flatMap((x) => [x - 0.2, x + 0.2]), 0.5),
    },
    y: isUpper
      ? {
          label: 'output back-off needed, dB',
          format: WHOLE,
          ...roundedRange(
            values.flatMap((y) => [y - 1, y + 2]),
            2,
          ),
        }
      : { label: 'EVM, rms, %', format: WHOLE, ...roundedRange([0, ...values, 2], 1) },
    curves,
    limits,
    marks: bestMarks(result, scenario, reading),
    stops: [...new Set(places)].sort((a, b) => a - b),
    isUpper,
    description: isUpper
      ? 'Cursor on the output back-off needed against the target crest factor; the same figures follow as a table'
      : 'Cursor on the EVM against the target crest factor; the same figures follow as a table',
  };
}
