// How a study asks for runs. A study is a plain function of the outcomes known so far: it asks for scenarios, gets null
// for those not run yet, and returns what it can say already. Whoever drives it runs the pending ones and asks again,
// so results do not depend on the order or the number of workers, and an interrupted study resumes where it was.
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { RunReadings, StudyTask, TaskOutcome } from '../../../shared/schema/studyReport.ts';
import { ENGINE_VERSION } from '../version.ts';

export interface Lookup {
  /** Readings of a scenario; null when it is pending or cannot be run. */
  readings(scenario: Scenario): RunReadings | null;
  /** The whole outcome, with the corrected spectrum; null when pending. */
  outcome(scenario: Scenario, wantsSpectrum: boolean): TaskOutcome | null;
  /** The scenario's record as a burst after each of these silences; null when pending. */
  bursts(scenario: Scenario, silencesS: readonly number[]): TaskOutcome | null;
}

export interface RecordingLookup extends Lookup {
  /** Tasks asked for and not known, each once, in the order asked. */
  readonly pending: readonly StudyTask[];
  /** Tasks asked for and known. */
  readonly doneCount: number;
}

/** Text that is equal for equal tasks, whatever the order of the fields; takes what `taskScenario` gives. */
export function taskKey(scenario: Scenario, wantsSpectrum: boolean, silencesS?: readonly number[]): string {
  const parts = `${wantsSpectrum ? '+spectrum' : ''}${silencesS === undefined ? '' : `+bursts${canonicalJson(silencesS)}`}`;
  return `${ENGINE_VERSION}${parts} ${canonicalJson(scenario)}`;
}

/**
 * What is run for a scenario: without its name and its limits, which no reading depends on. Studies judge by themselves,
 * so a changed limit asks for no run that is known already.
 */
export function taskScenario(scenario: Scenario): Scenario {
  return { ...scenario, title: '', story: '', limits: [] };
}

/** JSON with sorted field names. */
export function canonicalJson(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(canonicalJson).join(',')}]`;
  if (typeof value !== 'object' || value === null) return JSON.stringify(value) ?? 'null';
  const entries = Object.entries(value)
    .filter(([, entry]) => entry !== undefined)
    .sort(([a], [b]) => (a < b ? -1 : 1));
  return `{${entries.map(([name, entry]) => `${JSON.stringify(name)}:${canonicalJson(entry)}`).join(',')}}`;
}

export function createLookup(known: ReadonlyMap<string, TaskOutcome>): RecordingLookup {
  const pending: StudyTask[] = [];
  const asked = new Set<string>();
  let doneCount = 0;
  const ask = (asking: Scenario, wants: Pick<StudyTask, 'wantsSpectrum' | 'silencesS'>): TaskOutcome | null => {
    const scenario = taskScenario(asking);
    const key = taskKey(scenario, wants.wantsSpectrum, wants.silencesS);
    const found = known.get(key) ?? null;
    if (!asked.has(key)) {
      asked.add(key);
      if (found === null) pending.push({ key, scenario, ...wants });
      else doneCount++;
    }
    return found;
  };
  const outcome: Lookup['outcome'] = (scenario, wantsSpectrum) => ask(scenario, { wantsSpectrum });
  return {
    outcome,
    bursts: (scenario, silencesS) => ask(scenario, { wantsSpectrum: false, silencesS }),
    readings: (scenario) => {
      const found = outcome(scenario, false);
      return found?.kind === 'readings' ? found.readings : null;
    },
    pending,
    get doneCount() {
      return doneCount;
    },
  };
}

/** A known outcome that cannot be run is not pending: the point is missing for good. */
export function isPending(lookup: Lookup, scenario: Scenario): boolean {
  return lookup.outcome(scenario, false) === null;
}
