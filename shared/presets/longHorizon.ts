// Long Horizon: an invented troposcatter uplink that may choose its waveform. All figures are invented; none is of a
// real product. Three presets differ in the waveform only: QPSK, 16APSK, OFDM.
import type { ScenarioInput } from '../schema/scenario.ts';

const STORY =
  'A troposcatter hop at 2.21 GHz over the horizon, from a 500 W amplifier with a harder knee and a slow bias network. ' +
  'The waveform may be chosen: which of QPSK, 16APSK and OFDM leaves most clean average power at −45 dBc?';

const base = {
  carrierFrequencyHz: 2.21e9,
  amplifier: {
    model: {
      kind: 'filterNonlinearityFilter',
      modelRateHz: 122.88e6,
      inputTaps: [{ re: 1 }, { re: 0.06, im: -0.04 }, { re: -0.025, im: 0.02 }],
      biasDepthRatio: 0.06,
      biasTimeConstantS: 200e-9,
      kneeSharpness: 1.4,
      amPmDeg: 8,
      amPmHalfPower: 0.3,
      outputTaps: [{ re: 1 }, { re: 0, im: -0.05 }, { re: 0.02 }],
    },
    saturatedPowerDbm: 57,
    gainDb: 50,
    outputLossDb: 0,
  },
  predistorter: { nonlinearOrders: [1, 3, 5, 7], memoryDepth: 3, learning: { passCount: 3 } },
  seeds: { judging: 1, training: 2, selection: 3 },
  limits: [{ reading: 'aclr', channel: 'adjacent', requiredDb: 45, source: 'Long Horizon link plan (invented)' }],
} satisfies Partial<ScenarioInput>;

const singleCarrier = (modulation: 'QPSK' | '16APSK', ringRatio: number | 'auto'): ScenarioInput['waveform'] => ({
  carriers: [
    {
      kind: 'singleCarrier',
      symbolRateHz: 15.36e6,
      rollOffRatio: 0.25,
      modulation,
      ringRatio,
      channelBandwidthHz: 20e6,
    },
  ],
  sampleCount: 2 ** 18,
  sampleRateHz: 122.88e6,
});

export const longHorizonQpsk: ScenarioInput = {
  ...base,
  title: 'Long Horizon QPSK',
  story: `${STORY} Here: QPSK at 15.36 Msym/s, roll-off 0.25.`,
  waveform: singleCarrier('QPSK', 'auto'),
  operatingPoint: { outputBackoffDb: 4 },
};

export const longHorizonApsk: ScenarioInput = {
  ...base,
  title: 'Long Horizon 16APSK',
  story: `${STORY} Here: 16APSK at 15.36 Msym/s, roll-off 0.25, ring ratio 2.7.`,
  waveform: singleCarrier('16APSK', 2.7),
  operatingPoint: { outputBackoffDb: 5 },
};

export const longHorizonOfdm: ScenarioInput = {
  ...base,
  title: 'Long Horizon OFDM',
  story: `${STORY} Here: OFDM of 1200 subcarriers, shaped to 8 dB.`,
  waveform: {
    carriers: [
      { kind: 'ofdm', standard: 'lte', channelBandwidthHz: 20e6, subcarrierSpacingHz: 15e3, modulation: 'QPSK' },
    ],
    symbolCount: 24,
    sampleRateHz: 122.88e6,
    spectralEdge: { kind: 'channelFilter', tapCount: 513, cutoffHz: 9.6e6, kaiserBeta: 9 },
    crestFactorReduction: { targetPaprDb: 8, probability: 1e-4, roundCount: 12 },
  },
  operatingPoint: { outputBackoffDb: 8 },
};
