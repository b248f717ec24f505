// Full-band 256QAM with PN23 bits: what test model 3.1a of TS 38.141-1 puts on its data subcarriers, and no more of it.
import type { ScenarioInput } from '../schema/scenario.ts';
import { quarryLink } from './quarryLink.ts';

export const fullBand256QamLike: ScenarioInput = {
  title: 'Full-band 256QAM-like',
  story:
    'One 10 MHz NR carrier with 256QAM on every subcarrier and PN23 bits, through the invented amplifier of Quarry Link at 9 dB output back-off. ' +
    'It is like NR-FR1-TM3.1a of TS 38.141-1, without its control channels and reference signals: a test-model-like signal, not the test model. ' +
    'EVM decides here: how much of the 3.5 % is left after crest-factor reduction and correction?',
  carrierFrequencyHz: 3.46e9,
  waveform: {
    carriers: [
      {
        kind: 'ofdm',
        standard: 'nr',
        channelBandwidthHz: 10e6,
        subcarrierSpacingHz: 15e3,
        modulation: '256QAM',
        payload: 'pn23',
      },
    ],
    symbolCount: 24,
    sampleRateHz: 122.88e6,
    crestFactorReduction: { targetPaprDb: 8, probability: 1e-4, roundCount: 12, evmBudgetPercent: 3 },
  },
  amplifier: quarryLink.amplifier,
  operatingPoint: { outputBackoffDb: 9 },
  predistorter: { nonlinearOrders: [1, 3, 5, 7], memoryDepth: 3, learning: { passCount: 3 } },
  seeds: { judging: 1, training: 2, selection: 3 },
  limits: [
    { reading: 'aclr', channel: 'adjacent', requiredDb: 45, source: 'TS 38.104 Table 6.6.3.2-1 (read, v19.4.0)' },
    { reading: 'evm', requiredPercent: 3.5, source: 'TS 38.104 Table 6.5.2.2-1, 256QAM (read, v19.4.0)' },
  ],
};
