// Cold Start: the invented backhaul hop of Quarry Link in bursts, with an amplifier whose heat and traps relax in between.
// All figures are invented; none is of a real product.
import type { ScenarioInput } from '../schema/scenario.ts';
import { quarryLink } from './quarryLink.ts';

export const coldStart: ScenarioInput = {
  ...quarryLink,
  title: 'Cold Start',
  story:
    'The quarry hop in time division: bursts of 2.1 ms from a 35 W amplifier that heats within 400 µs and whose traps take ' +
    '3 ms to empty. A run shows it in service, warm and well corrected. “How does a burst start?” sends the record after a ' +
    'silence: the first symbols are another amplifier’s, and the spectrum of the whole burst hides it.',
  waveform: { ...quarryLink.waveform, symbolCount: 30 },
  amplifier: {
    ...quarryLink.amplifier,
    slowStates: {
      heatDepthRatio: 0.19,
      heatTimeConstantS: 400e-6,
      trapDepthRatio: 0.05,
      trapAttackS: 15e-6,
      trapReleaseS: 3e-3,
      // 3° for each 0.05 of gain lost.
      phasePerGainDeg: 60,
    },
  },
  operatingPoint: { outputBackoffDb: 9 },
  limits: [
    { reading: 'aclr', channel: 'adjacent', requiredDb: 45, source: 'Cold Start link plan (invented)' },
    { reading: 'evm', requiredPercent: 5, source: 'Cold Start link plan (invented)' },
  ],
};
