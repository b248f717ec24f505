// Readings around an identified model: alignment, scale, predicted channels, shares of the error.
import type { IdentificationReport, PairReading, PredictedAclr } from '../../../shared/schema/identificationReport.ts';
import type { SampleWindow } from '../basis/gram.ts';
import { type Complex, type ComplexSignal, meanPower, zeros } from '../dsp/complex.ts';
import { amplitudeRatioToDb, dbToPowerRatio, powerRatioToDb } from '../dsp/decibels.ts';
import { bandPower, estimateSpectrum, isInsideAxis } from '../dsp/spectrum.ts';
import { readNoiseFloor } from '../identification/noiseFloor.ts';
import type { ReceiverErrors } from '../identification/receiverErrors.ts';
import { gather } from '../identification/samplePart.ts';
import { measureRecord } from './measureRecord.ts';

export function magnitudeOf({ re, im }: Complex): number {
  return Math.sqrt(re * re + im * im);
}

export function difference(a: ComplexSignal, b: ComplexSignal): ComplexSignal {
  const out = zeros(a.re.length);
  for (let n = 0; n < out.re.length; n++) {
    out.re[n] = a.re[n] - b.re[n];
    out.im[n] = a.im[n] - b.im[n];
  }
  return out;
}

/** |seen − wanted|² over |wanted|² in the windows. */
export function nmseDb(seen: ComplexSignal, wanted: ComplexSignal, windows: readonly SampleWindow[]): number {
  const error = gather(difference(seen, wanted), windows);
  return powerRatioToDb(meanPower(error) / meanPower(gather(wanted, windows)));
}

interface Aligned {
  readonly delaySamples: number;
  readonly gain: Complex;
  readonly correlationRatio: number;
  readonly receiver: ReceiverErrors;
}

/** outputPower: mean power of the output at the level the receiver's errors are written in. */
export function pairReading(aligned: Aligned, sampleRateHz: number, outputPower: number): PairReading {
  const { delaySamples, gain, receiver, correlationRatio } = aligned;
  return {
    delaySamples,
    delayS: delaySamples / sampleRateHz,
    gainDb: amplitudeRatioToDb(magnitudeOf(gain)),
    phaseDeg: (180 / Math.PI) * Math.atan2(gain.im, gain.re),
    carrierLeakDbc: powerRatioToDb(magnitudeOf(receiver.leak) ** 2 / outputPower),
    imageDb: amplitudeRatioToDb(magnitudeOf(receiver.image)),
    correlationRatio,
  };
}

export interface ChannelReadings {
  readonly aclr: readonly PredictedAclr[];
  readonly channels: IdentificationReport['channels'];
  readonly errorAclrDb: number | null;
}

const NO_CHANNELS: ChannelReadings = { aclr: [], channels: null, errorAclrDb: null };

/**
 * Neighbouring channels of observation and prediction, and the own channel over the error beside it. The channels are
 * those of the drive, whose band no noise widens.
 */
export function predictedChannels(
  drive: ComplexSignal,
  clean: ComplexSignal,
  output: ComplexSignal,
  sampleRateHz: number,
  isOnePeriod: boolean,
): ChannelReadings {
  const sent = measureRecord({ signal: drive, sampleRateHz, isOnePeriod });
  if (sent.kind === 'invalid') return NO_CHANNELS;
  const { centreHz, ownBandwidthHz, spacingHz, neighbourBandwidthHz } = sent.record.channels;
  const channels = { centreHz, ownBandwidthHz, spacingHz, neighbourBandwidthHz };
  const seen = measureRecord({ signal: clean, sampleRateHz, isOnePeriod, channels });
  const made = measureRecord({ signal: output, sampleRateHz, isOnePeriod, channels });
  if (seen.kind === 'invalid' || made.kind === 'invalid') return NO_CHANNELS;
  const aclr = seen.record.aclr.map(({ channel, side, offsetHz, bandwidthHz, aclrDb }): PredictedAclr => {
    const same = made.record.aclr.find((one) => one.channel === channel && one.side === side);
    return { channel, side, offsetHz, bandwidthHz, observedDb: aclrDb, predictedDb: same?.aclrDb ?? null };
  });
  const options = { sampleRateHz, method: 'wholeRecord', window: 'rectangular', overlapRatio: 0 } as const;
  const error = estimateSpectrum(difference(clean, output), { ...options, segmentLength: clean.re.length });
  const own = estimateSpectrum(output, { ...options, segmentLength: clean.re.length });
  const ownPower = bandPower(own, centreHz, ownBandwidthHz);
  const ratios = aclr.flatMap(({ channel, side, offsetHz, bandwidthHz }) => {
    const at = centreHz + (side === 'lower' ? -offsetHz : offsetHz);
    if (channel !== 'adjacent' || !isInsideAxis(sampleRateHz, at, bandwidthHz)) return [];
    return [powerRatioToDb(ownPower / bandPower(error, at, bandwidthHz))];
  });
  const errorAclrDb = ratios.length === 0 ? null : Math.min(...ratios);
  return { aclr, channels: { centreHz, ownBandwidthHz }, errorAclrDb };
}

/** Static, memory, noise and model error; powers over the output's. heldOut: errors of the chosen and the static fit. */
export function errorShares(
  staticNmseDb: number,
  bestNmseDb: number,
  fitNmseDb: number,
  residual: ComplexSignal,
  output: ComplexSignal,
  sampleRateHz: number,
): IdentificationReport['shares'] {
  const memory = dbToPowerRatio(staticNmseDb) - dbToPowerRatio(bestNmseDb);
  const noise = readNoiseFloor(residual, output, sampleRateHz);
  const rest = noise === null ? null : dbToPowerRatio(fitNmseDb) - noise.noiseRatio;
  const from = noise === null ? null : `${(noise.fromHz / 1e6).toFixed(1)} MHz`;
  return {
    staticNmseDb,
    memoryDb: memory > 0 ? powerRatioToDb(memory) : null,
    noiseDb: noise && powerRatioToDb(noise.noiseRatio),
    modelErrorDb: rest !== null && rest > 0 ? powerRatioToDb(rest) : null,
    noiseMethod:
      from === null
        ? 'not read: products of order 5 reach the outer tenths of the sample rate'
        : `median density of the residual beyond ±${from}, taken as white over the sample rate`,
  };
}
