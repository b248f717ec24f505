// Whether the carriers fit beside each other and into the sample rate.
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import { printValue } from '../../../shared/schema/issue.ts';
import { formatHz } from '../dsp/frequencyText.ts';
import type { Band } from './carrierBand.ts';
import { type RecordLayout, roomyRateHz } from './record.ts';

/** Overlapping occupied bands are faults; channels that overlap only in their guards are noted. */
export function checkNeighbours(bands: readonly Band[], issues: Issue[], notes: Warning[]): void {
  const order = bands.map((_, i) => i).sort((a, b) => bands[a].offsetHz - bands[b].offsetHz || a - b);
  for (let i = 1; i < order.length; i++) {
    const left = order[i - 1];
    const right = order[i];
    const distanceHz = bands[right].offsetHz - bands[left].offsetHz;
    const occupiedHz = (bands[left].occupiedBandwidthHz + bands[right].occupiedBandwidthHz) / 2;
    const channelsHz = (bands[left].channelBandwidthHz + bands[right].channelBandwidthHz) / 2;
    if (distanceHz < occupiedHz * (1 - 1e-9)) {
      const later = Math.max(left, right);
      const other = Math.min(left, right);
      issues.push({
        path: `waveform.carriers.${bands[later].carrierIndex}.offsetHz`,
        rule: `must keep the carrier's band clear of carrier ${bands[other].carrierIndex + 1} at ${formatHz(bands[other].offsetHz)}`,
        value: printValue(bands[later].offsetHz),
        remedy: `move it at least ${formatHz(occupiedHz)} away (${formatHz(channelsHz)} for whole channels)`,
      });
    } else if (distanceHz < channelsHz * (1 - 1e-9)) {
      notes.push({
        code: 'carriers-close',
        message: `Carriers ${bands[left].carrierIndex + 1} and ${bands[right].carrierIndex + 1} are ${formatHz(distanceHz)} apart, closer than their channels (${formatHz(channelsHz)}): their guard bands overlap.`,
      });
    }
  }
}

/** Every carrier must lie inside ±fs/2; a rate without room for fifth-order products is noted. */
export function checkRoom(bands: readonly Band[], sampleRateHz: number, issues: Issue[], notes: Warning[]): void {
  const half = sampleRateHz / 2;
  let allFit = true;
  for (const band of bands) {
    const reach = half - band.occupiedBandwidthHz / 2;
    if (Math.abs(band.offsetHz) <= reach) continue;
    allFit = false;
    issues.push({
      path: `waveform.carriers.${band.carrierIndex}.offsetHz`,
      rule: `must keep the carrier (${formatHz(band.occupiedBandwidthHz)} wide) inside ±${formatHz(half)}, half the sample rate`,
      value: printValue(band.offsetHz),
      remedy:
        reach >= 0
          ? `use an offset within ±${formatHz(reach)} or raise waveform.sampleRateHz`
          : 'raise waveform.sampleRateHz or set it to "auto"',
    });
  }
  if (bands.length === 0) return;
  const roomy = roomyRateHz(bands);
  if (allFit && sampleRateHz < roomy * (1 - 1e-9)) {
    notes.push({
      code: 'rate-narrow',
      message: `The sample rate ${formatHz(sampleRateHz)} is below ${formatHz(roomy)}, which fifth-order products, adjacent and alternate channels of these carriers need: products fold back and outer channels may be missing.`,
    });
  }
}

/** Moving two carriers to whole cycles takes up to a bin from the distance between them, and from that to ±fs/2. */
const MOVED_BINS = 2;

/**
 * Bands after they were moved onto the record: tones and symbols in a whole number may be wider than was asked, by more
 * than the bins that moving costs.
 */
export function checkMoved(
  bands: readonly Band[],
  { sampleRateHz, sampleCount }: Pick<RecordLayout, 'sampleRateHz' | 'sampleCount'>,
  issues: Issue[],
): void {
  const slackHz = (MOVED_BINS * sampleRateHz) / sampleCount;
  checkNeighbours(
    bands.map((band) => ({ ...band, occupiedBandwidthHz: Math.max(0, band.occupiedBandwidthHz - slackHz) })),
    issues,
    [],
  );
  checkRoom(
    bands.map((band) => ({
      ...band,
      offsetHz: Math.sign(band.offsetHz) * Math.max(0, Math.abs(band.offsetHz) - slackHz),
    })),
    sampleRateHz,
    issues,
    [],
  );
}
