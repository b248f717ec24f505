// The scenario's waveform alone, as one of its three records.
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import { NO_RECORDS, type RecordStore, type Waveform } from '../dsp/waveformTypes.ts';
import { generateWaveform } from '../waveform/multicarrier.ts';
import { checkScenario } from './checkScenario.ts';

export type RecordName = 'judging' | 'training' | 'selection';

export type WaveformOutcome =
  | { readonly kind: 'waveform'; readonly waveform: Waveform; readonly notes: readonly Warning[] }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

/** Generates the record of one of the scenario's seeds: periodic, unit mean power, after crest-factor reduction. */
export function makeWaveform(
  input: unknown,
  record: RecordName = 'judging',
  records: RecordStore = NO_RECORDS,
): WaveformOutcome {
  const checked = checkScenario(input, records);
  if (checked.kind === 'invalid') return checked;
  const { setup, scenario } = checked;
  const { waveform, notes } = generateWaveform(setup.waveform, scenario.seeds[record]);
  return { kind: 'waveform', waveform, notes: [...checked.warnings, ...notes] };
}
