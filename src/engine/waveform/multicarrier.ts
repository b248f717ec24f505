// The whole waveform: every carrier from its own seed, its spectral edge, its place and level, then crest-factor
// reduction, then the burst pattern. Everything is periodic.
import type { Warning } from '../../../shared/schema/issue.ts';
import { type ComplexSignal, meanPower, zeros } from '../dsp/complex.ts';
import { dbToAmplitudeRatio } from '../dsp/decibels.ts';
import { shiftByCycles } from '../dsp/frequencyShift.ts';
import { createRandom } from '../dsp/random.ts';
import type { Waveform } from '../dsp/waveformTypes.ts';
import { gate } from './burst.ts';
import { generateCarrier } from './carrierSignal.ts';
import { reduceCrestFactor } from './crestFactorReduction.ts';
import { reductionFilterOf } from './reductionFilter.ts';
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

/** The record of one seed: same settings and seed give the same samples. Unit mean power while on. */
export function generateWaveform(resolved: ResolvedWaveform, seed: number): GeneratedWaveform {
  const { signal: beforeReduction, data } = sumCarriers(resolved, seed);
  const base = {
    beforeReduction,
    sampleRateHz: resolved.sampleRateHz,
    carriers: resolved.carriers.map((carrier) => carrier.geometry),
    data,
    burst: resolved.burst,
  };
  const settings = resolved.crestFactorReduction;
  if (settings === null) {
    return { waveform: gated({ ...base, signal: beforeReduction }), notes: [], crestReduction: null };
  }
  const { signal, notes, ...crestReduction } = reduceCrestFactor({
    signal: beforeReduction,
    filter: reductionFilterOf(resolved),
    settings,
    evmPercentsOf: createShapingError(beforeReduction, resolved),
  });
  return { waveform: gated({ ...base, signal }), notes, crestReduction };
}

/** The burst pattern acts on the finished record, and on the one before crest-factor reduction alike. */
function gated(waveform: Waveform): Waveform {
  const { signal, beforeReduction, burst } = waveform;
  if (burst === null) return waveform;
  const before = gate(beforeReduction, burst);
  return { ...waveform, beforeReduction: before, signal: signal === beforeReduction ? before : gate(signal, burst) };
}

/** Carriers at their relative powers and offsets, the sum at unit mean power. One carrier at a time is in memory. */
function sumCarriers(resolved: ResolvedWaveform, seed: number) {
  const sum = zeros(resolved.sampleCount);
  const data = resolved.carriers.map((carrier, i) => {
    const part = generateCarrier(resolved, carrier, createRandom(seed, `carrier ${i}`), seed);
    addPlaced(sum, part.signal, carrier);
    return part.data;
  });
  scaleInPlace(sum, 1 / Math.sqrt(meanPower(sum)));
  return { signal: sum, data };
}

function addPlaced(sum: ComplexSignal, signal: ComplexSignal, { geometry, cyclesPerRecord }: ResolvedCarrier): void {
  const gain = dbToAmplitudeRatio(geometry.relativePowerDb) / Math.sqrt(meanPower(signal));
  const placed = cyclesPerRecord === 0 ? signal : shiftByCycles(signal, cyclesPerRecord);
  for (let n = 0; n < sum.re.length; n++) {
    sum.re[n] += gain * placed.re[n];
    sum.im[n] += gain * placed.im[n];
  }
}

function scaleInPlace(x: ComplexSignal, factor: number): void {
  for (let n = 0; n < x.re.length; n++) {
    x.re[n] *= factor;
    x.im[n] *= factor;
  }
}
