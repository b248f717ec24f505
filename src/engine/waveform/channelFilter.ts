// Taps and cut-off of the channel filters.
//
// "auto" scales the reference filter of the project's bench: 513 taps at 122.88 Msps for a guard of 0.5 MHz on each side
// (Kaiser 9), tap count proportional to sample rate over guard; cut-off 60 % into the guard (4.8 MHz for LTE 10 MHz).
// Common practice, no source: the guard is there for the filter's transition.
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import { printValue } from '../../../shared/schema/issue.ts';
import type { SpectralEdgeSettings } from '../../../shared/schema/scenario.ts';
import { formatHz } from '../dsp/frequencyText.ts';
import type { Band } from './carrierBand.ts';
import type { RecordLayout } from './record.ts';
import type { ResolvedFilter } from './resolvedWaveform.ts';

const REFERENCE = { tapCount: 513, sampleRateHz: 122.88e6, guardHz: 0.5e6 };
const DEFAULT_BETA = 9;
const LEAST_TAPS = 15;
const MOST_TAPS = 8193;
/** An automatic filter takes at most this share of the record. */
const RECORD_SHARE = 1 / 4;
const CUT_INTO_GUARD = 0.6;
/** A noise band has no guard: its filter for crest-factor reduction must fall within this share of the band. */
const NOISE_TRANSITION_RATIO = 0.05;

type ChannelFilterSettings = Extract<SpectralEdgeSettings, { kind: 'channelFilter' }>;

/** The record as far as it is known while faults are still collected. */
export interface KnownRecord {
  readonly sampleRateHz: number | null;
  readonly sampleCount: number | null;
}

/** Checks a hand-set filter: faults go to `issues`, doubtful values to `notes`. */
export function checkFilter(
  edge: SpectralEdgeSettings,
  bands: readonly Band[],
  record: KnownRecord,
  issues: Issue[],
  notes: Warning[],
): void {
  if (edge.kind !== 'channelFilter') return;
  checkTaps(edge, record.sampleCount, issues);
  const filtered = bands.filter((band) => band.subcarrierSpacingHz !== null);
  if (filtered.length > 0) checkCutoff(edge, filtered, record.sampleRateHz, issues, notes);
}

/** Filters of all carriers, in their order; those of checked settings. */
export function resolveFilters(
  edge: SpectralEdgeSettings,
  bands: readonly Band[],
  layout: RecordLayout,
): ResolvedFilter[] {
  const settings: ChannelFilterSettings =
    edge.kind === 'channelFilter'
      ? edge
      : { kind: 'channelFilter', tapCount: 'auto', cutoffHz: 'auto', kaiserBeta: DEFAULT_BETA };
  return bands.map((band) => ({
    tapCount: settings.tapCount === 'auto' ? automaticTaps(guardHz(band), layout) : settings.tapCount,
    cutoffHz: cutoffHz(settings, band),
    kaiserBeta: settings.kaiserBeta,
  }));
}

/** The value all carriers share, or "auto" when they differ. */
export function shared(values: readonly number[]): number | 'auto' {
  const [first] = values;
  return first !== undefined && values.every((value) => value === first) ? first : 'auto';
}

function guardHz(band: Band): number {
  if (band.subcarrierSpacingHz === null) return NOISE_TRANSITION_RATIO * band.occupiedBandwidthHz;
  return (band.channelBandwidthHz - band.occupiedBandwidthHz) / 2;
}

function automaticTaps(guard: number, layout: RecordLayout): number {
  const wanted = (REFERENCE.tapCount * layout.sampleRateHz * REFERENCE.guardHz) / (REFERENCE.sampleRateHz * guard);
  const most = Math.min(MOST_TAPS, layout.sampleCount * RECORD_SHARE);
  return oddAtMost(Math.max(LEAST_TAPS, Math.min(wanted, most)));
}

/** Largest odd number that is not above the value rounded to the nearest whole number. */
function oddAtMost(value: number): number {
  const whole = Math.round(value);
  return whole % 2 === 1 ? whole : whole - 1;
}

function cutoffHz(settings: ChannelFilterSettings, band: Band): number {
  // A noise band may not leak past its exact edge, so its filter is down before it.
  if (band.subcarrierSpacingHz === null) return (0.5 - NOISE_TRANSITION_RATIO) * band.occupiedBandwidthHz;
  if (settings.cutoffHz !== 'auto') return settings.cutoffHz;
  return band.occupiedBandwidthHz / 2 + CUT_INTO_GUARD * guardHz(band);
}

function checkTaps(settings: ChannelFilterSettings, sampleCount: number | null, issues: Issue[]): void {
  const { tapCount } = settings;
  if (tapCount === 'auto') return;
  const path = 'waveform.spectralEdge.tapCount';
  if (tapCount % 2 === 0) {
    issues.push({
      path,
      rule: 'must be odd',
      value: printValue(tapCount),
      remedy: `use ${tapCount - 1} or ${tapCount + 1}`,
    });
  }
  if (sampleCount !== null && tapCount > sampleCount) {
    issues.push({
      path,
      rule: `must not be longer than the record of ${sampleCount} samples`,
      value: printValue(tapCount),
      remedy: 'use "auto", fewer taps or more symbols',
    });
  }
}

function checkCutoff(
  settings: ChannelFilterSettings,
  bands: readonly Band[],
  sampleRateHz: number | null,
  issues: Issue[],
  notes: Warning[],
): void {
  const cutoff = settings.cutoffHz;
  if (cutoff === 'auto') return;
  if (sampleRateHz !== null && cutoff >= sampleRateHz / 2) {
    issues.push({
      path: 'waveform.spectralEdge.cutoffHz',
      rule: `must be below half the sample rate, ${formatHz(sampleRateHz / 2)}`,
      value: printValue(cutoff),
      remedy: 'use "auto" or a lower cut-off',
    });
  }
  const widest = Math.max(...bands.map((band) => band.occupiedBandwidthHz / 2));
  if (cutoff < widest) {
    notes.push({
      code: 'filter-cuts-carrier',
      message: `The channel filter's half-amplitude frequency, ${formatHz(cutoff)}, lies inside the occupied band (±${formatHz(widest)}): the outer subcarriers lose power. Use "auto".`,
    });
  }
}
