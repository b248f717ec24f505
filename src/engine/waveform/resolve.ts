// From waveform settings to a record that can be generated, or to the list of all faults between its fields.
//
// Band of each carrier (carrierBand.ts), the record they share (record.ts), each carrier moved onto it (wholeCycles.ts),
// what it then consists of (carrierGeometry.ts).
import type { BurstGeometry } from '../../../shared/schema/geometry.ts';
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import { printValue } from '../../../shared/schema/issue.ts';
import type { CarrierSettings, SpectralEdgeSettings, WaveformSettings } from '../../../shared/schema/scenario.ts';
import { NO_RECORDS, type RecordStore, type SuppliedRecord } from '../dsp/waveformTypes.ts';
import { resolveBurst } from './burst.ts';
import { type Band, bandOf } from './carrierBand.ts';
import { geometryOf } from './carrierGeometry.ts';
import { checkFilter, resolveFilters, shared } from './channelFilter.ts';
import { checkNotch } from './notch.ts';
import { checkMoved, checkNeighbours, checkRoom } from './placement.ts';
import { layOutRecord, prefixSamples, type RecordLayout } from './record.ts';
import { recordNotes } from './recordCarrier.ts';
import { layOutOnRecord, planAtRate } from './recordLayout.ts';
import type { ResolvedCarrier, ResolvedEdge, ResolvedFilter, ResolvedWaveform } from './resolvedWaveform.ts';
import { checkRings, unusedNotes } from './unusedSettings.ts';
import { binHzOf, movingNotes, onWholeCycles } from './wholeCycles.ts';

export type WaveformResolution =
  | { readonly kind: 'resolved'; readonly waveform: ResolvedWaveform; readonly notes: readonly Warning[] }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

/**
 * Fills in every "auto", moves carriers to whole cycles per record (a note tells by how much) and checks that rows exist
 * and carriers fit. All faults are listed together, with paths below `waveform`.
 */
export function resolveWaveform(settings: WaveformSettings, records: RecordStore = NO_RECORDS): WaveformResolution {
  const issues: Issue[] = [];
  const notes: Warning[] = [];
  const bands = bandsOf(settings.carriers, records, issues);
  // A carrier without a row has no width: the checks between fields go on with the others.
  const known = bands.filter((band) => band !== null);
  const layOut = settings.carriers.some(({ kind }) => kind === 'record') ? layOutOnRecord : layOutRecord;
  const layout = known.length === bands.length ? layOut(settings, known, issues, records) : null;
  const handSet = settings.sampleRateHz === 'auto' ? null : settings.sampleRateHz;
  const sampleRateHz = layout?.sampleRateHz ?? handSet;
  checkRings(settings.carriers, issues);
  checkNeighbours(known, issues, notes);
  if (sampleRateHz !== null) checkRoom(known, sampleRateHz, issues, notes);
  checkFilter(settings.spectralEdge, known, { sampleRateHz, sampleCount: layout?.sampleCount ?? null }, issues, notes);
  checkOverlap(settings.spectralEdge, known, issues);
  const moved = layout === null ? [] : settings.carriers.map((carrier, i) => onWholeCycles(carrier, i, layout, issues));
  const bursts: Warning[] = [];
  const burst = layout && settings.burst && resolveBurst(settings.burst, layout, issues, bursts);
  if (layout !== null && issues.length === 0) {
    const movedBands = bandsOf(moved, records, []).filter((band) => band !== null);
    checkMoved(movedBands, layout, issues);
  }
  if (layout === null || issues.length > 0) return { kind: 'invalid', issues };
  notes.push(...movingNotes(settings.carriers, moved), ...bursts, ...unusedNotes(settings));
  notes.push(...outsideNotes(settings.carriers, layout, records));
  return { kind: 'resolved', waveform: place(settings, moved, layout, burst, records), notes };
}

/** What is to say of the records that carriers are made of. */
function outsideNotes(
  carriers: readonly CarrierSettings[],
  { sampleRateHz }: RecordLayout,
  records: RecordStore,
): Warning[] {
  return carriers.flatMap((carrier, i) => {
    const record = carrier.kind === 'record' ? records.get(carrier.recordName) : undefined;
    if (carrier.kind !== 'record' || record === undefined) return [];
    const plan = planAtRate(carrier, record, sampleRateHz);
    return plan === null ? [] : recordNotes(carrier, i, record, plan);
  });
}

/** What can be said of carriers by themselves, in their places (null: not sound), when the waveform as a whole is not. */
export function checkCarriers(
  carriers: readonly (CarrierSettings | null)[],
  records: RecordStore = NO_RECORDS,
): Issue[] {
  const issues: Issue[] = [];
  const bands = bandsOf(carriers, records, issues);
  checkNeighbours(
    bands.filter((band) => band !== null),
    issues,
    [],
  );
  return issues;
}

/** Null where a carrier is not sound or, with an issue, where its row or record does not exist. */
function bandsOf(
  carriers: readonly (CarrierSettings | null)[],
  records: RecordStore,
  issues: Issue[],
): (Band | null)[] {
  return carriers.map((carrier, i) => {
    const band = carrier === null ? null : bandOf(carrier, i, records, issues);
    if (carrier !== null && band !== null && 'notch' in carrier) checkNotch(carrier.notch, band, issues);
    return band;
  });
}

/** The waveform of carriers that were checked and moved onto the record. */
function place(
  settings: WaveformSettings,
  moved: readonly CarrierSettings[],
  layout: RecordLayout,
  burst: BurstGeometry | null,
  records: RecordStore,
): ResolvedWaveform {
  const bands = bandsOf(moved, records, []).filter((band) => band !== null);
  const filters = resolveFilters(settings.spectralEdge, bands, layout);
  const edge = resolveEdge(settings.spectralEdge, layout);
  const carriers = moved.map((carrier, i) => {
    const record = carrier.kind === 'record' ? (records.get(carrier.recordName) ?? null) : null;
    return resolveCarrier(carrier, bands[i], filters[i], layout, record);
  });
  return {
    ...layout,
    carriers,
    edge,
    crestFactorReduction: settings.crestFactorReduction,
    burst,
    resolvedSettings: {
      ...settings,
      carriers: carriers.map((carrier) => carrier.settings),
      sampleRateHz: layout.sampleRateHz,
      burst: settings.burst && burst && { ...settings.burst, periodS: burst.periodSamples / layout.sampleRateHz },
      spectralEdge: writeOutEdge(settings.spectralEdge, layout, carriers, edge),
    },
  };
}

function resolveCarrier(
  carrier: CarrierSettings,
  band: Band,
  filter: ResolvedFilter,
  layout: RecordLayout,
  record: SuppliedRecord | null,
): ResolvedCarrier {
  const { geometry, halfBinCount } = geometryOf(carrier, band, layout);
  return {
    geometry,
    cyclesPerRecord: Math.round(band.offsetHz / binHzOf(layout)),
    halfBinCount,
    filter,
    crestShareRatio: carrier.crestShareRatio,
    settings: writeOutCarrier(carrier, band, geometry, record),
    record,
  };
}

/** The moved carrier with its choices written out. Ring ratios stay "auto" where there are no rings. */
function writeOutCarrier(
  carrier: CarrierSettings,
  { channelBandwidthHz, occupiedBandwidthHz }: Band,
  { singleCarrier }: ResolvedCarrier['geometry'],
  record: SuppliedRecord | null,
): CarrierSettings {
  if (carrier.kind === 'ofdm') return carrier;
  if (carrier.kind === 'record') {
    return { ...carrier, channelBandwidthHz, occupiedBandwidthHz, sha512: record?.sha512 ?? carrier.sha512 };
  }
  if (carrier.kind !== 'singleCarrier') return { ...carrier, channelBandwidthHz };
  const [, ringRatio, outerRingRatio] = singleCarrier?.ringRatios ?? [];
  return {
    ...carrier,
    channelBandwidthHz,
    ringRatio: ringRatio ?? carrier.ringRatio,
    outerRingRatio: outerRingRatio ?? carrier.outerRingRatio,
  };
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
  // Without OFDM the filter is no carrier's edge: nothing to decide.
  if (filtered.length === 0) return asked;
  return {
    kind: 'channelFilter',
    tapCount: shared(filtered.map((carrier) => carrier.filter.tapCount)),
    cutoffHz: shared(filtered.map((carrier) => carrier.filter.cutoffHz)),
    kaiserBeta: asked.kaiserBeta,
  };
}
