// Colours, dashes and names of the pictures: the light tokens of the page, because a picture is printed or mailed.
// The traces keep name, colour and dash in every chart, table and report; colour is never the only cue.

export const PALETTE = {
  paper: '#FBFAF7',
  ink: '#1E2329',
  muted: '#59626C',
  rule: '#DAD7D0',
  column: '#F1EFEA',
  /** Behind the region or the row that answers. */
  chosen: '#E4F0EC',
  /** Behind what misses. */
  missed: '#F7E4DA',
  within: '#0F766E',
  over: '#B42318',
} as const;

export interface TraceStyle {
  readonly name: string;
  readonly colour: string;
  /** In pixels; empty is a solid line. */
  readonly dash: readonly number[];
}

export const TRACE_STYLES = {
  data: { name: 'Data', colour: '#8A6D1D', dash: [2, 3] },
  waveform: { name: 'Waveform', colour: '#7A5BB5', dash: [1.5, 2.5] },
  shaped: { name: 'Shaped', colour: '#7A5BB5', dash: [1.5, 2.5] },
  ideal: { name: 'Ideal limiter', colour: '#59626C', dash: [9, 5] },
  gaussian: { name: 'Gaussian', colour: '#59626C', dash: [5, 4] },
  drive: { name: 'Corrected drive', colour: '#2F4B8F', dash: [6, 2, 1.5, 2] },
  uncorrected: { name: 'Uncorrected', colour: '#C2410C', dash: [] },
  corrected: { name: 'Corrected', colour: '#0F766E', dash: [] },
  record: { name: 'Record', colour: '#C2410C', dash: [] },
} as const satisfies Readonly<Record<string, TraceStyle>>;

/** A pair of records and what a model makes of it. */
export const PAIR_STYLES = {
  observed: { name: 'Observed', colour: '#1E2329', dash: [] },
  predicted: { name: 'Predicted', colour: '#2F4B8F', dash: [6, 3] },
  residual: { name: 'Residual', colour: '#A3246B', dash: [] },
} as const satisfies Readonly<Record<string, TraceStyle>>;

export const SANS = 'system-ui, -apple-system, Segoe UI, Roboto, Noto Sans, Liberation Sans, sans-serif';
