// Lines and empty bands in the averaged spectrum of a record whose making is not known: two tones with their products,
// and a notch. Nothing says that they stand on whole cycles, so a line is the power under its window's main lobe:
//   P = Σ P[b], |b − b₀| ≤ L,   L = number of cosine terms of the window (first zero of its transform, Harris 1978)
// and L bins at every edge of a notch are left out, into which the window carries the power beside it.
import type { Warning } from '../../../shared/schema/issue.ts';
import type { Side } from '../../../shared/schema/report.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { formatHz } from '../dsp/frequencyText.ts';
import { bandPower, type PowerSpectrum } from '../dsp/spectrum.ts';
import type { WindowName } from '../dsp/windows.ts';
import type { RecordChannels } from './recordChannels.ts';

/** Half the main lobe, in bins. */
const LOBE_BINS: Readonly<Record<WindowName, number>> = { rectangular: 1, hann: 2, blackmanHarris: 4, flatTop: 5 };
const SIDES: readonly Side[] = ['lower', 'upper'];
const ORDERS = [3, 5, 7] as const;
/** A product this little above the noise beside it is noise. */
const LEAST_OVER_NOISE_RATIO = 2;

/** Powers are per tone. */
export interface RecordTwoToneReading {
  readonly toneSpacingHz: number;
  readonly tones: readonly {
    readonly side: Side;
    readonly frequencyHz: number;
    readonly levelDbfs: number;
    readonly powerDbm: number | null;
  }[];
  readonly products: readonly {
    readonly order: number;
    readonly side: Side;
    readonly frequencyHz: number;
    /** Tone of the same side over this product; null where it does not rise out of the noise. */
    readonly ratioDb: number | null;
  }[];
}

export interface RecordNotchReading {
  readonly centreHz: number;
  readonly bandwidthHz: number;
  /** Density of the own channel beside the notch over density inside it. */
  readonly ratioDb: number;
}

interface Read<Reading> {
  readonly reading: Reading | null;
  readonly warnings: readonly Warning[];
}

const NOTHING = { reading: null, warnings: [] };

/** The two strongest lines and their products of order 3, 5 and 7 inside the axis. */
export function readTwoTone(
  spectrum: PowerSpectrum,
  window: WindowName,
  isWanted: boolean,
  unitDbm: number | null,
): Read<RecordTwoToneReading> {
  if (!isWanted) return NOTHING;
  const lobe = LOBE_BINS[window];
  const first = strongest(spectrum, lobe, null);
  const second = strongest(spectrum, lobe, first.bin);
  const [low, high] = first.bin < second.bin ? [first, second] : [second, first];
  const spacingBins = high.bin - low.bin;
  if (spacingBins < 4 * lobe) {
    const message = `The two strongest lines are ${spacingBins.toFixed(1)} bins of ${formatHz(spectrum.binWidthHz)} apart, the window blurs ${4 * lobe}: products are not told apart. Take longer segments.`;
    return { reading: null, warnings: [{ code: 'tones-unresolved', message }] };
  }
  const tones = { lower: low, upper: high };
  const hzOf = (bin: number) => spectrum.frequencyHz[0] + bin * spectrum.binWidthHz;
  const products = ORDERS.flatMap((order) =>
    SIDES.flatMap((side) => {
      const steps = (order - 1) / 2;
      const bin = side === 'lower' ? low.bin - steps * spacingBins : high.bin + steps * spacingBins;
      const power = linePower(spectrum, bin, lobe);
      if (power === null) return [];
      const ratioDb = power.isAboveNoise ? powerRatioToDb(tones[side].power / power.power) : null;
      return [{ order, side, frequencyHz: hzOf(bin), ratioDb }];
    }),
  );
  const reading = {
    toneSpacingHz: spacingBins * spectrum.binWidthHz,
    tones: SIDES.map((side) => {
      const levelDbfs = powerRatioToDb(tones[side].power);
      const powerDbm = unitDbm === null ? null : unitDbm + levelDbfs;
      return { side, frequencyHz: hzOf(tones[side].bin), levelDbfs, powerDbm };
    }),
    products,
  };
  return { reading, warnings: [] };
}

/** The strongest line, at least two main lobes away from another. Its place is the centroid of its lobe. */
function strongest({ power }: PowerSpectrum, lobe: number, other: number | null): { bin: number; power: number } {
  let best = -1;
  for (let b = lobe; b < power.length - lobe; b++) {
    if (other !== null && Math.abs(b - other) < 2 * lobe) continue;
    if (best < 0 || power[b] > power[best]) best = b;
  }
  let [sum, moment] = [0, 0];
  for (let b = best - lobe; b <= best + lobe; b++) {
    sum += power[b];
    moment += (b - best) * power[b];
  }
  return { bin: best + (sum > 0 ? moment / sum : 0), power: sum };
}

/** Power of a line at a place, and whether it stands out of what lies beside it; null outside the axis. */
function linePower({ power }: PowerSpectrum, place: number, lobe: number) {
  const bin = Math.round(place);
  if (bin < 2 * lobe || bin >= power.length - 2 * lobe) return null;
  let [line, beside] = [0, 0];
  for (let b = bin - lobe; b <= bin + lobe; b++) line += power[b];
  for (let i = lobe + 1; i <= 2 * lobe; i++) beside += power[bin - i] + power[bin + i];
  const noise = (beside / (2 * lobe)) * (2 * lobe + 1);
  return { power: line, isAboveNoise: line > LEAST_OVER_NOISE_RATIO * noise };
}

/** The notch against the rest of the own channel. */
export function readNotch(
  spectrum: PowerSpectrum,
  window: WindowName,
  channels: RecordChannels,
  notch: { readonly centreHz: number; readonly bandwidthHz: number } | null,
): Read<RecordNotchReading> {
  if (notch === null) return NOTHING;
  const guardHz = LOBE_BINS[window] * spectrum.binWidthHz;
  const insideHz = notch.bandwidthHz - 2 * guardHz;
  const emptyHz = notch.bandwidthHz + 2 * guardHz;
  const [lowerHz, upperHz] = [-1, 1].map((sign) => notch.centreHz + (sign * emptyHz) / 2) as [number, number];
  const half = channels.ownBandwidthHz / 2 - guardHz;
  const [fromHz, toHz] = [channels.centreHz - half, channels.centreHz + half];
  const isAxis = Math.max(Math.abs(fromHz), Math.abs(toHz)) <= -spectrum.frequencyHz[0];
  if (insideHz < spectrum.binWidthHz || lowerHz <= fromHz || upperHz >= toHz || !isAxis) {
    const message = `The notch of ${formatHz(notch.bandwidthHz)} at ${formatHz(notch.centreHz)} is not read: it must lie inside the own channel and be wider than ${formatHz(2 * guardHz + spectrum.binWidthHz)}, what the window blurs. Take longer segments.`;
    return { reading: null, warnings: [{ code: 'notch-unresolved', message }] };
  }
  const density = (from: number, to: number) => bandPower(spectrum, (from + to) / 2, to - from);
  const beside = density(fromHz, lowerHz) + density(upperHz, toHz);
  const besideHz = lowerHz - fromHz + (toHz - upperHz);
  const inside = bandPower(spectrum, notch.centreHz, insideHz) / insideHz;
  const ratioDb = powerRatioToDb(beside / besideHz / Math.max(inside, Number.MIN_VALUE));
  return { reading: { centreHz: notch.centreHz, bandwidthHz: notch.bandwidthHz, ratioDb }, warnings: [] };
}
