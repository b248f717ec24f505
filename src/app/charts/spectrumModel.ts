// What the emission plot shows, as plain data: traces, channel columns, limit lines, spans. Chooses and places; every
// figure is the report's.

import { formatFixed } from '../../../shared/format/numbers.ts';
import type { AclrReading, OutputReport, Report, SpectrumTrace } from '../../../shared/schema/report.ts';
import { channelName } from '../format/verdicts.ts';
import { orderStyle, TRACE_STYLES, type TraceStyle } from './traceStyles.ts';

export type SpectrumView = 'comparison' | 'orders';
export type SpectrumSpan = 'near' | 'whole';

export interface NamedSpectrum {
  readonly key: string;
  readonly style: TraceStyle;
  /** On the common frequency axis. */
  readonly level: Float64Array;
}

/** A measured channel: a faint column with its readings inside. */
export interface ChannelColumn {
  readonly fromHz: number;
  readonly toHz: number;
  readonly title: string;
  readonly readings: readonly {
    readonly variable: string;
    readonly text: string;
    /** A bound is set lighter than a reading of an output. */
    readonly isFigure: boolean;
  }[];
}

/** The worst point of a mask, placed against its line in the displayed bandwidth. */
export interface WorstPoint {
  readonly atHz: number;
  readonly level: number;
  readonly variable: string;
  readonly text: string;
}

export interface SpectrumModel {
  readonly unitLabel: string;
  readonly frequencyHz: Float64Array;
  readonly traces: readonly NamedSpectrum[];
  readonly columns: readonly ChannelColumn[];
  readonly limitLines: Report['traces']['limitLines'];
  /** Where each output has the least room under each mask. */
  readonly worstPoints: readonly WorstPoint[];
  readonly nearHz: readonly [number, number];
  readonly wholeHz: readonly [number, number];
  readonly levelRange: readonly [number, number];
}

/** The plot's lower end lies this far beneath its upper end unless the traces end above it. */
const SHOWN_RANGE_DB = 110;
const GRID_STEP_DB = 10;

export function spectrumModel(report: Report, view: SpectrumView): SpectrumModel {
  const { conditions, limitLines } = report.traces;
  const { frequencyHz } = report.traces.spectra.uncorrected;
  const traces = (view === 'orders' ? orderTraces(report) : comparisonTraces(report)).filter(
    ({ level }) => level.length === frequencyHz.length,
  );
  const first = frequencyHz[0] ?? 0;
  const last = frequencyHz.at(-1) ?? 1;
  return {
    unitLabel: conditions.unit === 'dBm' ? 'dBm' : 'dB re saturation',
    frequencyHz,
    traces,
    columns: channelColumns(report, view),
    limitLines: view === 'orders' ? [] : limitLines,
    worstPoints: view === 'orders' ? [] : worstPoints(report),
    nearHz: nearSpan(report, first, last),
    wholeHz: [first, last],
    levelRange: levelRange(traces),
  };
}

function named(key: keyof typeof TRACE_STYLES, trace: SpectrumTrace | null): NamedSpectrum[] {
  return trace === null ? [] : [{ key, style: TRACE_STYLES[key], level: trace.level }];
}

/** Corrected is drawn last, on top. */
function comparisonTraces({ traces: { spectra } }: Report): NamedSpectrum[] {
  return [
    ...named('waveform', spectra.waveform),
    ...named('ideal', spectra.ideal),
    ...named('uncorrected', spectra.uncorrected),
    ...named('corrected', spectra.corrected),
  ];
}

function orderTraces({ traces: { orderSplit, spectra } }: Report): NamedSpectrum[] {
  const parts = orderSplit.spectra.map((trace, i) => {
    const order = orderSplit.orders[i] ?? 0;
    return { key: `order${order}`, style: orderStyle(order, i), level: trace.level };
  });
  return [...named('uncorrected', spectra.uncorrected), ...parts];
}

function outerOffsets({ waveform: { carriers } }: Report): readonly [number, number] {
  const offsets = carriers.map(({ offsetHz }) => offsetHz);
  return [Math.min(...offsets), Math.max(...offsets)];
}

function sameChannel(a: AclrReading, b: AclrReading): boolean {
  return a.channel === b.channel && a.side === b.side && a.centreHz === b.centreHz;
}

/** The line shows the limit in the displayed bandwidth; a point lies under it by its margin in the measuring one. */
function worstPoints(report: Report): WorstPoint[] {
  return (['uncorrected', 'corrected'] as const).flatMap((of) =>
    (report[of]?.masks ?? []).flatMap(({ name, atHz, worstMarginDb }): WorstPoint[] => {
      const lines = report.traces.limitLines.filter(
        ({ kind, label, fromHz, toHz }) => kind === 'mask' && label === name && fromHz <= atHz && atHz <= toHz,
      );
      const heights = lines.map(
        ({ fromHz, toHz, level, toLevel }) => level + ((atHz - fromHz) / (toHz - fromHz || 1)) * (toLevel - level),
      );
      if (heights.length === 0) return [];
      const side = worstMarginDb < 0 ? 'over' : 'room';
      const text = `${side} ${formatFixed(Math.abs(worstMarginDb), 1)} dB`;
      return [{ atHz, level: Math.min(...heights) - worstMarginDb, variable: TRACE_STYLES[of].variable, text }];
    }),
  );
}

function others({ corrected, ideal }: Report): (readonly [OutputReport | null, string])[] {
  return [
    [corrected, TRACE_STYLES.corrected.variable],
    [ideal, TRACE_STYLES.ideal.variable],
  ];
}

/** Columns that lie over an earlier one are left out: their readings would cover each other. The table has them all. */
function apart(columns: readonly ChannelColumn[]): ChannelColumn[] {
  const kept: ChannelColumn[] = [];
  for (const column of columns) {
    if (kept.every((other) => column.fromHz >= other.toHz || other.fromHz >= column.toHz)) kept.push(column);
  }
  return kept;
}

function channelColumns(report: Report, view: SpectrumView): ChannelColumn[] {
  const outputs: (readonly [OutputReport | null, string])[] = [
    [report.uncorrected, TRACE_STYLES.uncorrected.variable],
    ...(view === 'orders' ? [] : others(report)),
  ];
  const columns = report.uncorrected.aclr.map((reading) => {
    const { centreHz, bandwidthHz } = reading;
    const readings = outputs.flatMap(([output, variable]) => {
      const found = output?.aclr.find((other) => sameChannel(other, reading));
      return found === undefined
        ? []
        : [{ variable, text: formatFixed(found.aclrDb, 1), isFigure: output !== report.ideal }];
    });
    return {
      fromHz: centreHz - bandwidthHz / 2,
      toHz: centreHz + bandwidthHz / 2,
      title: channelName(reading.channel),
      readings,
    };
  });
  return apart(columns);
}

/** The carriers, the measured channels and half a channel of room on both sides. */
function nearSpan(report: Report, first: number, last: number): readonly [number, number] {
  const columns = channelColumns(report, 'comparison');
  const [lowest, highest] = outerOffsets(report);
  const widest = Math.max(...report.waveform.carriers.map(({ channelBandwidthHz }) => channelBandwidthHz));
  const from = Math.min(lowest - widest / 2, ...columns.map(({ fromHz }) => fromHz)) - widest / 2;
  const to = Math.max(highest + widest / 2, ...columns.map(({ toHz }) => toHz)) + widest / 2;
  return [Math.max(first, from), Math.min(last, to)];
}

/** Whole tens, so that the axis stands still while a slider moves the traces a little. */
function levelRange(traces: readonly NamedSpectrum[]): readonly [number, number] {
  let highest = Number.NEGATIVE_INFINITY;
  let lowest = Number.POSITIVE_INFINITY;
  for (const { level } of traces) {
    for (const value of level) {
      if (value > highest) highest = value;
      if (value < lowest) lowest = value;
    }
  }
  if (highest < lowest) return [-SHOWN_RANGE_DB, 0];
  const top = GRID_STEP_DB * Math.ceil((highest + 1) / GRID_STEP_DB);
  const bottom = GRID_STEP_DB * Math.floor(lowest / GRID_STEP_DB);
  return [Math.max(bottom, top - SHOWN_RANGE_DB), top];
}
