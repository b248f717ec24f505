// Floors: the best ACLR a reading could show whatever the amplifier does, and which of them speaks.
import type { AclrReading, FloorName, FloorReport } from '../../../shared/schema/report.ts';
import { type Samples, zeros } from '../dsp/complex.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { fftInto, nextPowerOfTwo } from '../dsp/fft.ts';
import { makeWindow, type WindowName } from '../dsp/windows.ts';
import type { AclrChannel } from './aclr.ts';

/** Whole-record bins of a periodic record leak only rounding: 20·log10(2^−52) and some growth in the transform. */
export const ROUNDING_FLOOR_DB = 290;
/** Points of the window's spectrum per bin. */
const KERNEL_OVERSAMPLING = 8;

export interface EstimatorSettings {
  readonly method: 'segments' | 'wholeRecord';
  readonly window: WindowName;
  readonly segmentLength: number;
  readonly sampleRateHz: number;
}

/** A flat band of power somewhere on the axis. */
export interface FlatBand {
  readonly offsetHz: number;
  readonly occupiedBandwidthHz: number;
  /** Linear, any unit. */
  readonly power: number;
}

/**
 * ACLR that the estimator alone would show for a flat own channel with nothing beside it: the window's energy that
 * leaks from the own band B into the channel,
 *   L = (1/B)·∫_own ∫_channel |W(f − f')|² df df' / ∫|W|².
 */
export function estimatorFloorDb(settings: EstimatorSettings, ownBandwidthHz: number, channel: AclrChannel): number {
  const own = { offsetHz: 0, occupiedBandwidthHz: ownBandwidthHz, power: 1 };
  return carriersFloorDb(settings, [own], own, channel.offsetHz, channel.bandwidthHz);
}

/** The same with several carriers: what all of them leak into the channel, under the power of the one it refers to. */
export function carriersFloorDb(
  settings: EstimatorSettings,
  carriers: readonly FlatBand[],
  own: FlatBand,
  channelCentreHz: number,
  channelBandwidthHz: number,
): number {
  if (settings.method === 'wholeRecord') return ROUNDING_FLOOR_DB;
  let leaked = 0;
  for (const { offsetHz, occupiedBandwidthHz, power } of carriers) {
    const distanceHz = Math.abs(channelCentreHz - offsetHz);
    leaked += power * leakedShare(settings, occupiedBandwidthHz, distanceHz, channelBandwidthHz);
  }
  return Math.min(ROUNDING_FLOOR_DB, powerRatioToDb(own.power / leaked));
}

/** L of one band into a channel at a distance. */
function leakedShare(settings: EstimatorSettings, bandwidthHz: number, distanceHz: number, channelHz: number): number {
  const cumulative = cumulativeEnergy(settings);
  const pointCount = cumulative.length - 1;
  const pointHz = settings.sampleRateHz / pointCount;
  const steps = 400;
  let leaked = 0;
  for (let k = 0; k < steps; k++) {
    const from = ((k + 0.5) / steps - 0.5) * bandwidthHz;
    const low = Math.round((distanceHz - channelHz / 2 - from) / pointHz);
    const high = Math.round((distanceHz + channelHz / 2 - from) / pointHz);
    leaked += wrappedSum(cumulative, low, high);
  }
  return leaked / steps / cumulative[pointCount];
}

const known = new Map<string, Samples>();
const WINDOWS_KEPT = 4;

/** ∫|W|² up to each point of a grid finer than the bins, bin 0 first; computed once for a window and its length. */
function cumulativeEnergy({ window, segmentLength }: EstimatorSettings): Samples {
  const key = `${window}/${segmentLength}`;
  let cumulative = known.get(key);
  if (cumulative === undefined) {
    const padded = zeros(nextPowerOfTwo(segmentLength * KERNEL_OVERSAMPLING));
    padded.re.set(makeWindow(window, segmentLength));
    fftInto(padded, padded);
    cumulative = new Float64Array(padded.re.length + 1);
    for (let i = 0; i < padded.re.length; i++) {
      cumulative[i + 1] = cumulative[i] + padded.re[i] * padded.re[i] + padded.im[i] * padded.im[i];
    }
    if (known.size >= WINDOWS_KEPT) known.delete(known.keys().next().value as string);
    known.set(key, cumulative);
  }
  return cumulative;
}

/** Energy of points low … high−1, indices taken round the circle. */
function wrappedSum(cumulative: Float64Array, low: number, high: number): number {
  const size = cumulative.length - 1;
  const at = (i: number) => Math.floor(i / size) * cumulative[size] + cumulative[((i % size) + size) % size];
  return at(high) - at(low);
}

/** A floor within this of a reading is named beside it. */
const SPEAKING_RANGE_DB = 10;
/** A floor contains those before it: 3 dB lower, at least half of its power is its own and it speaks for itself. */
export const OWN_SHARE_DB = 3;
/** What passes through what: the estimator sees the source, the ideal limiter passes the source on. */
const CAUSAL_ORDER: readonly FloorName[] = ['numbers', 'estimator', 'source', 'idealLimiter'];
/** Floors that contain no other: noise beside the signal. */
const NOISE_FLOORS: readonly FloorName[] = ['transmitterNoise', 'analyser'];

/** Names, in each reading, the floor within 10 dB that speaks loudest. */
export function nameLimits(readings: readonly AclrReading[], floors: readonly FloorReport[]): AclrReading[] {
  return readings.map((reading) => ({
    ...reading,
    limitedBy: speakingFloor(reading.aclrDb, (name) => levelOf(floors, name, reading)),
  }));
}

/** The floor within 10 dB of a ratio that speaks loudest, or null. `levelOf` gives each floor's ratio, null without. */
export function speakingFloor(ratioDb: number, levelOf: (name: FloorName) => number | null): FloorName | null {
  let speaking: FloorName | null = null;
  let lowest = ratioDb + SPEAKING_RANGE_DB;
  for (const name of CAUSAL_ORDER) {
    const level = levelOf(name);
    if (level === null || level >= lowest) continue;
    speaking = name;
    lowest = level - OWN_SHARE_DB;
  }
  let loudest = speaking === null ? lowest : lowest + OWN_SHARE_DB;
  for (const name of NOISE_FLOORS) {
    const level = levelOf(name);
    if (level === null || level >= loudest) continue;
    speaking = name;
    loudest = level;
  }
  return speaking;
}

function levelOf(floors: readonly FloorReport[], name: FloorName, reading: AclrReading): number | null {
  const floor = floors.find((one) => one.name === name);
  const same = floor?.readings.find(
    ({ channel, side, centreHz = reading.centreHz }) =>
      channel === reading.channel && side === reading.side && centreHz === reading.centreHz,
  );
  return same?.aclrDb ?? null;
}
