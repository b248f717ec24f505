// Full-band 64QAM with PN23 bits: what test model 3.1 of TS 38.141-1 puts on its data subcarriers, and no more of it.
import type { ScenarioInput } from '../schema/scenario.ts';
import { paperBench } from './paperBench.ts';

export const fullBand64QamLike: ScenarioInput = {
  title: 'Full-band 64QAM-like',
  story:
    'One 20 MHz NR carrier with 64QAM on every subcarrier and PN23 bits, through the published GaN amplifier of Paper Bench at 8 dB output back-off. ' +
    'It is like NR-FR1-TM3.1 of TS 38.141-1, without its control channels and reference signals: a test-model-like signal, not the test model. ' +
    'Does correction bring it within the limits of TS 38.104, simulated?',
  carrierFrequencyHz: 2.0e9,
  waveform: {
    carriers: [
      {
        kind: 'ofdm',
        standard: 'nr',
        channelBandwidthHz: 20e6,
        subcarrierSpacingHz: 30e3,
        modulation: '64QAM',
        payload: 'pn23',
      },
    ],
    symbolCount: 48,
    sampleRateHz: 122.88e6,
    crestFactorReduction: { targetPaprDb: 8, probability: 1e-4, roundCount: 12, evmBudgetPercent: 3 },
  },
  amplifier: paperBench.amplifier,
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
