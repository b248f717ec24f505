// From waveform settings to a record that can be generated, or to the list of all faults between its fields.
//
// Numerology rows: shared/tables/numerologies. Subcarrier positions: NR k − 6·N_RB (the carrier's centre carries data,
// TS 38.211 clause 5.3.1); LTE ±1 … ±6·N_RB (the centre is unused, from memory of TS 36.211 clause 6.12).
import type { CarrierGeometry } from '../../../shared/schema/geometry.ts';
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import { printValue } from '../../../shared/schema/issue.ts';
import type {
  CarrierSettings,
  OfdmCarrierSettings,
  SpectralEdgeSettings,
  WaveformSettings,
} from '../../../shared/schema/scenario.ts';
import { findNumerology, type Numerology, numerologies } from '../../../shared/tables/numerologies.ts';
import { formatHz } from '../dsp/frequencyText.ts';
import { NO_RECORDS, type RecordStore } from '../dsp/waveformTypes.ts';
import { checkFilter, resolveFilters, shared } from './channelFilter.ts';
import { checkNeighbours, checkRoom } from './placement.ts';
import { type Band, layOutRecord, prefixSamples, type RecordLayout } from './record.ts';
import type { ResolvedCarrier, ResolvedEdge, ResolvedFilter, ResolvedWaveform } from './resolvedWaveform.ts';

export type WaveformResolution =
  | { readonly kind: 'resolved'; readonly waveform: ResolvedWaveform; readonly notes: readonly Warning[] }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

/**
 * Fills in every "auto", moves carriers to whole cycles per record (a note tells by how much) and checks that rows exist
 * and carriers fit. All faults are listed together, with paths below `waveform`.
 */
export function resolveWaveform(settings: WaveformSettings, _records: RecordStore = NO_RECORDS): WaveformResolution {
  const issues: Issue[] = [];
  const notes: Warning[] = [];
  const rows = settings.carriers.map((carrier, i) => (carrier.kind === 'ofdm' ? findRow(carrier, i, issues) : null));
  const bands = settings.carriers.map((carrier, i) => bandOf(carrier, rows[i], i));
  // A carrier without a row has no width: the checks between fields go on with the others.
  const known = bands.filter((_, i) => settings.carriers[i].kind === 'noise' || rows[i] !== null);
  const layout = known.length === bands.length ? layOutRecord(settings, bands, issues) : null;
  const handSet = settings.sampleRateHz === 'auto' ? null : settings.sampleRateHz;
  const sampleRateHz = layout?.sampleRateHz ?? handSet;
  checkNeighbours(known, issues, notes);
  if (sampleRateHz !== null) checkRoom(known, sampleRateHz, issues, notes);
  checkFilter(settings.spectralEdge, known, { sampleRateHz, sampleCount: layout?.sampleCount ?? null }, issues, notes);
  checkOverlap(settings.spectralEdge, known, issues);
  if (layout === null || issues.length > 0) return { kind: 'invalid', issues };
  const placed = bands.map((band) => onWholeBins(band, layout));
  const filters = resolveFilters(settings.spectralEdge, placed, layout);
  const edge = resolveEdge(settings.spectralEdge, layout);
  const carriers = settings.carriers.map((carrier, i) =>
    resolveCarrier(carrier, placed[i], rows[i], filters[i], layout),
  );
  notes.push(...placementNotes(settings.carriers, carriers));
  const resolvedSettings = writeOut(settings, layout, carriers, edge);
  const { crestFactorReduction } = settings;
  return {
    kind: 'resolved',
    waveform: { ...layout, carriers, edge, crestFactorReduction, burst: null, resolvedSettings },
    notes,
  };
}

/** What can be said of carriers by themselves, in their places (null: not sound), when the waveform as a whole is not. */
export function checkCarriers(carriers: readonly (CarrierSettings | null)[]): Issue[] {
  const issues: Issue[] = [];
  const bands = carriers.flatMap((carrier, i) => {
    if (carrier === null) return [];
    const row = carrier.kind === 'ofdm' ? findRow(carrier, i, issues) : null;
    return carrier.kind === 'ofdm' && row === null ? [] : [bandOf(carrier, row, i)];
  });
  checkNeighbours(bands, issues, []);
  return issues;
}

function findRow(carrier: OfdmCarrierSettings, index: number, issues: Issue[]): Numerology | null {
  const { standard, channelBandwidthHz, subcarrierSpacingHz } = carrier;
  const row = findNumerology(standard, channelBandwidthHz, subcarrierSpacingHz);
  if (row !== undefined) return row;
  const name = standard.toUpperCase();
  const ofStandard = numerologies.filter((other) => other.standard === standard);
  const sameWidth = ofStandard.filter((other) => other.channelBandwidthHz === channelBandwidthHz);
  const widths = ofStandard.filter((other) => other.subcarrierSpacingHz === subcarrierSpacingHz);
  const field = sameWidth.length > 0 ? 'subcarrierSpacingHz' : 'channelBandwidthHz';
  const list = (values: readonly number[], unitHz: number) => values.map((value) => value / unitHz).join(', ');
  const spacings = list(
    sameWidth.map((other) => other.subcarrierSpacingHz),
    1e3,
  );
  const allowedWidths =
    widths.length > 0
      ? `${list(
          widths.map((other) => other.channelBandwidthHz),
          1e6,
        )} MHz`
      : `another spacing: ${list([...new Set(ofStandard.map((other) => other.subcarrierSpacingHz))], 1e3)} kHz`;
  issues.push({
    path: `waveform.carriers.${index}.${field}`,
    rule:
      field === 'subcarrierSpacingHz'
        ? `must be a spacing ${name} has at ${formatHz(channelBandwidthHz)}`
        : `must be a channel bandwidth ${name} has at ${formatHz(subcarrierSpacingHz)}`,
    value: printValue(carrier[field]),
    remedy: field === 'subcarrierSpacingHz' ? `use ${spacings} kHz` : `use ${allowedWidths}`,
  });
  return null;
}

function bandOf(carrier: CarrierSettings, row: Numerology | null, carrierIndex: number): Band {
  const { offsetHz } = carrier;
  if (carrier.kind === 'noise') {
    const { occupiedBandwidthHz, channelBandwidthHz } = carrier;
    return {
      carrierIndex,
      offsetHz,
      occupiedBandwidthHz,
      channelBandwidthHz: channelBandwidthHz === 'auto' ? occupiedBandwidthHz : channelBandwidthHz,
      subcarrierSpacingHz: null,
    };
  }
  if (carrier.kind !== 'ofdm') throw new RangeError(`bandOf: carriers of kind ${carrier.kind} have no band yet`);
  return {
    carrierIndex,
    offsetHz,
    occupiedBandwidthHz: row?.transmissionBandwidthHz ?? carrier.channelBandwidthHz,
    channelBandwidthHz: carrier.channelBandwidthHz,
    subcarrierSpacingHz: carrier.subcarrierSpacingHz,
  };
}

/** Noise fills an odd number of bins about its centre; a channel as wide as the noise follows it. */
function onWholeBins(band: Band, layout: RecordLayout): Band {
  if (band.subcarrierSpacingHz !== null) return band;
  const binHz = layout.sampleRateHz / layout.sampleCount;
  const halfBinCount = Math.max(0, Math.round((band.occupiedBandwidthHz / binHz - 1) / 2));
  const occupiedBandwidthHz = (2 * halfBinCount + 1) * binHz;
  const follows = band.channelBandwidthHz === band.occupiedBandwidthHz;
  return { ...band, occupiedBandwidthHz, channelBandwidthHz: follows ? occupiedBandwidthHz : band.channelBandwidthHz };
}

function resolveCarrier(
  carrier: CarrierSettings,
  band: Band,
  row: Numerology | null,
  filter: ResolvedFilter,
  layout: RecordLayout,
): ResolvedCarrier {
  const binHz = layout.sampleRateHz / layout.sampleCount;
  const cyclesPerRecord = Math.round(band.offsetHz / binHz);
  const placed = { offsetHz: cyclesPerRecord * binHz, relativePowerDb: carrier.relativePowerDb };
  const rest = { crestShareRatio: carrier.crestShareRatio, settings: carrier, record: null };
  if (carrier.kind !== 'ofdm' || row === null) {
    const { occupiedBandwidthHz, channelBandwidthHz } = band;
    const geometry: CarrierGeometry = {
      kind: 'noise',
      label: `noise ${formatHz(occupiedBandwidthHz)}`,
      ...placed,
      occupiedBandwidthHz,
      channelBandwidthHz,
      ofdm: null,
      singleCarrier: null,
      tones: null,
      notch: null,
    };
    const halfBinCount = Math.round((occupiedBandwidthHz / binHz - 1) / 2);
    return { geometry, cyclesPerRecord, halfBinCount, filter, ...rest };
  }
  return { geometry: ofdmGeometry(carrier, row, placed, layout), cyclesPerRecord, halfBinCount: null, filter, ...rest };
}

function ofdmGeometry(
  carrier: OfdmCarrierSettings,
  row: Numerology,
  placed: Pick<CarrierGeometry, 'offsetHz' | 'relativePowerDb'>,
  layout: RecordLayout,
): CarrierGeometry {
  const fftLength = Math.round(layout.sampleRateHz / row.subcarrierSpacingHz);
  const cyclicPrefixSamples = prefixSamples(fftLength);
  const symbolSamples = fftLength + cyclicPrefixSamples;
  return {
    kind: 'ofdm',
    label: `${row.standard.toUpperCase()} ${formatHz(row.channelBandwidthHz)}, ${formatHz(row.subcarrierSpacingHz)}, ${carrier.modulation}`,
    ...placed,
    occupiedBandwidthHz: row.transmissionBandwidthHz,
    channelBandwidthHz: row.channelBandwidthHz,
    ofdm: {
      subcarrierSpacingHz: row.subcarrierSpacingHz,
      fftLength,
      cyclicPrefixSamples,
      symbolSamples,
      symbolCount: Math.round(layout.sampleCount / symbolSamples),
      subcarriers: subcarrierPositions(row.standard, 12 * row.resourceBlockCount),
      modulation: carrier.modulation,
      evmWindowSamples: Math.floor((row.evmWindowSamples * fftLength) / row.fftLength),
    },
    singleCarrier: null,
    tones: null,
    notch: null,
  };
}

/** Positions against the carrier centre, rising. LTE leaves the centre out; NR begins at −count/2. */
export function subcarrierPositions(standard: 'lte' | 'nr', count: number): Int32Array {
  const positions = new Int32Array(count);
  for (let i = 0; i < count; i++) {
    const position = i - count / 2;
    positions[i] = standard === 'lte' && position >= 0 ? position + 1 : position;
  }
  return positions;
}

/** The overlap may not reach past the shortest prefix, 9/128 of a symbol's body. */
function checkOverlap(edge: SpectralEdgeSettings, bands: readonly Band[], issues: Issue[]): void {
  if (edge.kind !== 'symbolOverlap') return;
  const spacings = bands.flatMap((band) => (band.subcarrierSpacingHz === null ? [] : [band.subcarrierSpacingHz]));
  const prefixS = prefixSamples(1) / Math.max(...spacings, 0);
  if (edge.overlapS <= prefixS) return;
  issues.push({
    path: 'waveform.spectralEdge.overlapS',
    rule: `must not be longer than the shortest cyclic prefix, ${Number((prefixS * 1e6).toFixed(4))} µs`,
    value: printValue(edge.overlapS),
    remedy: 'use a shorter overlap or the channel filter',
  });
}

function resolveEdge(edge: SpectralEdgeSettings, layout: RecordLayout): ResolvedEdge {
  if (edge.kind !== 'symbolOverlap') return { kind: edge.kind };
  return { kind: 'symbolOverlap', overlapSamples: 2 * Math.round((edge.overlapS * layout.sampleRateHz) / 2) };
}

function placementNotes(asked: readonly CarrierSettings[], placed: readonly ResolvedCarrier[]): Warning[] {
  const moved = placed.flatMap((carrier, i) => {
    const byHz = carrier.geometry.offsetHz - asked[i].offsetHz;
    return Math.abs(byHz) > 1e-6 ? [`carrier ${i} by ${formatHz(byHz)} to ${formatHz(carrier.geometry.offsetHz)}`] : [];
  });
  const widened = placed.flatMap(({ geometry }, i) => {
    const carrier = asked[i];
    if (carrier.kind !== 'noise') return [];
    const byHz = geometry.occupiedBandwidthHz - carrier.occupiedBandwidthHz;
    if (Math.abs(byHz) <= 1e-6) return [];
    return [`carrier ${i} from ${formatHz(carrier.occupiedBandwidthHz)} to ${formatHz(geometry.occupiedBandwidthHz)}`];
  });
  const notes: Warning[] = [];
  if (moved.length > 0) {
    const message = `Moved to whole cycles per record, so that the record is periodic: ${moved.join('; ')}.`;
    notes.push({ code: 'carrier-moved', message });
  }
  if (widened.length > 0) {
    const message = `Noise fills an odd number of whole bins of the record: ${widened.join('; ')} occupied bandwidth.`;
    notes.push({ code: 'noise-width-changed', message });
  }
  return notes;
}

function writeOut(
  settings: WaveformSettings,
  layout: RecordLayout,
  placed: readonly ResolvedCarrier[],
  edge: ResolvedEdge,
): WaveformSettings {
  const carriers = settings.carriers.map((carrier, i): CarrierSettings => {
    const { offsetHz, occupiedBandwidthHz, channelBandwidthHz } = placed[i].geometry;
    return carrier.kind === 'noise'
      ? { ...carrier, offsetHz, occupiedBandwidthHz, channelBandwidthHz }
      : { ...carrier, offsetHz };
  });
  return {
    ...settings,
    carriers,
    sampleRateHz: layout.sampleRateHz,
    spectralEdge: writeOutEdge(settings.spectralEdge, layout, placed, edge),
  };
}

function writeOutEdge(
  asked: SpectralEdgeSettings,
  layout: RecordLayout,
  placed: readonly ResolvedCarrier[],
  edge: ResolvedEdge,
): SpectralEdgeSettings {
  if (edge.kind === 'symbolOverlap')
    return { kind: 'symbolOverlap', overlapS: edge.overlapSamples / layout.sampleRateHz };
  if (asked.kind !== 'channelFilter') return asked;
  const filtered = placed.filter((carrier) => carrier.geometry.kind === 'ofdm');
  const shown = filtered.length > 0 ? filtered : placed;
  return {
    kind: 'channelFilter',
    tapCount: shared(shown.map((carrier) => carrier.filter.tapCount)),
    cutoffHz: shared(shown.map((carrier) => carrier.filter.cutoffHz)),
    kaiserBeta: asked.kaiserBeta,
  };
}
