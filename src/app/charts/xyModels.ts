// The smaller pictures as plain data: gain and phase trails, exceedance curve, constellation.

import { formatFixed, formatPowerOfTen } from '../../../shared/format/numbers.ts';
import type { AmAmAmPmTrace, CcdfTrace, ConstellationTrace, Report } from '../../../shared/schema/report.ts';
import type { XyCurve } from './curves.ts';
import { TRACE_STYLES, type TraceName } from './traceStyles.ts';
import type { XyAxis, XyDots, XyLayer, XyModel } from './xyPlot.ts';

const WHOLE = (value: number) => formatFixed(value, 0);
const TENTH = (value: number) => formatFixed(value, Number.isInteger(value) ? 0 : 1);

type TrailKind = 'gain' | 'phase';

function trails({ traces: { amAmAmPm } }: Report): readonly (readonly [TraceName, AmAmAmPmTrace])[] {
  const { uncorrected, corrected } = amAmAmPm;
  return [['uncorrected', uncorrected], ...(corrected === null ? [] : ([['corrected', corrected]] as const))];
}

/** Ends of the axis: the union of all clouds of the kind. */
function unionOf(kind: TrailKind, all: readonly (readonly [TraceName, AmAmAmPmTrace])[], ends: 'x' | 'y') {
  const densities = all.map(([, trace]) => trace[kind]);
  return ends === 'x'
    ? {
        minimum: Math.min(...densities.map(({ xMinimum }) => xMinimum)),
        maximum: Math.max(...densities.map(({ xMaximum }) => xMaximum)),
      }
    : {
        minimum: Math.min(...densities.map(({ yMinimum }) => yMinimum)),
        maximum: Math.max(...densities.map(({ yMaximum }) => yMaximum)),
      };
}

/** Gain or phase against drive: clouds of both outputs with their mean curves. */
export function trailModel(report: Report, kind: TrailKind): XyModel {
  const all = trails(report);
  const layers: XyLayer[] = all.map(([name, trace]) => ({
    variable: TRACE_STYLES[name].variable,
    density: trace[kind],
  }));
  const curves: XyCurve[] = all.map(([name, trace]) => ({
    name: TRACE_STYLES[name].name,
    variable: '--ink',
    dash: name === 'uncorrected' ? [5, 3] : [],
    x: trace.driveDb,
    y: kind === 'gain' ? trace.gainDb : trace.phaseDeg,
  }));
  const y: XyAxis =
    kind === 'gain'
      ? { label: 'gain, dB re small signal', format: TENTH, ...unionOf(kind, all, 'y') }
      : { label: 'phase, ° re small signal', format: WHOLE, ...unionOf(kind, all, 'y') };
  return {
    x: { label: 'drive, dB re knee', format: WHOLE, ...unionOf(kind, all, 'x') },
    y,
    layers,
    dots: [],
    curves,
    nameWidth: 0,
    description: `${kind === 'gain' ? 'Gain' : 'Phase'} against drive level, uncorrected and corrected; the mean curves follow as a table`,
  };
}

const EXCEEDANCE_FLOOR = 1e-5;

/** Exceedance (CCDF) of the envelope at each stage. */
export function exceedanceModel({ traces: { ccdf } }: Report): XyModel {
  const curve = (name: TraceName, trace: CcdfTrace | null, text: string = TRACE_STYLES[name].name): XyCurve[] => {
    if (trace === null) return [];
    const { variable, dash } = TRACE_STYLES[name];
    return [{ name: text, variable, dash, x: trace.levelDb, y: trace.probability }];
  };
  const curves = [
    ...curve('gaussian', ccdf.gaussian),
    ...curve('data', ccdf.data),
    ...curve('shaped', ccdf.shaped),
    ...curve('drive', ccdf.drive, 'Drive'),
    ...curve('uncorrected', ccdf.output, 'Uncorrected output'),
    ...curve('corrected', ccdf.correctedOutput, 'Corrected output'),
  ];
  return {
    x: { label: 'level above the mean, dB', format: WHOLE, minimum: 0, maximum: widestLevel(curves) },
    y: {
      label: 'share of samples above',
      format: (value) => formatPowerOfTen(value, 1),
      minimum: EXCEEDANCE_FLOOR,
      maximum: 1,
      isLogarithmic: true,
    },
    layers: [],
    dots: [],
    curves,
    nameWidth: 0,
    description: 'Share of samples above a level, at each stage of the chain; the same figures follow as a table',
  };
}

const LEVEL_STEP_DB = 2;

/** The largest level any stage reaches with the least probability shown, on the next even decibel. */
function widestLevel(curves: readonly XyCurve[]): number {
  let widest = 10;
  for (const { x, y } of curves) {
    for (let i = 0; i < x.length; i++) if ((y[i] ?? 0) >= EXCEEDANCE_FLOOR) widest = Math.max(widest, x[i] ?? 0);
  }
  return LEVEL_STEP_DB * Math.ceil(widest / LEVEL_STEP_DB);
}

/** Received symbols of one output against their ideal places. */
export function constellationModel(trace: ConstellationTrace, name: 'uncorrected' | 'corrected'): XyModel {
  // Room about the outermost points: few points lie wide apart, and so do the clouds about them.
  const outermost = Math.max(...trace.idealRe.map(Math.abs), ...trace.idealIm.map(Math.abs), 0.1);
  const extent = outermost + Math.max(0.25 * outermost, 0.35);
  const style = TRACE_STYLES[name];
  const dots: XyDots[] = [
    { variable: '--ink', opacity: 0.7, size: 2, shape: 'cross', x: trace.idealRe, y: trace.idealIm },
    { variable: style.variable, opacity: 0.35, size: 1.5, shape: 'dot', x: trace.re, y: trace.im },
  ];
  return {
    x: { label: 'in phase', format: TENTH, minimum: -extent, maximum: extent },
    y: { label: 'quadrature', format: TENTH, minimum: -extent, maximum: extent },
    layers: [],
    dots,
    curves: [],
    nameWidth: 0,
    description: `Constellation of the ${name} output: received symbols about their ideal places`,
  };
}
