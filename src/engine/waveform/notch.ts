// A band left empty inside a carrier: bins of noise or subcarriers of OFDM.
//
// Line k of spacing d owns k·d ± d/2. All lines whose share reaches into the asked band are removed, so that the asked
// band is empty; the notch as stated runs from the lower edge of the first removed line to the upper edge of the last.
import type { Issue } from '../../../shared/schema/issue.ts';
import { printValue } from '../../../shared/schema/issue.ts';
import type { NotchSettings } from '../../../shared/schema/scenario.ts';
import { formatHz } from '../dsp/frequencyText.ts';
import type { Band } from './carrierBand.ts';

/** First and last line removed, counted from the carrier's centre. */
export interface NotchLines {
  readonly first: number;
  readonly last: number;
}

/** Edges this close to a line's own count as on it. */
const ROUNDING = 1e-6;

export function notchLines({ offsetHz, bandwidthHz }: NotchSettings, lineSpacingHz: number): NotchLines {
  const lower = (offsetHz - bandwidthHz / 2) / lineSpacingHz;
  const upper = (offsetHz + bandwidthHz / 2) / lineSpacingHz;
  return { first: Math.floor(lower + 0.5 + ROUNDING), last: Math.ceil(upper - 0.5 - ROUNDING) };
}

/** The notch on whole lines. */
export function snapNotch(notch: NotchSettings, lineSpacingHz: number): NotchSettings {
  const { first, last } = notchLines(notch, lineSpacingHz);
  return { offsetHz: ((first + last) / 2) * lineSpacingHz, bandwidthHz: (last - first + 1) * lineSpacingHz };
}

/** Edges of a notch on whole lines. */
export function notchEdges(notch: NotchSettings | null): { readonly lowerHz: number; readonly upperHz: number } | null {
  if (notch === null) return null;
  return { lowerHz: notch.offsetHz - notch.bandwidthHz / 2, upperHz: notch.offsetHz + notch.bandwidthHz / 2 };
}

/**
 * The notch must lie inside the carrier. Of OFDM at least one subcarrier must remain on either side: the outermost edge
 * of a notch is 1½ spacings from that of the carrier, because NR has one subcarrier less above the centre than below.
 */
export function checkNotch(notch: NotchSettings | null, band: Band, issues: Issue[]): void {
  if (notch === null) return;
  const { carrierIndex, occupiedBandwidthHz, subcarrierSpacingHz } = band;
  requireWithin(notch, occupiedBandwidthHz / 2 - 1.5 * (subcarrierSpacingHz ?? 0), carrierIndex, issues);
}

/** Of noise on the bins −halfBinCount … +halfBinCount at least one bin must remain on either side. */
export function checkNoiseNotch(
  notch: NotchSettings,
  halfBinCount: number,
  binHz: number,
  carrierIndex: number,
  issues: Issue[],
): void {
  requireWithin(notch, (halfBinCount - 0.5) * binHz, carrierIndex, issues);
}

function requireWithin(notch: NotchSettings, reachHz: number, carrierIndex: number, issues: Issue[]): void {
  if (Math.abs(notch.offsetHz) + notch.bandwidthHz / 2 <= reachHz * (1 + ROUNDING)) return;
  const path = `waveform.carriers.${carrierIndex}.notch`;
  const rule = `must lie inside the carrier, within ±${formatHz(reachHz)} of its centre`;
  if (notch.bandwidthHz / 2 > reachHz) {
    const value = printValue(notch.bandwidthHz);
    issues.push({ path: `${path}.bandwidthHz`, rule, value, remedy: `use at most ${formatHz(2 * reachHz)}` });
    return;
  }
  issues.push({
    path: `${path}.offsetHz`,
    rule,
    value: printValue(notch.offsetHz),
    remedy: `use an offset within ±${formatHz(reachHz - notch.bandwidthHz / 2)} or a narrower notch`,
  });
}
