// Which block of the chain holds the setting that an issue is about.
import type { Issue } from '../../../shared/schema/issue.ts';
import type { BlockName } from './appState.ts';

const BY_PATH: readonly (readonly [prefix: string, block: BlockName])[] = [
  ['waveform.crestFactorReduction', 'crest'],
  ['waveform', 'data'],
  ['seeds', 'data'],
  ['predistorter.observation', 'observation'],
  ['predistorter', 'predistorter'],
  ['transmitter', 'predistorter'],
  ['amplifier.outputLossDb', 'antenna'],
  ['amplifier', 'amplifier'],
  ['operatingPoint', 'amplifier'],
  ['measurement', 'antenna'],
  ['limits', 'antenna'],
];

export function faultyBlocks(issues: readonly Issue[]): ReadonlySet<BlockName> {
  const blocks = issues.map(
    ({ path }) => BY_PATH.find(([prefix]) => path === prefix || path.startsWith(`${prefix}.`))?.[1],
  );
  return new Set(blocks.filter((block) => block !== undefined));
}
