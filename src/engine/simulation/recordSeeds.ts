// Which part of a record from outside each of the three seeds takes: seed s takes part s modulo the part count.
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import type { RecordCarrierSettings, Scenario } from '../../../shared/schema/scenario.ts';

type Choice = Pick<Scenario, 'waveform' | 'seeds' | 'predistorter'>;

const FEWEST_PARTS = 3;

/** A predistorter must not be judged on the part it learned from, unless the record is one part only. */
export function recordSeedIssues({ waveform, seeds, predistorter }: Choice): Issue[] {
  if (predistorter === null) return [];
  return recordsOf(waveform).flatMap(({ carrier, path }): Issue[] => {
    const { partCount } = carrier;
    const parts = [seeds.training, seeds.selection, seeds.judging].map((seed) => seed % partCount);
    if (partCount === 1 || new Set(parts).size === parts.length) return [];
    if (partCount < FEWEST_PARTS) {
      const rule = `must be ${FEWEST_PARTS} or more: training, selection and judging each take a part of their own`;
      return [
        {
          path: `${path}.partCount`,
          rule,
          value: String(partCount),
          remedy: `use ${FEWEST_PARTS}, or 1 with a warning`,
        },
      ];
    }
    const value = `training ${parts[0]}, selection ${parts[1]}, judging ${parts[2]}`;
    const rule = `must take different parts of record "${carrier.recordName}": seed modulo ${partCount}`;
    return [{ path: 'seeds', rule, value, remedy: 'use seeds 1, 2 and 3, or more parts' }];
  });
}

/** `record-judged-on-training`: with one part, learning and judging see the same samples. */
export function recordSeedWarnings({ waveform, predistorter }: Choice): Warning[] {
  if (predistorter === null) return [];
  return recordsOf(waveform)
    .filter(({ carrier }) => carrier.partCount === 1)
    .map(({ carrier }) => ({
      code: 'record-judged-on-training',
      message: `The predistorter is trained and judged on the same samples, those of record "${carrier.recordName}" in one part: figures look up to some dB too good. Cut it into 3 parts or more.`,
    }));
}

function recordsOf({ carriers }: Scenario['waveform']): { carrier: RecordCarrierSettings; path: string }[] {
  return carriers.flatMap((carrier, i) =>
    carrier.kind === 'record' ? [{ carrier, path: `waveform.carriers.${i}` }] : [],
  );
}
