// One colour, dash and name per trace, the same in every chart, table and legend. On the page colours are names of custom
// properties, so that they follow the theme; the dash tells traces apart where colour does not.
import { TRACE_STYLES as PRINTED_STYLES } from '../../../shared/figures/palette.ts';

export interface TraceStyle {
  readonly name: string;
  /** Custom property of tokens.css. */
  readonly variable: string;
  /** In CSS pixels; empty is a solid line. */
  readonly dash: readonly number[];
}

function onPage(name: keyof typeof PRINTED_STYLES, variable: string): TraceStyle {
  return { name: PRINTED_STYLES[name].name, dash: PRINTED_STYLES[name].dash, variable };
}

export const TRACE_STYLES = {
  data: onPage('data', '--trace-data'),
  waveform: onPage('waveform', '--trace-waveform'),
  shaped: onPage('shaped', '--trace-waveform'),
  ideal: onPage('ideal', '--trace-ideal'),
  gaussian: onPage('gaussian', '--trace-ideal'),
  drive: onPage('drive', '--trace-drive'),
  uncorrected: onPage('uncorrected', '--trace-uncorrected'),
  corrected: onPage('corrected', '--trace-corrected'),
} as const;

export type TraceName = keyof typeof TRACE_STYLES;

const ORDER_STYLES: readonly (readonly [variable: string, dash: readonly number[]])[] = [
  ['--trace-waveform', [1.5, 2.5]],
  ['--trace-drive', []],
  ['--trace-data', [9, 4]],
  ['--trace-seventh', [5, 2, 1.5, 2]],
  ['--trace-corrected', []],
];
const ORDER_NAMES: Readonly<Record<number, string>> = {
  1: 'Linear part',
  3: 'Third order',
  5: 'Fifth order',
  7: 'Seventh order',
};

/** Style of one part of the order split. */
export function orderStyle(order: number, index: number): TraceStyle {
  const [variable, dash] = ORDER_STYLES[index % ORDER_STYLES.length] ?? ['--ink', []];
  return { name: ORDER_NAMES[order] ?? `Order ${order}`, variable, dash };
}
