// Skip-Channel Radio: an invented frequency-hopping radio, 225 to 400 MHz, with an LDMOS amplifier whose shape varies over
// the band. All figures are invented; none is of a real product. u = 0 … 1 is the channel's place in the band.
//
//   input taps 1, (0.08 − 0.16u)·exp(j2u);  bias sag 0.03 + 0.06u, 100 ns
//   gain (1 − (0.10 + 0.12u)·exp(−(r/(0.18 + 0.08u))²))·(1 + r^2q)^(−1/2q), q = 1.6 + 0.8u
//   phase −(4 + 12u)°·r²/(0.4 + r²)
import type { ScenarioInput } from '../schema/scenario.ts';

export const LOWEST_HZ = 225e6;
export const HIGHEST_HZ = 400e6;
export const CHANNEL_COUNT = 9;

export function placeOf(index: number): number {
  return index / (CHANNEL_COUNT - 1);
}

export function frequencyOf(u: number): number {
  return LOWEST_HZ + u * (HIGHEST_HZ - LOWEST_HZ);
}

export function modelAt(u: number) {
  const tap = 0.08 - 0.16 * u;
  return {
    kind: 'filterNonlinearityFilter' as const,
    modelRateHz: 122.88e6,
    inputTaps: [{ re: 1 }, { re: tap * Math.cos(2 * u), im: tap * Math.sin(2 * u) }],
    biasDepthRatio: 0.03 + 0.06 * u,
    biasTimeConstantS: 100e-9,
    kneeSharpness: 1.6 + 0.8 * u,
    amPmDeg: -(4 + 12 * u),
    amPmHalfPower: 0.4,
    gainBumps: [{ heightRatio: -(0.1 + 0.12 * u), centreAmplitude: 0, widthAmplitude: 0.18 + 0.08 * u }],
  };
}

/** Nine points, each exactly the channel's amplifier. */
export function skipChannelAmplifier(channelHz: number): ScenarioInput['amplifier'] {
  const points = Array.from({ length: CHANNEL_COUNT }, (_, i) => ({
    frequencyHz: frequencyOf(placeOf(i)),
    model: modelAt(placeOf(i)),
  }));
  return {
    model: modelAt(0),
    saturatedPowerDbm: 47,
    gainDb: 40,
    overBand: { channelHz, points },
  };
}

/** 10 MHz, crest factor 8 dB, 8.5 dB output back-off, no correction. */
export function skipChannelScenario(channelHz: number, symbolCount = 12): ScenarioInput {
  return {
    waveform: {
      carriers: [
        { kind: 'ofdm', standard: 'lte', channelBandwidthHz: 10e6, subcarrierSpacingHz: 15e3, modulation: '64QAM' },
      ],
      symbolCount,
      sampleRateHz: 122.88e6,
      spectralEdge: { kind: 'channelFilter', tapCount: 513, cutoffHz: 4.8e6, kaiserBeta: 9 },
      crestFactorReduction: { targetPaprDb: 8, probability: 1e-4, roundCount: 12, evmBudgetPercent: null },
    },
    amplifier: skipChannelAmplifier(channelHz),
    operatingPoint: { outputBackoffDb: 8.5 },
    predistorter: null,
  };
}

/** At the middle of the band, where a single set of coefficients is learned. */
export const skipChannelRadio: ScenarioInput = {
  ...skipChannelScenario(frequencyOf(0.5)),
  title: 'Skip-Channel Radio',
  story:
    'A radio that hops over 225 to 400 MHz, 1 ms on a channel: no time to learn within a hop. Its 50 W amplifier expands at ' +
    'low drive and has another shape on every channel. Which power is clean with the coefficients of the middle of the ' +
    'band, and how many sets must be stored over it?',
  predistorter: { nonlinearOrders: [1, 3, 5, 7], memoryDepth: 2, learning: { passCount: 3 } },
  seeds: { judging: 1, training: 2, selection: 3 },
  limits: [
    { reading: 'aclr', channel: 'adjacent', requiredDb: 43, source: 'Skip-Channel Radio link plan (invented)' },
    { reading: 'evm', requiredPercent: 5, source: 'Skip-Channel Radio link plan (invented)' },
  ],
};
