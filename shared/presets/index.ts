// Ready-made scenarios. All are invented unless their story names a published model.
import type { ScenarioInput } from '../schema/scenario.ts';
import { coldStart } from './coldStart.ts';
import { fourSlotUplink } from './fourSlotUplink.ts';
import { fullBand64QamLike } from './fullBand64QamLike.ts';
import { fullBand256QamLike } from './fullBand256QamLike.ts';
import { longHorizonApsk, longHorizonOfdm, longHorizonQpsk } from './longHorizon.ts';
import { mastTopHundred } from './mastTopHundred.ts';
import { paperBench } from './paperBench.ts';
import { quarryLink } from './quarryLink.ts';
import { skipChannelRadio } from './skipChannelRadio.ts';

/** Scenario by the name the command line and the address bar use. */
export const presets: Readonly<Record<string, ScenarioInput>> = {
  'quarry-link': quarryLink,
  'long-horizon-qpsk': longHorizonQpsk,
  'long-horizon-16apsk': longHorizonApsk,
  'long-horizon-ofdm': longHorizonOfdm,
  'four-slot-uplink': fourSlotUplink,
  'mast-top-hundred': mastTopHundred,
  'paper-bench': paperBench,
  'cold-start': coldStart,
  'skip-channel-radio': skipChannelRadio,
  'full-band-64qam-like': fullBand64QamLike,
  'full-band-256qam-like': fullBand256QamLike,
};
export const presetNames: readonly string[] = Object.keys(presets);
export const DEFAULT_PRESET = 'quarry-link';
