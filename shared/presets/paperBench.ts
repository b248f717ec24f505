// Harness for a published amplifier: a GaN model printed in a 3GPP contribution, driven by a 10 MHz NR carrier.
import type { ScenarioInput } from '../schema/scenario.ts';

export const paperBench: ScenarioInput = {
  title: 'Paper Bench',
  story:
    'A GaN amplifier near 2 GHz as printed in 3GPP R4-165901, a generalized memory polynomial at 200 Msps, under one 10 MHz NR carrier. ' +
    'A published reference to compare with: it needs correction to reach 45 dB at 8 dB output back-off.',
  carrierFrequencyHz: 2.0e9,
  waveform: {
    carriers: [
      { kind: 'ofdm', standard: 'nr', channelBandwidthHz: 10e6, subcarrierSpacingHz: 15e3, modulation: '64QAM' },
    ],
    symbolCount: 24,
    sampleRateHz: 122.88e6,
    crestFactorReduction: { targetPaprDb: 8, probability: 1e-4, roundCount: 12, evmBudgetPercent: 3 },
  },
  amplifier: {
    model: { kind: 'published', id: 'GaN_2GHz_GMP' },
    saturatedPowerDbm: 43,
    gainDb: 30,
    outputLossDb: 0.5,
  },
  operatingPoint: { outputBackoffDb: 8 },
  predistorter: {
    nonlinearOrders: [1, 3, 5, 7, 9],
    memoryDepth: 4,
    learning: { passCount: 4, driveCeilingRatio: 1.6 },
  },
  seeds: { judging: 1, training: 2, selection: 3 },
  limits: [
    { reading: 'aclr', channel: 'adjacent', requiredDb: 45, source: 'TS 38.104 Table 6.6.3.2-1 (read, v19.4.0)' },
    { reading: 'evm', requiredPercent: 8, source: 'TS 38.104 Table 6.5.2.2-1, 64QAM (read, v19.4.0)' },
  ],
};
