// The page: lays out the parts, hands state down and events up.
import { html, LitElement, nothing } from 'lit';
import { SIMULATION_CAUTION } from '../../../shared/cautions.ts';
import type { AmplifierSettings, Scenario } from '../../../shared/schema/scenario.ts';
import { EngineClient } from '../../worker/client.ts';
import type { AppState, BlockName } from '../state/appState.ts';
import type { Door } from '../state/doors.ts';
import { exportAs } from '../state/exports.ts';
import { faultyBlocks } from '../state/faultyBlocks.ts';
import type { RecordController, RecordFault } from '../state/records.ts';
import { RunController } from '../state/runController.ts';
import { initialState, ScenarioController } from '../state/scenarioController.ts';
import { Store } from '../state/store.ts';
import { applyTheme, storedTheme, THEME_TEXTS, THEMES, type Theme } from '../state/theme.ts';
import { baseStyles, controlStyles } from '../styles/shared.ts';
import { amplifierPicture, waveformPicture } from './blockPictures.ts';
import type {
  ActionName,
  AmplifierChosen,
  ModelFileChosen,
  RecordFilesChosen,
  RecordFilesDetail,
  ScenarioEdit,
} from './events.ts';
import { layoutStyles } from './layoutStyles.ts';
import type { LeafletTopic } from './leaflet.ts';
import './answer.ts';
import './chain.ts';
import './doors.ts';
import './faultList.ts';
import './header.ts';
import './limits.ts';
import './progressLine.ts';
import './settings.ts';
import './spectrumPanel.ts';

/** A result is dimmed when a newer one has been on its way for this long. */
const DIM_AFTER_MS = 300;
const MESSAGE_MS = 4000;
/** Files that are a record, or half of one. */
const RECORD_FILE = /\.(sigmf-meta|sigmf-data|csv|txt)$/i;

export class KneepointApp extends LitElement {
  static override properties = {
    theme: { state: true },
    message: { state: true },
    isStale: { state: true },
    door: { state: true },
    recordFaults: { state: true },
  };
  declare theme: Theme;
  declare message: string;
  declare isStale: boolean;
  /** Which question the page's middle answers. */
  declare door: Door;
  /** Records that were brought in and could not be taken. */
  declare recordFaults: readonly RecordFault[];
  readonly #store: Store<AppState>;
  readonly #client = new EngineClient();
  readonly #runs: RunController;
  readonly #scenario: ScenarioController;
  #records: RecordController | null = null;
  /** The files last brought in, to be read again with what they lacked. */
  #brought: RecordFilesDetail | null = null;
  #staleTimer = 0;
  #messageTimer = 0;
  readonly #onHashChange = () => void this.#scenario.followAddress();

  constructor() {
    super();
    this.theme = storedTheme();
    this.message = '';
    this.isStale = false;
    this.door = 'run';
    this.recordFaults = [];
    this.#store = new Store(initialState());
    this.#runs = new RunController(this.#store, this.#client);
    this.#scenario = new ScenarioController(this.#store, this.#runs);
    this.#store.subscribe(() => this.#onState());
    applyTheme(this.theme);
  }

  override connectedCallback(): void {
    super.connectedCallback();
    window.addEventListener('hashchange', this.#onHashChange);
    // The first screen does not wait for what lies below it.
    void import('./detail.ts');
    void this.#scenario.start();
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    window.removeEventListener('hashchange', this.#onHashChange);
  }

  #onState(): void {
    const { isPending, shown } = this.#store.state;
    // With a short record on the page, only the full one is awaited: the picture already follows.
    const waits = isPending && shown?.detail !== 'coarse';
    if (!waits) {
      clearTimeout(this.#staleTimer);
      this.#staleTimer = 0;
      this.isStale = false;
    } else if (this.#staleTimer === 0) {
      this.#staleTimer = window.setTimeout(() => {
        this.isStale = true;
      }, DIM_AFTER_MS);
    }
    this.requestUpdate();
  }

  #say(message: string): void {
    this.message = message;
    clearTimeout(this.#messageTimer);
    this.#messageTimer = window.setTimeout(() => {
      this.message = '';
    }, MESSAGE_MS);
  }

  #onAction({ detail }: CustomEvent<ActionName>): void {
    const actions: Partial<Record<ActionName, () => void>> = {
      undo: () => this.#scenario.undo(),
      redo: () => this.#scenario.redo(),
      reset: () => this.#scenario.reset(),
      cancel: () => this.#runs.cancel(),
      'swap-records': () => this.#scenario.swapRecords(),
      'open-text': () => this.#whenLoaded(this.#openText()),
      'open-claim': () => this.#whenLoaded(this.#openClaim(null)),
      'open-cautions': () => this.#whenLoaded(this.#openLeaflet('cautions')),
      'open-terms': () => this.#whenLoaded(this.#openLeaflet('terms')),
    };
    const action = actions[detail];
    if (action !== undefined) action();
    else this.#export(detail);
  }

  #export(action: ActionName): void {
    const { state } = this.#store;
    // Before the first question is asked the element is there, but not what it can do.
    const spread = this.renderRoot.querySelector('kp-studies')?.spreadOf?.(state.valid) ?? null;
    void exportAs(action, state, spread).then((message) => this.#say(message));
  }

  /** Files dropped on the page: records are read, a claim card is checked, a scenario is loaded. */
  async #onDrop(event: DragEvent): Promise<void> {
    const files = [...(event.dataTransfer?.files ?? [])];
    const [file] = files;
    if (file === undefined) return;
    event.preventDefault();
    if (files.some(({ name }) => RECORD_FILE.test(name))) {
      // The question about a capture takes records for itself.
      if (this.door === 'identify') this.renderRoot.querySelector('kp-identify')?.bringIn(files);
      else this.#whenLoaded(this.#bringIn({ files, carrierIndex: null }));
      return;
    }
    const text = await file.text();
    if (text.trimStart().startsWith('<')) {
      await this.#openClaim(text);
      return;
    }
    const { isModelFile } = await import('../state/modelFile.ts');
    if (isModelFile(text)) return this.#takeAmplifier(file);
    const outcome = this.#scenario.loadText(text, 'file');
    if (outcome.kind === 'invalid')
      this.#say(`not taken: ${outcome.issues.length} faults; open it under As text to see them`);
  }

  /** An amplifier from a file, or one identified, into the scenario; all that is wrong with a file is listed. */
  async #takeAmplifier(brought: File | AmplifierSettings): Promise<void> {
    const [{ takeAmplifier }] = await Promise.all([
      import('../state/modelFile.ts'),
      import('./waveform/recordFaults.ts'),
    ]);
    const { scenario, faults, message } = await takeAmplifier(brought, this.#store.state);
    this.recordFaults = faults;
    if (scenario !== null) {
      this.#store.update({ block: 'amplifier' });
      this.#scenario.edit('', scenario, false);
    }
    this.#say(message);
  }

  /** Reads records; the part of the page that does is loaded with the first. */
  async #bringIn(brought: RecordFilesDetail, rateHz: number | null = null): Promise<void> {
    this.#brought = brought;
    const [{ RecordController }] = await Promise.all([
      import('../state/records.ts'),
      import('./waveform/recordFaults.ts'),
    ]);
    this.#records ??= new RecordController(this.#store, this.#client, this.#scenario);
    this.#say('reading the record');
    try {
      const answer = await this.#records.bringIn(brought.files, brought.carrierIndex, rateHz);
      this.recordFaults = answer.kind === 'refused' ? answer.faults : [];
      this.#say(answer.kind === 'refused' ? 'not taken' : answer.message);
    } catch (error) {
      this.#say(`the record could not be read: ${error instanceof Error ? error.message : String(error)}`);
    }
  }

  #answerFaults(rateHz: number | null): void {
    this.recordFaults = [];
    if (rateHz !== null && this.#brought !== null) void this.#bringIn(this.#brought, rateHz);
  }

  async #openClaim(text: string | null): Promise<void> {
    await import('./claimCheck.ts');
    await this.renderRoot.querySelector('kp-claim-check')?.open(text);
  }

  /** A part that is loaded on demand is gone when the page was renewed on its server meanwhile. */
  #whenLoaded(opened: Promise<void>): void {
    opened.catch(() => this.#say('a part of this page could not be loaded; reload it'));
  }

  async #openText(): Promise<void> {
    await import('./scenarioText.ts');
    await this.renderRoot.querySelector('kp-scenario-text')?.open();
  }

  async #openLeaflet(topic: LeafletTopic): Promise<void> {
    await import('./leaflet.ts');
    await this.renderRoot.querySelector('kp-leaflet')?.open(topic);
  }

  #main(state: AppState) {
    const report = state.shown?.report ?? null;
    return html`
      <kp-doors class="doors" .door=${this.door}></kp-doors>
      <kp-chain
        class="chain"
        .scenario=${state.valid}
        .report=${report}
        .block=${state.block}
        .faultyBlocks=${faultyBlocks(state.issues)}
        .isStale=${this.isStale}
      ></kp-chain>
      <div class="bench">
        <aside class="settings" aria-label="Settings">
          ${
            this.recordFaults.length === 0
              ? nothing
              : html`<kp-record-faults
                  .faults=${this.recordFaults}
                  @faults-answered=${({ detail }: CustomEvent<number | null>) => this.#answerFaults(detail)}
                ></kp-record-faults>`
          }
          <kp-settings
            .draft=${state.draft}
            .report=${report}
            .issues=${state.issues}
            .block=${state.block}
            .records=${state.records}
            .carrier=${state.carrier}
          ></kp-settings>
          <kp-fault-list .issues=${state.issues}></kp-fault-list>
        </aside>
        <main class="${this.isStale ? 'stale' : ''} ${this.door === 'run' ? '' : 'asked'}" aria-busy=${state.isPending}>
          ${this.door === 'run' ? this.#run(state) : nothing}
          <kp-studies
            class="studies"
            ?hidden=${this.door === 'run' || this.door === 'identify'}
            .scenario=${state.valid}
            .door=${this.door === 'identify' ? 'run' : this.door}
          ></kp-studies>
          <kp-identify
            class="studies"
            ?hidden=${this.door !== 'identify'}
            .kneepoint=${report?.kneepoint ?? null}
          ></kp-identify>
        </main>
      </div>
    `;
  }

  /** One run: its answer, the emission plot, the limits, and what lies beneath. */
  #run(state: AppState) {
    const report = state.shown?.report ?? null;
    const detail = state.shown?.detail ?? 'full';
    return html`
      <kp-answer
        class="answer"
        .scenario=${state.valid}
        .report=${report}
        .detail=${detail}
        .fault=${state.fault}
        .notice=${state.notice}
        .issues=${state.issues}
      ></kp-answer>
      <kp-progress-line class="progress" .progress=${state.progress}></kp-progress-line>
      <kp-spectrum-panel
        class="picture"
        .report=${report}
        .detail=${detail}
        .draft=${state.block === 'data' ? state.draft : null}
        .issues=${state.issues}
        .carrier=${state.carrier}
      ></kp-spectrum-panel>
      ${waveformPicture(state)}
      <kp-limits class="limits" .report=${report} .detail=${detail}></kp-limits>
      ${amplifierPicture(state)}
      <kp-detail class="detail" .report=${report} .detail=${detail}></kp-detail>
    `;
  }

  /** Opens a question; what answers it is loaded when the first is asked. */
  async #openDoor(door: Door): Promise<void> {
    if (door === 'identify') await import('./identify/identify.ts');
    else if (door !== 'run') await import('./studies.ts');
    this.door = door;
  }

  #footer() {
    return html`<footer>
      <p>${SIMULATION_CAUTION}</p>
      <p class="links">
        <label>
          Theme
          <select
            @change=${(event: Event) => {
              this.theme = (event.target as HTMLSelectElement).value as Theme;
              applyTheme(this.theme);
            }}
          >
            ${THEMES.map(
              (theme) => html`<option value=${theme} ?selected=${theme === this.theme}>${THEME_TEXTS[theme]}</option>`,
            )}
          </select>
        </label>
        <button class="plain" @click=${() => this.#open('open-cautions')}>All cautions</button>
        <button class="plain" @click=${() => this.#open('open-terms')}>Terms</button>
      </p>
    </footer>`;
  }

  #open(name: ActionName): void {
    this.#onAction(new CustomEvent('page-action', { detail: name }));
  }

  protected override render() {
    const { state } = this.#store;
    return html`<div
      class="page"
      @dragover=${(event: DragEvent) => {
        if (event.dataTransfer?.types.includes('Files')) event.preventDefault();
      }}
      @drop=${this.#onDrop}
      @scenario-edit=${({ detail }: ScenarioEdit) => this.#scenario.edit(detail.path, detail.value, detail.live)}
      @page-action=${this.#onAction}
      @record-files=${({ detail }: RecordFilesChosen) => this.#whenLoaded(this.#bringIn(detail))}
      @model-file=${({ detail }: ModelFileChosen) => this.#whenLoaded(this.#takeAmplifier(detail))}
      @amplifier-chosen=${({ detail }: AmplifierChosen) => this.#whenLoaded(this.#takeAmplifier(detail))}
      @carrier-chosen=${({ detail }: CustomEvent<number>) => this.#store.update({ carrier: detail })}
      @block-chosen=${({ detail }: CustomEvent<BlockName>) => this.#store.update({ block: detail })}
      @door-chosen=${({ detail }: CustomEvent<Door>) => this.#whenLoaded(this.#openDoor(detail))}
      @preset-chosen=${({ detail }: CustomEvent<string>) => this.#scenario.loadPreset(detail)}
    >
      <kp-header
        .origin=${state.origin}
        .isEdited=${state.isEdited}
        .canUndo=${state.canUndo}
        .canRedo=${state.canRedo}
        .message=${this.message}
      ></kp-header>
      ${this.#main(state)} ${this.#footer()}
      <kp-scenario-text
        .draft=${state.draft}
        .readText=${(text: string, origin: string) => {
          const outcome = this.#scenario.loadText(text, origin);
          return outcome.kind === 'invalid' ? outcome.issues : [];
        }}
      ></kp-scenario-text>
      <kp-leaflet></kp-leaflet>
      <kp-claim-check .openScenario=${(scenario: Scenario) => this.#scenario.load(scenario, 'file')}></kp-claim-check>
    </div>`;
  }

  static override styles = [baseStyles, controlStyles, layoutStyles];
}

customElements.define('kneepoint-app', KneepointApp);

declare global {
  interface HTMLElementTagNameMap {
    'kneepoint-app': KneepointApp;
  }
}
