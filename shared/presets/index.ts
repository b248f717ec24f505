// Ready-made scenarios. All are invented unless their story names a published model.
import type { ScenarioInput } from '../schema/scenario.ts';
import { paperBench } from './paperBench.ts';
import { quarryLink } from './quarryLink.ts';

/** Scenario by the name the command line and the address bar use. */
export const presets: Readonly<Record<string, ScenarioInput>> = {
  'quarry-link': quarryLink,
  'paper-bench': paperBench,
};
export const presetNames: readonly string[] = Object.keys(presets);
export const DEFAULT_PRESET = 'quarry-link';
