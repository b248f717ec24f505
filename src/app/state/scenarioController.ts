// What the user does to the scenario: edit, undo, load, share. Keeps the draft, its history and the address in step and
// asks the run controller for results.
import { DEFAULT_PRESET, presets } from '../../../shared/presets/index.ts';
import { type ParseOutcome, parseScenario } from '../../../shared/schema/parse.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import { withValueAt } from '../fields/paths.ts';
import { decodeFragment, encodeFragment } from './addressBar.ts';
import type { AppState } from './appState.ts';
import { History } from './history.ts';
import type { RunController } from './runController.ts';
import type { Store } from './store.ts';

/** The parts of the browser's address bar that are used; a test brings its own. */
export interface Address {
  readonly fragment: string;
  replace(fragment: string): void;
}

export const browserAddress: Address = {
  get fragment() {
    return location.hash;
  },
  replace: (fragment) => history.replaceState(null, '', fragment),
};

/** A preset with every default filled in. */
export function presetScenario(name: string): Scenario {
  const outcome = parseScenario(presets[name]);
  if (outcome.kind === 'scenario') return outcome.scenario;
  throw new RangeError(`presetScenario: preset ${name} is not a valid scenario`);
}

export function initialState(): AppState {
  const draft = presetScenario(DEFAULT_PRESET);
  return {
    draft,
    valid: draft,
    origin: DEFAULT_PRESET,
    isEdited: false,
    issues: [],
    shown: null,
    isPending: true,
    progress: null,
    fault: null,
    notice: null,
    block: 'amplifier',
    records: [],
    carrier: null,
    canUndo: false,
    canRedo: false,
  };
}

export class ScenarioController {
  readonly #store: Store<AppState>;
  readonly #runs: RunController;
  readonly #address: Address;
  readonly #history: History<Scenario>;
  /** What reset returns to. */
  #loaded: Scenario;
  #written = '';

  constructor(store: Store<AppState>, runs: RunController, address: Address = browserAddress) {
    this.#store = store;
    this.#runs = runs;
    this.#address = address;
    this.#loaded = store.state.draft;
    this.#history = new History(store.state.draft);
  }

  /** Reads the address and computes the first result. */
  async start(): Promise<void> {
    if (!(await this.#readAddress())) this.#settle(this.#store.state.draft);
  }

  /** The address was changed by hand or by a link on this page. */
  async followAddress(): Promise<void> {
    if (this.#address.fragment !== this.#written) await this.#readAddress();
  }

  async #readAddress(): Promise<boolean> {
    const outcome = await decodeFragment(this.#address.fragment);
    if (outcome.kind === 'none') return false;
    if (outcome.kind === 'scenario') {
      this.load(outcome.scenario, 'link');
      return true;
    }
    const reason =
      outcome.kind === 'unreadable'
        ? 'it was damaged or cut on the way'
        : `it does not hold a valid scenario (${outcome.issues.length} ${outcome.issues.length === 1 ? 'fault' : 'faults'})`;
    this.loadPreset(DEFAULT_PRESET);
    this.#store.update({
      notice: `The scenario in the address could not be read: ${reason}. The default one is shown.`,
    });
    return true;
  }

  /** Changes one field. `live` while a control is being dragged: no history, no full run. */
  edit(path: string, value: unknown, live: boolean): void {
    const draft = withValueAt(this.#store.state.draft, path, value);
    const outcome = parseScenario(draft);
    if (outcome.kind === 'invalid') {
      this.#store.update({ draft, issues: outcome.issues, isEdited: true, canUndo: true });
      this.#runs.refuse();
      return;
    }
    if (!live) {
      this.#commit(outcome.scenario);
      return;
    }
    const { scenario } = outcome;
    this.#store.update({ draft: scenario, valid: scenario, issues: [], isEdited: true, notice: null });
    this.#runs.runLive(outcome.scenario);
  }

  loadPreset(name: string): void {
    this.load(presetScenario(name), name);
  }

  load(scenario: Scenario, origin: string): void {
    this.#loaded = scenario;
    this.#store.update({ origin });
    this.#commit(scenario);
  }

  /** Reads a scenario from text; loads it when it is valid, and says what was wrong when not. */
  loadText(text: string, origin: string): ParseOutcome {
    let data: unknown;
    try {
      data = JSON.parse(text);
    } catch (error) {
      const value = error instanceof Error ? error.message : String(error);
      const remedy = 'check commas, quotation marks and brackets';
      return { kind: 'invalid', issues: [{ path: '', rule: 'must be JSON', value, remedy }] };
    }
    const outcome = parseScenario(data);
    if (outcome.kind === 'scenario') this.load(outcome.scenario, origin);
    return outcome;
  }

  /** Back to what was loaded. */
  reset(): void {
    this.#commit(this.#loaded);
  }

  /** One step back; from a draft that was refused, back to the last one that was not. */
  undo(): void {
    const { draft } = this.#store.state;
    const isKept = JSON.stringify(draft) === JSON.stringify(this.#history.present);
    this.#settle(isKept ? this.#history.undo() : this.#history.present);
  }

  redo(): void {
    this.#settle(this.#history.redo());
  }

  /** Training and judging records change places: does the result hold on the other one? */
  swapRecords(): void {
    const { seeds } = this.#store.state.draft;
    this.edit('seeds', { ...seeds, training: seeds.judging, judging: seeds.training }, false);
  }

  #commit(scenario: Scenario): void {
    this.#history.push(scenario);
    this.#settle(scenario);
  }

  #settle(draft: Scenario): void {
    this.#store.update({
      draft,
      valid: draft,
      issues: [],
      notice: null,
      isEdited: JSON.stringify(draft) !== JSON.stringify(this.#loaded),
      canUndo: this.#history.canUndo,
      canRedo: this.#history.canRedo,
    });
    void this.#writeAddress(draft);
    this.#runs.runFull(draft);
  }

  async #writeAddress(draft: Scenario): Promise<void> {
    const fragment = await encodeFragment(draft);
    if (this.#store.state.draft !== draft) return;
    this.#written = fragment;
    this.#address.replace(fragment);
  }
}
