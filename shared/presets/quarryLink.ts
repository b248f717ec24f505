// Quarry Link: an invented hidden-path backhaul hop. All figures are invented; none is of a real product.
import type { ScenarioInput } from '../schema/scenario.ts';

export const quarryLink: ScenarioInput = {
  title: 'Quarry Link',
  story:
    'A 10 MHz backhaul hop out of a quarry at 3.46 GHz, time division duplex, from a soft 35 W amplifier with a slow bias network. ' +
    'How much clean power does it give at −45 dBc and 5 % EVM, and what does correction buy at the same power?',
  carrierFrequencyHz: 3.46e9,
  waveform: {
    carriers: [
      { kind: 'ofdm', standard: 'lte', channelBandwidthHz: 10e6, subcarrierSpacingHz: 15e3, modulation: '64QAM' },
    ],
    symbolCount: 24,
    sampleRateHz: 122.88e6,
    spectralEdge: { kind: 'channelFilter', tapCount: 513, cutoffHz: 4.8e6, kaiserBeta: 9 },
    crestFactorReduction: { targetPaprDb: 8, probability: 1e-4, roundCount: 12, evmBudgetPercent: 3 },
  },
  amplifier: {
    model: {
      kind: 'filterNonlinearityFilter',
      modelRateHz: 122.88e6,
      inputTaps: [{ re: 1 }, { re: 0.06, im: -0.04 }, { re: -0.025, im: 0.02 }],
      biasDepthRatio: 0.1,
      biasTimeConstantS: 80e-9,
      kneeSharpness: 1.1,
      amPmDeg: 12,
      amPmHalfPower: 0.3,
      outputTaps: [{ re: 1 }, { re: 0, im: -0.05 }, { re: 0.02 }],
    },
    saturatedPowerDbm: 45.5,
    gainDb: 36,
    outputLossDb: 0,
  },
  operatingPoint: { meanPowerDbm: 36.5 },
  predistorter: { nonlinearOrders: [1, 3, 5, 7], memoryDepth: 3, learning: { passCount: 3 } },
  seeds: { judging: 1, training: 2, selection: 3 },
  limits: [
    { reading: 'aclr', channel: 'adjacent', requiredDb: 45, source: 'Quarry Link link plan (invented)' },
    { reading: 'evm', requiredPercent: 5, source: 'Quarry Link link plan (invented)' },
  ],
};
