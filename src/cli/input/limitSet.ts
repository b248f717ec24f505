// `--limits`: the limits of a scenario replaced by a set, or by a file of limits as `kneepoint limits SET --json` prints it.
// Plain limits and the rule of the channels are written into the scenario; `--set` can change them again.
import { nearest } from '../../../shared/schema/parse.ts';
import { parseLimits } from '../../../shared/schema/parseLimits.ts';
import { limitSetFor, limitSetIds } from '../../../shared/tables/limitSets.ts';
import { limitSubjectOf, type SetLimits } from '../../../shared/tables/limitSubject.ts';
import { checkScenario, type RecordStore } from '../../engine/index.ts';
import { type Session, UnusableInput, unusable } from '../session.ts';
import { isFile, readJson } from './files.ts';
import type { SuppliedScenario } from './scenarioRecords.ts';
import { setFields } from './setFields.ts';

/** What `--limits` does, for the help. */
export const LIMITS_TEXT =
  'replace the limits and measured channels by a set (kneepoint limits lists them) or a JSON file of limits';

type Fields = Readonly<Record<string, unknown>>;

/** What `--set` changes of the limits themselves waits until they are written. */
const isLate = (setting: string) => /^\s*(limits|measurement\.channels)\b/.test(setting);

/** A scenario with `--set` put in, not checked yet. Throws UnusableInput for a faulty `--set`. */
export function withSettings(scenario: unknown, settings: readonly string[]): unknown {
  const result = setFields(scenario, settings);
  if (result.issues.length > 0) throw new UnusableInput('--set', result.issues);
  return result.scenario;
}

export interface LimitedScenario extends SuppliedScenario {
  /** What the set took for granted. */
  readonly notes: readonly string[];
}

/**
 * The scenario with `--set`, the records it names, and `--limits` put in. Throws UnusableInput when the scenario is at
 * fault, when it does not fit the set, and for an unknown name.
 */
export function withLimits(
  session: Session,
  scenario: unknown,
  settings: readonly string[],
  limits: string | undefined,
  supply: (input: unknown) => SuppliedScenario,
): LimitedScenario {
  if (limits === undefined) return { ...supply(withSettings(scenario, settings)), notes: [] };
  const early = settings.filter((setting) => !isLate(setting));
  const { input, records } = supply(withSettings(scenario, early));
  const made = limitSetIds.includes(limits)
    ? limitsOfSet(limits, input, records)
    : limitsOfFile(limits, readJson(session, fileOf(session, limits)));
  return { input: withSettings(write(input, made), settings.filter(isLate)), records, notes: made.notes };
}

type WrittenLimits = Omit<SetLimits, 'channels'> & { readonly channels: unknown };

function write(scenario: unknown, { limits, channels }: WrittenLimits): unknown {
  if (!isFields(scenario)) return scenario;
  const measurement = isFields(scenario['measurement']) ? scenario['measurement'] : {};
  const changed = channels === undefined ? measurement : { ...measurement, channels };
  return { ...scenario, limits, measurement: changed };
}

/** The limits of a set for a scenario, which is checked without those it has. */
export function limitsOfSet(id: string, scenario: unknown, records?: RecordStore): SetLimits {
  const bare = write(scenario, { limits: [], channels: 'auto', notes: [] });
  const checked = checkScenario(bare, records);
  if (checked.kind === 'invalid') throw new UnusableInput('the scenario', checked.issues);
  const placed = checked.setup.waveform.carriers.map((carrier) => carrier.geometry);
  const outcome = limitSetFor(id, limitSubjectOf(checked.scenario, placed));
  if (outcome.kind === 'invalid') throw new UnusableInput(`--limits ${id}`, outcome.issues);
  return outcome;
}

function limitsOfFile(name: string, value: unknown): WrittenLimits {
  const parsed = parseLimits(value);
  if (parsed.kind === 'invalid') throw new UnusableInput(name, parsed.issues);
  const measurement = isFields(value) && isFields(value['measurement']) ? value['measurement'] : {};
  return { limits: parsed.limits, channels: measurement['channels'], notes: [] };
}

function fileOf(session: Session, name: string): string {
  if (name === '-' || isFile(session, name)) return name;
  const near = nearest(name, limitSetIds);
  const remedy = near === null ? 'kneepoint limits lists the sets' : `did you mean ${near}?`;
  throw unusable('--limits', 'must be a limit set or a JSON file of limits', JSON.stringify(name), remedy);
}

function isFields(value: unknown): value is Fields {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
