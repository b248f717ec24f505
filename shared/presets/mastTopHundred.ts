// Mast-Top Hundred: an invented 100 MHz carrier on a mast, from an amplifier of two devices. All figures are invented;
// none is of a real product.
import type { ScenarioInput } from '../schema/scenario.ts';

export const mastTopHundred: ScenarioInput = {
  title: 'Mast-Top Hundred',
  story:
    'A 100 MHz carrier at 3.6 GHz on top of a mast, from an 80 W amplifier of two devices whose gain dips in mid-range: ' +
    'from 7 to 9 dB of output back-off it stays as dirty as it was. Does a predistorter up to the 9th order keep both ' +
    '−45 dBc and the 3.5 % EVM of 256QAM, or only the 8 % of 64QAM?',
  carrierFrequencyHz: 3.6e9,
  waveform: {
    carriers: [
      { kind: 'ofdm', standard: 'nr', channelBandwidthHz: 100e6, subcarrierSpacingHz: 30e3, modulation: '256QAM' },
    ],
    symbolCount: 12,
    sampleRateHz: 491.52e6,
    spectralEdge: { kind: 'channelFilter', tapCount: 2049, cutoffHz: 49.8e6, kaiserBeta: 9 },
    crestFactorReduction: { targetPaprDb: 7.5, probability: 1e-4, roundCount: 12, evmBudgetPercent: 3 },
  },
  amplifier: {
    model: {
      kind: 'filterNonlinearityFilter',
      modelRateHz: 491.52e6,
      inputTaps: [{ re: 1 }, { re: 0.1, im: -0.06 }, { re: -0.04, im: 0.03 }],
      biasDepthRatio: 0.06,
      biasTimeConstantS: 25e-9,
      kneeSharpness: 2.5,
      gainBumps: [
        { heightRatio: -0.1, centreAmplitude: 0.42, widthAmplitude: 0.16 },
        { heightRatio: 0.03, centreAmplitude: 0, widthAmplitude: 0.15 },
      ],
      amPmStep: { amPmDeg: -22, centreAmplitude: 0.45, widthAmplitude: 0.18 },
      outputTaps: [{ re: 1 }, { re: 0, im: -0.08 }, { re: 0.03 }],
    },
    saturatedPowerDbm: 49,
    gainDb: 30,
    outputLossDb: 0,
    power: { class: 'twoDevice' },
  },
  operatingPoint: { outputBackoffDb: 9 },
  predistorter: { nonlinearOrders: [1, 3, 5, 7, 9], memoryDepth: 4, learning: { passCount: 3 } },
  seeds: { judging: 1, training: 2, selection: 3 },
  limits: [
    { reading: 'aclr', channel: 'adjacent', requiredDb: 45, source: 'TS 38.104 Table 6.6.3.2-1 (read, v19.4.0)' },
    { reading: 'evm', requiredPercent: 3.5, source: 'TS 38.104 Table 6.5.2.2-1, 256QAM (read, v19.4.0)' },
  ],
};
