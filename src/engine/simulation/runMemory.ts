// What a caller may keep between runs: waveforms, which a change behind the waveform leaves as they are.
import { NO_RECORDS, type RecordStore } from '../dsp/waveformTypes.ts';
import type { GeneratedWaveform } from '../waveform/multicarrier.ts';
import { generateWaveform } from '../waveform/multicarrier.ts';
import type { ResolvedWaveform } from '../waveform/resolvedWaveform.ts';

export interface RunMemory {
  readonly waveforms: Map<string, GeneratedWaveform>;
  /** Records from outside that scenarios may name. */
  readonly records: RecordStore;
}

/** Three records of the full length and three of the coarse one. */
const WAVEFORMS_KEPT = 6;

export function createRunMemory(records: RecordStore = NO_RECORDS): RunMemory {
  return { waveforms: new Map(), records };
}

/** The record of these settings and this seed, generated at most once per memory. Same result with or without memory. */
export function waveformFor(resolved: ResolvedWaveform, seed: number, memory: RunMemory): GeneratedWaveform {
  const key = `${seed}/${JSON.stringify(resolved.resolvedSettings)}`;
  const known = memory.waveforms.get(key);
  if (known !== undefined) {
    // The most recently used record goes to the end of the map.
    memory.waveforms.delete(key);
    memory.waveforms.set(key, known);
    return known;
  }
  const made = generateWaveform(resolved, seed);
  memory.waveforms.set(key, made);
  if (memory.waveforms.size > WAVEFORMS_KEPT) memory.waveforms.delete(memory.waveforms.keys().next().value as string);
  return made;
}
