// The amplifier over its band as plain data for the plots: gain over powers, one axis of frequency, with the occupied band
// of the record as a column.
import { formatFixed, formatQuantity } from '../../../shared/format/numbers.ts';
import type { OverBandReport, OverBandRow } from '../../../shared/schema/overBand.ts';
import type { WaveformReport } from '../../../shared/schema/report.ts';
import { BARE_MODEL, type LineCurve, type LineModel, type LineRegion, roundedRange } from './lineModel.ts';
import { TRACE_STYLES } from './traceStyles.ts';

export interface OverBandPicture {
  readonly overBand: OverBandReport;
  /** Places of the record's carriers, for its occupied band. */
  readonly carriers: WaveformReport['carriers'];
}

const HZ_PER_MHZ = 1e6;
const SHORT = (value: number) => formatFixed(value, Number.isInteger(value) ? 0 : 1);
/** Frequencies close together need their decimals. */
const FREQUENCY = (mhz: number) => String(Number(mhz.toPrecision(7)));
const LARGE_SPAN_DB = 4;
/** Room for the labels above the lines. */
const HEADROOM = 0.15;

/** Frequencies of the rows in MHz, where the cursor stops. */
function overBandStops({ rows }: OverBandReport): number[] {
  return rows.map(({ frequencyHz }) => frequencyHz / HZ_PER_MHZ);
}

/** Small-signal gain, or saturated power and 1 dB compression, against frequency; the channel is marked. */
export function overBandModel(picture: OverBandPicture, kind: 'gain' | 'power'): LineModel {
  const { overBand } = picture;
  const stops = overBandStops(overBand);
  const curves = kind === 'gain' ? gainCurves(overBand.rows, stops) : powerCurves(overBand.rows, stops);
  const channel = overBand.rows.findIndex(({ isChannel }) => isChannel);
  return {
    ...BARE_MODEL,
    x: {
      label: 'frequency, MHz',
      format: FREQUENCY,
      minimum: stops[0] ?? 0,
      maximum: stops.at(-1) ?? 1,
    },
    y: {
      label: kind === 'gain' ? 'gain, dB' : `saturated; 1 dB compression, dashed, ${powerUnit(overBand)}`,
      format: SHORT,
      ...yRange(curves.flatMap(({ y }) => Array.from(y))),
    },
    curves,
    regions: [occupied(picture)],
    marks: curves.map(({ x, y }, i) => ({
      x: x[channel] ?? 0,
      y: y[channel] ?? 0,
      variable: '--ink',
      shape: 'best',
      label: kind === 'gain' && i === 0 ? `channel: ${formatQuantity(y[channel] ?? 0, 'dB', 2)}` : '',
    })),
    stops,
    isUpper: kind === 'gain',
    hasNames: false,
    description: `Cursor on the amplifier’s ${kind === 'gain' ? 'gain' : 'saturated power and 1 dB compression'} over its band; the same readings follow as a table`,
  };
}

/** dBm, or dB against the amplifier's saturated power where that is not known. */
function powerUnit({ rows }: OverBandReport): string {
  return rows.some(({ saturatedPowerDbm }) => saturatedPowerDbm === null) ? 'dB' : 'dBm';
}

function gainCurves(rows: readonly OverBandRow[], x: readonly number[]): LineCurve[] {
  return [
    { ...TRACE_STYLES.uncorrected, dash: [], name: 'gain', x, y: rows.map(({ gainDb }) => gainDb), hasPoints: true },
  ];
}

/** The compression line is left out where any point never compresses by 1 dB. */
function powerCurves(rows: readonly OverBandRow[], x: readonly number[]): LineCurve[] {
  const saturated = rows.map((row) => row.saturatedPowerDbm ?? row.saturatedPowerDb);
  const compressed = rows.flatMap((row) => row.outputAtOneDbCompressionDbm ?? row.outputAtOneDbCompressionDb ?? []);
  const line = { ...TRACE_STYLES.uncorrected, x, hasPoints: true };
  return [
    { ...line, dash: [], name: 'saturated', y: saturated },
    ...(compressed.length === rows.length ? [{ ...line, dash: [6, 4], name: '1 dB compression', y: compressed }] : []),
  ];
}

function yRange(values: readonly number[]): { minimum: number; maximum: number } {
  const [lowest, highest] = [Math.min(...values), Math.max(...values)];
  const room = HEADROOM * (highest - lowest);
  return roundedRange([lowest - room, highest + room], highest - lowest > LARGE_SPAN_DB ? 2 : 1);
}

function occupied({ overBand, carriers }: OverBandPicture): LineRegion {
  const edge = (sign: 1 | -1) =>
    carriers.map(
      ({ offsetHz, occupiedBandwidthHz }) => overBand.channelHz + offsetHz + (sign * occupiedBandwidthHz) / 2,
    );
  return {
    fromX: Math.min(...edge(-1)) / HZ_PER_MHZ,
    toX: Math.max(...edge(1)) / HZ_PER_MHZ,
    variable: '--ink',
    label: '',
  };
}

/** One row in words; empty without a stop. */
export function overBandCursorText(overBand: OverBandReport, x: number | null): string {
  const row = x === null ? undefined : overBand.rows[overBandStops(overBand).indexOf(x)];
  if (row === undefined) return '';
  const unit = powerUnit(overBand);
  const compressed = row.outputAtOneDbCompressionDbm ?? row.outputAtOneDbCompressionDb;
  const parts = [
    `gain ${formatQuantity(row.gainDb, 'dB', 2)}`,
    `saturated ${formatQuantity(row.saturatedPowerDbm ?? row.saturatedPowerDb, unit, 2)}`,
    compressed === null ? 'no 1 dB compression' : `1 dB compression ${formatQuantity(compressed, unit, 2)}`,
  ];
  const place = `${FREQUENCY(row.frequencyHz / HZ_PER_MHZ)} MHz${row.isChannel ? ', the channel' : ''}`;
  return `${place}: ${parts.join(', ')}`;
}
