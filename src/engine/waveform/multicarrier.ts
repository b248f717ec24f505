// The whole waveform: every carrier from its own seed, its spectral edge, its place and level, then crest-factor
// reduction. Everything is periodic.
import type { Warning } from '../../../shared/schema/issue.ts';
import { type ComplexSignal, meanPower, scale, zeros } from '../dsp/complex.ts';
import { dbToAmplitudeRatio } from '../dsp/decibels.ts';
import { filterPeriodic } from '../dsp/fir.ts';
import { shiftByCycles } from '../dsp/frequencyShift.ts';
import { createRandom } from '../dsp/random.ts';
import type { Waveform } from '../dsp/waveformTypes.ts';
import { reduceCrestFactor } from './crestFactorReduction.ts';
import { bandLimitedNoise } from './noise.ts';
import { drawSymbols, modulate } from './ofdm.ts';
import { channelTaps, reductionFilterOf } from './reductionFilter.ts';
import type { ResolvedCarrier, ResolvedWaveform } from './resolvedWaveform.ts';
import { createShapingError } from './shapingError.ts';

export interface GeneratedWaveform {
  readonly waveform: Waveform;
  readonly notes: readonly Warning[];
  /** Null when no reduction was asked for. */
  readonly crestReduction: CrestReduction | null;
}

export interface CrestReduction {
  readonly roundsUsed: number;
  /** Error of the shaped record against the one before, worst carrier, after one gain. */
  readonly evmPercent: number;
  /** The same for every carrier; empty when nothing was reduced. */
  readonly evmPerCarrierPercent: readonly number[];
}

/** The record of one seed: same settings and seed give the same samples. Unit mean power. */
export function generateWaveform(resolved: ResolvedWaveform, seed: number): GeneratedWaveform {
  const parts = resolved.carriers.map((carrier, i) => generateCarrier(resolved, carrier, seed, i));
  const beforeReduction = combine(
    resolved,
    parts.map((part) => part.signal),
  );
  const base = {
    beforeReduction,
    sampleRateHz: resolved.sampleRateHz,
    carriers: resolved.carriers.map((carrier) => carrier.geometry),
    data: parts.map((part) => part.data),
    burst: resolved.burst,
  };
  const settings = resolved.crestFactorReduction;
  if (settings === null) return { waveform: { ...base, signal: beforeReduction }, notes: [], crestReduction: null };
  const { signal, notes, ...crestReduction } = reduceCrestFactor({
    signal: beforeReduction,
    filter: reductionFilterOf(resolved),
    settings,
    evmPercentsOf: createShapingError(beforeReduction, resolved),
  });
  return { waveform: { ...base, signal }, notes, crestReduction };
}

interface CarrierPart {
  /** About the carrier's own centre. */
  readonly signal: ComplexSignal;
  readonly data: ComplexSignal | null;
}

function generateCarrier(
  resolved: ResolvedWaveform,
  carrier: ResolvedCarrier,
  seed: number,
  index: number,
): CarrierPart {
  const random = createRandom(seed, `carrier ${index}`);
  const { ofdm } = carrier.geometry;
  if (ofdm === null) {
    return { signal: bandLimitedNoise(resolved.sampleCount, carrier.halfBinCount ?? 0, random), data: null };
  }
  const data = drawSymbols(ofdm, random);
  const { edge } = resolved;
  const signal = modulate(ofdm, data, edge.kind === 'symbolOverlap' ? edge.overlapSamples : 0);
  if (edge.kind !== 'channelFilter') return { signal, data };
  const taps = channelTaps(carrier, resolved.sampleRateHz);
  const filter = { re: taps, im: new Float64Array(taps.length) };
  return { signal: filterPeriodic(signal, filter, (taps.length - 1) / 2), data };
}

/** Carriers at their relative powers and offsets, the sum at unit mean power. */
function combine(resolved: ResolvedWaveform, signals: readonly ComplexSignal[]): ComplexSignal {
  const sum = zeros(resolved.sampleCount);
  resolved.carriers.forEach(({ geometry, cyclesPerRecord }, i) => {
    const gain = dbToAmplitudeRatio(geometry.relativePowerDb) / Math.sqrt(meanPower(signals[i]));
    const placed = cyclesPerRecord === 0 ? signals[i] : shiftByCycles(signals[i], cyclesPerRecord);
    for (let n = 0; n < sum.re.length; n++) {
      sum.re[n] += gain * placed.re[n];
      sum.im[n] += gain * placed.im[n];
    }
  });
  return scale(sum, 1 / Math.sqrt(meanPower(sum)));
}
