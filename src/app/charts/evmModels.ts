// EVM of one carrier over its subcarriers and over its symbols, both outputs. Every figure is the report's.
import { formatFixed } from '../../../shared/format/numbers.ts';
import type { EvmTrace, Report } from '../../../shared/schema/report.ts';
import type { XyCurve } from './curves.ts';
import { TRACE_STYLES } from './traceStyles.ts';
import type { XyModel } from './xyPlot.ts';

const WHOLE = (value: number) => formatFixed(value, 0);
const TENTH = (value: number) => formatFixed(value, Number.isInteger(value) ? 0 : 1);

export type EvmView = 'subcarrier' | 'symbol';

/** The carriers that have an EVM, in the order of the report. */
export function evmCarriers({ traces }: Report): readonly { readonly index: number; readonly label: string }[] {
  return traces.evm.uncorrected.map(({ carrierIndex, label }) => ({ index: carrierIndex, label }));
}

/** Places and percents of one view, in the unit of its axis: MHz from the carrier's centre, or symbols in time. */
export function evmSeries(trace: EvmTrace, view: EvmView): { readonly x: readonly number[]; readonly y: Float64Array } {
  if (view === 'subcarrier') return { x: Array.from(trace.subcarrierHz, (hz) => hz / 1e6), y: trace.subcarrierPercent };
  return { x: Array.from(trace.symbolPercent, (_, i) => i * trace.symbolsPerPoint + 1), y: trace.symbolPercent };
}

export function evmTraceOf(report: Report, of: 'uncorrected' | 'corrected', carrierIndex: number): EvmTrace | null {
  return report.traces.evm[of]?.find((trace) => trace.carrierIndex === carrierIndex) ?? null;
}

/** Null where a carrier has no such view: a single carrier has no subcarriers. */
export function evmModel(report: Report, carrierIndex: number, view: EvmView): XyModel | null {
  const curves = (['uncorrected', 'corrected'] as const).flatMap((of): XyCurve[] => {
    const trace = evmTraceOf(report, of, carrierIndex);
    if (trace === null) return [];
    const { name, variable, dash } = TRACE_STYLES[of];
    const { x, y } = evmSeries(trace, view);
    return x.length < 2 ? [] : [{ name, variable, dash, x, y }];
  });
  if (curves.length === 0) return null;
  const places = curves.flatMap(({ x }) => [x[0] ?? 0, x[x.length - 1] ?? 0]);
  const highest = Math.max(...curves.flatMap(({ y }) => Array.from(y)), 1e-3);
  const limit = report.scenario.limits.find(({ reading }) => reading === 'evm');
  const required = limit?.reading === 'evm' ? limit.requiredPercent : null;
  const isNear = required !== null && required < 4 * highest;
  const top = 1.1 * Math.max(highest, isNear ? (required ?? 0) : 0);
  const perPoint = evmTraceOf(report, 'uncorrected', carrierIndex)?.symbolsPerPoint ?? 1;
  const symbols = perPoint === 1 ? 'symbol, in time' : `symbol, in time; each point is ${perPoint} in a row`;
  return {
    x: {
      label: view === 'subcarrier' ? 'subcarrier, MHz from the carrier’s centre' : symbols,
      format: view === 'subcarrier' ? TENTH : WHOLE,
      minimum: Math.min(...places),
      maximum: Math.max(...places),
    },
    y: { label: 'EVM, rms, %', format: top < 4 ? TENTH : WHOLE, minimum: 0, maximum: top },
    layers: [],
    dots: [],
    curves,
    nameWidth: 0,
    description: `EVM over the ${view === 'subcarrier' ? 'subcarriers' : 'symbols'}, uncorrected and corrected; figures follow as a table`,
    ...(isNear && required !== null ? { rule: required } : {}),
  };
}
