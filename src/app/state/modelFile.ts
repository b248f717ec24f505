// Amplifiers from files: a model by itself, as `identify` writes it, or the amplifier section of a scenario. And what
// becomes of the scenario that takes one.
import type { Issue } from '../../../shared/schema/issue.ts';
import { parseAmplifierModel, parseAmplifierSection } from '../../../shared/schema/parseAmplifierModel.ts';
import type { AmplifierModelSettings, AmplifierSettings, Scenario } from '../../../shared/schema/scenario.ts';
import type { AppState } from './appState.ts';
import type { RecordFault } from './records.ts';

export type ModelFile =
  | { readonly kind: 'model'; readonly model: AmplifierModelSettings }
  | { readonly kind: 'amplifier'; readonly amplifier: AmplifierSettings }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

type Fields = Readonly<Record<string, unknown>>;

function fieldsOf(text: string): Fields | null {
  try {
    const data: unknown = JSON.parse(text);
    return typeof data === 'object' && data !== null && !Array.isArray(data) ? (data as Fields) : null;
  } catch {
    return null;
  }
}

/** Whether a text means to be a model or an amplifier, not a whole scenario; it may still be faulty. */
export function isModelFile(text: string): boolean {
  const fields = fieldsOf(text);
  if (fields === null || 'waveform' in fields) return false;
  return typeof fields['kind'] === 'string' || 'model' in fields;
}

/**
 * Reads a file: a model (`kind` at its root), an amplifier section (`model` at its root), or the report that `identify`
 * writes, whose model is taken. Says everything that is wrong when it is none of them.
 */
export function readModelFile(text: string): ModelFile {
  const fields = fieldsOf(text);
  if (fields === null) {
    const value = text.trim() === '' ? 'an empty file' : 'other text';
    return invalid('must be a JSON object { … }', value, 'choose a model or amplifier file');
  }
  if ('identification' in fields) return parseAmplifierModel(fields['model']);
  if ('model' in fields) return parseAmplifierSection(fields);
  if ('kind' in fields) return parseAmplifierModel(fields);
  return invalid('must hold a model', 'neither kind nor model', 'choose a model or amplifier file');
}

function invalid(rule: string, value: string, remedy: string): ModelFile {
  return { kind: 'invalid', issues: [{ path: '', rule, value, remedy }] };
}

export interface TakenAmplifier {
  /** The scenario with the amplifier in it: one edit, one step to undo. Null when the file is refused. */
  readonly scenario: Scenario | null;
  readonly faults: readonly RecordFault[];
  /** For the status line. */
  readonly message: string;
}

interface ModelText {
  readonly name: string;
  text(): Promise<string>;
}

/**
 * The scenario of the page with an amplifier from a file, or with one identified. A model alone leaves power, gain and
 * losses as they are; an identified amplifier leaves the losses behind it and its DC power, which are not in the records.
 */
export async function takeAmplifier(
  brought: ModelText | AmplifierSettings,
  { draft, shown }: Pick<AppState, 'draft' | 'shown'>,
): Promise<TakenAmplifier> {
  const backoffDb = shown?.report.uncorrected.outputBackoffDb ?? null;
  const { outputLossDb, power } = draft.amplifier;
  if ('model' in brought) {
    return withAmplifier(draft, { ...brought, outputLossDb, power }, backoffDb, 'the identified amplifier');
  }
  const file = readModelFile(await brought.text());
  switch (file.kind) {
    case 'invalid':
      return { scenario: null, faults: [{ name: brought.name, issues: file.issues }], message: 'not taken' };
    case 'model':
      return withAmplifier(draft, { ...draft.amplifier, model: file.model }, backoffDb, `the model of ${brought.name}`);
    case 'amplifier':
      return withAmplifier(draft, file.amplifier, backoffDb, `the amplifier of ${brought.name}`);
  }
}

/** Where no result says what the operating point is as output back-off. */
const USUAL_BACKOFF_DB = 9;

/** Without a power scale a scenario cannot keep its power in dBm or W: it keeps the output back-off of its last result. */
function withAmplifier(
  scenario: Scenario,
  amplifier: AmplifierSettings,
  backoffDb: number | null,
  what: string,
): TakenAmplifier {
  const taken = `${what} is in the scenario now; Undo brings back what was`;
  const isKept = amplifier.saturatedPowerDbm !== null || scenario.operatingPoint.outputBackoffDb !== undefined;
  const held = Number((backoffDb ?? USUAL_BACKOFF_DB).toFixed(2));
  const operatingPoint = isKept ? scenario.operatingPoint : { outputBackoffDb: held };
  const unscaled = amplifier.saturatedPowerDbm === null ? '; its saturated power is not known' : '';
  return { scenario: { ...scenario, amplifier, operatingPoint }, faults: [], message: `${taken}${unscaled}` };
}
