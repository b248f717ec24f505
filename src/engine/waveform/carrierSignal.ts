// The samples of one carrier about its own centre: one function a kind.
import type {
  MultitoneCarrierSettings,
  NoiseCarrierSettings,
  OfdmCarrierSettings,
  RecordCarrierSettings,
  SingleCarrierSettings,
} from '../../../shared/schema/scenario.ts';
import type { ComplexSignal } from '../dsp/complex.ts';
import { filterPeriodic } from '../dsp/fir.ts';
import type { Random } from '../dsp/random.ts';
import { sumTones, tonePhases } from './multitone.ts';
import { bandLimitedNoise } from './noise.ts';
import { notchLines } from './notch.ts';
import { drawSymbols, modulate } from './ofdm.ts';
import { recordSignal } from './recordCarrier.ts';
import { planAtRate } from './recordLayout.ts';
import { channelTaps } from './reductionFilter.ts';
import type { ResolvedCarrier, ResolvedWaveform } from './resolvedWaveform.ts';
import { drawSingleCarrierSymbols, shapePulses } from './singleCarrier.ts';
import { binHzOf } from './wholeCycles.ts';

export interface CarrierSignal {
  /** Periodic, about the carrier's own centre, any level. */
  readonly signal: ComplexSignal;
  /** Data symbols of mean power 1, where there are any. */
  readonly data: ComplexSignal | null;
}

/** One carrier with its spectral edge, drawn from `random`; of a record the part that the seed takes. */
export function generateCarrier(
  resolved: ResolvedWaveform,
  carrier: ResolvedCarrier,
  random: Random,
  seed: number,
): CarrierSignal {
  const { settings } = carrier;
  switch (settings.kind) {
    case 'ofdm':
      return ofdmSignal(resolved, carrier, settings, random);
    case 'singleCarrier':
      return singleCarrierSignal(resolved, carrier, settings, random);
    case 'multitone':
      return toneSignal(resolved, carrier, settings.phaseLaw, random);
    case 'twoTone':
      return toneSignal(resolved, carrier, 'inPhase', random);
    case 'noise':
      return noiseSignal(resolved, carrier, settings, random);
    case 'record':
      return outsideSignal(resolved, carrier, settings, seed);
  }
}

function ofdmSignal(
  { edge, sampleRateHz }: ResolvedWaveform,
  carrier: ResolvedCarrier,
  { payload }: OfdmCarrierSettings,
  random: Random,
): CarrierSignal {
  const ofdm = required(carrier.geometry.ofdm, carrier);
  const data = drawSymbols(ofdm, payload, random);
  const signal = modulate(ofdm, data, edge.kind === 'symbolOverlap' ? edge.overlapSamples : 0);
  if (edge.kind !== 'channelFilter') return { signal, data };
  const taps = channelTaps(carrier, sampleRateHz);
  const filter = { re: taps, im: new Float64Array(taps.length) };
  return { signal: filterPeriodic(signal, filter, (taps.length - 1) / 2), data };
}

function singleCarrierSignal(
  { sampleCount }: ResolvedWaveform,
  carrier: ResolvedCarrier,
  { payload, rollOffRatio }: SingleCarrierSettings,
  random: Random,
): CarrierSignal {
  const data = drawSingleCarrierSymbols(required(carrier.geometry.singleCarrier, carrier), payload, random);
  return { signal: shapePulses(data, rollOffRatio, sampleCount), data };
}

function toneSignal(
  { sampleRateHz, sampleCount }: ResolvedWaveform,
  carrier: ResolvedCarrier,
  law: MultitoneCarrierSettings['phaseLaw'],
  random: Random,
): CarrierSignal {
  const tones = required(carrier.geometry.tones, carrier);
  const phases = tonePhases(law, tones.frequencyHz.length, random);
  return { signal: sumTones(tones, phases, sampleRateHz, sampleCount), data: null };
}

function noiseSignal(
  resolved: ResolvedWaveform,
  carrier: ResolvedCarrier,
  { notch }: NoiseCarrierSettings,
  random: Random,
): CarrierSignal {
  const lines = notch === null ? null : notchLines(notch, binHzOf(resolved));
  return { signal: bandLimitedNoise(resolved.sampleCount, carrier.halfBinCount ?? 0, random, lines), data: null };
}

function outsideSignal(
  { sampleRateHz, sampleCount }: ResolvedWaveform,
  carrier: ResolvedCarrier,
  settings: RecordCarrierSettings,
  seed: number,
): CarrierSignal {
  const record = required(carrier.record, carrier);
  const plan = required(planAtRate(settings, record, sampleRateHz), carrier);
  return { signal: recordSignal(settings, record, plan, seed, sampleCount), data: null };
}

function required<T>(part: T | null, { geometry }: ResolvedCarrier): T {
  if (part === null)
    throw new RangeError(`generateCarrier: carrier "${geometry.label}" lacks what its kind is made of`);
  return part;
}
