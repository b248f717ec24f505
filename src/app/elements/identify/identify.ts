// Which model fits a capture: two records are dropped, the model that predicts one from the other is told with how far to
// trust it. Loaded when its question is asked first; it stays, so that what was found keeps while another is shown.
import { html, LitElement, nothing } from 'lit';
import { identificationVerdict } from '../../../../shared/format/identificationText.ts';
import { formatFixed } from '../../../../shared/format/numbers.ts';
import { formatIssue } from '../../../../shared/schema/issue.ts';
import type { Report } from '../../../../shared/schema/report.ts';
import { IdentifyClient } from '../../../worker/identifyClient.ts';
import { DOOR_TEXTS } from '../../state/doors.ts';
import { IdentifyController, otherIssues } from '../../state/identifyController.ts';
import type { IdentifyExport } from '../../state/identifyExports.ts';
import { PLACE_NAMES, type RecordPlace } from '../../state/identifyFiles.ts';
import {
  type Identified,
  type IdentifyState,
  INITIAL_IDENTIFY_STATE,
  placeOf,
  withoutPlace,
} from '../../state/identifyState.ts';
import { Store } from '../../state/store.ts';
import { baseStyles, controlStyles, tableStyles } from '../../styles/shared.ts';
import { tellAmplifier, tellDoor } from '../events.ts';
import type { RateChanged, SettingsChanged } from './identifyEvents.ts';
import './identifySettings.ts';
import { identifyStyles } from './identifyStyles.ts';
import './pairPictures.ts';
import './pairTables.ts';
import type { RecordPlaced, RecordRemoved } from './recordPlace.ts';
import './recordPlace.ts';
import '../warnings.ts';

const HINTS: Readonly<Record<RecordPlace, string>> = {
  drive: 'what was sent',
  observed: 'what a receiver saw',
  'validation.drive': 'what was sent, another time',
  'validation.observed': 'what a receiver saw of it',
};

const FIELDS_OF_SETTINGS = [
  'highestOrder',
  'memoryDepth',
  'crossReachSamples',
  'outputPowerDbm',
  'saturatedPowerDbm',
  'outputBackoffDb',
];

const SAVES: readonly (readonly [IdentifyExport, string])[] = [
  ['model', 'Save the model'],
  ['amplifier', 'Save the amplifier'],
  ['page', 'Save the report'],
  ['report', 'Save the figures'],
  ['pictures', 'Save the pictures'],
];

export class Identify extends LitElement {
  static override properties = { kneepoint: { attribute: false }, message: { state: true }, isTaken: { state: true } };
  /** Version and format of the program, as its reports name them. */
  declare kneepoint: Report['kneepoint'] | null;
  declare message: string;
  /** The amplifier shown was put into the scenario. */
  declare isTaken: boolean;
  readonly #store = new Store<IdentifyState>(INITIAL_IDENTIFY_STATE);
  readonly #controller = new IdentifyController(this.#store, new IdentifyClient());
  #shown: Identified | null = null;

  constructor() {
    super();
    this.kneepoint = null;
    this.message = '';
    this.isTaken = false;
    this.#store.subscribe(() => this.#onState());
  }

  /** Files dropped anywhere on the page. */
  bringIn(files: readonly File[]): void {
    this.#controller.bringIn(files);
  }

  #onState(): void {
    const { identified } = this.#store.state;
    if (identified !== this.#shown) {
      this.#shown = identified;
      this.message = '';
      this.isTaken = false;
    }
    this.requestUpdate();
  }

  async #save(form: IdentifyExport, { identified, names }: IdentifyState): Promise<void> {
    if (identified === null) return;
    const { exportIdentified } = await import('../../state/identifyExports.ts');
    const pair = { drive: names?.drive ?? 'drive', observed: names?.observed ?? 'observation' };
    this.message = exportIdentified(form, identified, pair, this.kneepoint);
  }

  #use({ amplifier }: Identified): void {
    tellAmplifier(this, amplifier);
    this.isTaken = true;
    this.message = '';
  }

  #answer({ identified, places }: IdentifyState): string {
    if (identified !== null) return identificationVerdict(identified.report);
    const { drive, observed } = places;
    if (drive !== null && observed === null)
      return 'Now the observation: what a receiver saw of the amplifier’s output.';
    if (drive === null && observed !== null) return 'Now the drive: what was sent to the amplifier.';
    if (drive !== null) return 'The records are there; the model is not known yet.';
    return 'Drop two records: what was sent to an amplifier and what a receiver saw of its output.';
  }

  #acts(state: IdentifyState, identified: Identified) {
    const unscaled =
      identified.amplifier.saturatedPowerDbm === null
        ? ' Its saturated power is not known: give two figures of the power scale and use it again, or set it under Amplifier.'
        : '';
    return html`<p class="acts">
      <button class="main" @click=${() => this.#use(identified)}>Use this amplifier</button>
      ${SAVES.map(
        ([form, text]) => html`<button class="plain" @click=${() => void this.#save(form, state)}>${text}</button>`,
      )}
      <span class="muted" role="status">
        ${this.message}
        ${
          this.isTaken
            ? html`It is in the scenario now.${unscaled}
                <button class="plain" @click=${() => tellDoor(this, 'run')}>${DOOR_TEXTS.run}</button>`
            : nothing
        }
      </span>
    </p>`;
  }

  #reasons({ report }: Identified) {
    return html`<p class="reasons">${capital(report.trust.reasons.join('; '))}.</p>`;
  }

  #banners({ issues, fault, isStale, isRunning, identified }: IdentifyState, isComplete: boolean) {
    const others = otherIssues(issues).filter(({ path }) => !FIELDS_OF_SETTINGS.includes(path));
    const before = identified === null ? '' : ' The figures below are those of before.';
    return html`
      ${
        issues.length === 0
          ? nothing
          : html`<div class="banner over" role="alert">
              <p>
                <strong>Nothing was identified.</strong>
                ${issues.length > others.length ? 'What is wrong stands beside the record or the field it belongs to.' : nothing}${before}
              </p>
              <ul>
                ${others.map((issue) => html`<li><span aria-hidden="true">✕</span> ${formatIssue(issue)}.</li>`)}
              </ul>
            </div>`
      }
      ${fault === null ? nothing : html`<p class="banner over" role="alert"><strong>The computation failed.</strong> The engine says: ${fault}</p>`}
      ${
        isStale && !isRunning && issues.length === 0
          ? html`<p class="banner">
              <strong>Records or settings have changed.</strong>${before}
              ${isComplete ? html`<button @click=${() => this.#controller.identify()}>Identify again</button>` : nothing}
            </p>`
          : nothing
      }
    `;
  }

  #progress({ isRunning, progress, identified, isStale }: IdentifyState, isComplete: boolean) {
    if (!isRunning) {
      if (identified !== null || isStale || !isComplete) return html`<div class="line"></div>`;
      return html`<div class="line"><button class="main" @click=${() => this.#controller.identify()}>Identify</button></div>`;
    }
    const percent = 100 * (progress?.doneRatio ?? 0);
    return html`<div class="line">
      <progress max="100" value=${percent} aria-label="Identification"></progress>
      <span class="small muted figure" role="status">${progress?.label ?? 'Reading the files'}, ${formatFixed(percent, 0)} %</span>
      <button @click=${() => this.#controller.stop()}>Stop</button>
    </div>`;
  }

  #place(state: IdentifyState, place: RecordPlace) {
    const own = state.issues.filter((issue) => placeOf(issue) === place).map((issue) => withoutPlace(issue, place));
    return html`<kp-record-place
      .place=${place}
      .label=${PLACE_NAMES[place]}
      .hint=${HINTS[place]}
      .record=${state.places[place]}
      .issues=${own}
      @record-placed=${({ detail }: RecordPlaced) => this.#controller.place(detail.place, detail.files)}
      @record-removed=${({ detail }: RecordRemoved) => this.#controller.clear(detail)}
    ></kp-record-place>`;
  }

  #inputs(state: IdentifyState) {
    const { places, guess, settings, sampleRateHz, issues } = state;
    const hasSecond = places['validation.drive'] !== null || places['validation.observed'] !== null;
    const hasSecondIssue = issues.some((issue) => placeOf(issue)?.startsWith('validation') ?? false);
    const isHalf = hasSecond && (places['validation.drive'] === null || places['validation.observed'] === null);
    return html`<div class="places">${this.#place(state, 'drive')} ${this.#place(state, 'observed')}</div>
      <p class="acts">
        ${
          places.drive === null && places.observed === null
            ? html`<span class="condition">
                Both at one sample rate and equally long: 4096 samples or more; some 50 000 tell structures apart.
              </span>`
            : html`<button class="plain" @click=${() => this.#controller.swap()}>Swap drive and observation</button>`
        }
      </p>
      ${guess === null ? nothing : html`<p class="condition" role="status">${guess}</p>`}
      <details ?open=${hasSecond || hasSecondIssue}>
        <summary>A second pair, predicted and never fitted</summary>
        <div class="places">${this.#place(state, 'validation.drive')} ${this.#place(state, 'validation.observed')}</div>
        ${isHalf ? html`<p class="condition">It counts when both of its records are there.</p>` : nothing}
      </details>
      <kp-identify-settings
        .settings=${settings}
        .sampleRateHz=${sampleRateHz}
        .hasTextRecord=${Object.values(places).some((set) => set?.format === 'csv')}
        .issues=${issues}
        @identify-settings=${({ detail }: SettingsChanged) => this.#controller.set(detail)}
        @identify-rate=${({ detail }: RateChanged) => this.#controller.setSampleRate(detail)}
      ></kp-identify-settings>`;
  }

  protected override render() {
    const { state } = this.#store;
    const { identified, isRunning, isStale, names, places } = state;
    const isComplete = places.drive !== null && places.observed !== null;
    const age = isStale ? 'stale' : '';
    return html`<section aria-label=${DOOR_TEXTS.identify} aria-busy=${isRunning}>
      <p class="title">
        <strong>${DOOR_TEXTS.identify}</strong>
        ${names === null ? nothing : html`<span>${names.observed} as an answer to ${names.drive}</span>`}
      </p>
      <p class="answer ${age}" aria-live="polite">${this.#answer(state)}</p>
      ${identified === null ? nothing : this.#reasons(identified)}
      ${this.#banners(state, isComplete)}
      ${identified === null ? nothing : this.#acts(state, identified)}
      ${this.#progress(state, isComplete)}
      <div class="parts ${identified === null ? 'empty' : ''}">
        <kp-pair-pictures class=${age} .identified=${identified} ?hidden=${identified === null}></kp-pair-pictures>
        <div class="inputs">${this.#inputs(state)}</div>
        <div class="tables ${age}" ?hidden=${identified === null}>
          <kp-warnings .warnings=${identified?.report.warnings ?? []}></kp-warnings>
          <kp-pair-tables .identified=${identified}></kp-pair-tables>
        </div>
      </div>
    </section>`;
  }

  static override styles = [baseStyles, controlStyles, tableStyles, identifyStyles];
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

customElements.define('kp-identify', Identify);

declare global {
  interface HTMLElementTagNameMap {
    'kp-identify': Identify;
  }
}
