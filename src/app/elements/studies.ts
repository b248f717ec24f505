// The questions' part of the page: the answer, how far it is, and the view that proves it. Loaded when the first question
// is asked; it stays, so that runs go on and answers keep while the bench is shown.
import { css, html, LitElement, nothing, type PropertyValues } from 'lit';
import { worthText } from '../../../shared/format/worthText.ts';
import { formatIssue } from '../../../shared/schema/issue.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { QuestionKind } from '../../../shared/schema/study.ts';
import type { SpreadResult, StudyReport } from '../../../shared/schema/studyReport.ts';
import { StudyClient } from '../../worker/studyClient.ts';
import type { LimitMoved } from '../charts/linePlot.ts';
import { DOOR_TEXTS, type StudyDoor } from '../state/doors.ts';
import { Store } from '../state/store.ts';
import { initialStudyState, StudyController } from '../state/studyController.ts';
import type { StudyExport } from '../state/studyExports.ts';
import type { StudyState } from '../state/studyState.ts';
import { baseStyles } from '../styles/shared.ts';
import { tellEdit } from './events.ts';
import type { QuestionEdit, RunAction } from './studies/questionEvents.ts';
import type { ExportAsked, OutcomesBrought } from './studies/takeAway.ts';
import './studies/askView.ts';
import './studies/burstView.ts';
import './studies/crestView.ts';
import './studies/holdView.ts';
import './studies/ladderView.ts';
import './studies/orderView.ts';
import './studies/pathView.ts';
import './studies/runBar.ts';
import './studies/spreadView.ts';
import './studies/takeAway.ts';
import './studies/toneView.ts';
import './studies/worthView.ts';

/** The question behind a door; the worth of correction is read from the ladder. */
function kindOf(door: StudyDoor): QuestionKind {
  if (door === 'run') throw new RangeError('kindOf: a single run is no question');
  return door === 'worth' ? 'ladder' : door;
}

export class Studies extends LitElement {
  static override properties = { scenario: { attribute: false }, door: {}, message: { state: true } };
  declare scenario: Scenario | null;
  declare door: StudyDoor;
  declare message: string;
  readonly #client = new StudyClient();
  #store: Store<StudyState> | null = null;
  #controller: StudyController | null = null;

  constructor() {
    super();
    this.scenario = null;
    this.door = 'run';
    this.message = '';
  }

  protected override willUpdate(changed: PropertyValues<this>): void {
    const { scenario } = this;
    if (scenario === null) return;
    if (this.#store === null) {
      this.#store = new Store(initialStudyState(scenario));
      this.#store.subscribe(() => this.requestUpdate());
      this.#controller = new StudyController(this.#store, this.#client, scenario);
    } else if (changed.has('scenario')) {
      this.#controller?.setScenario(scenario);
    }
    if (changed.has('door')) this.message = '';
    if (changed.has('door') && this.door !== 'run') this.#controller?.open(kindOf(this.door));
  }

  /** The spread over seeds of this scenario, when it was asked for and is complete. */
  spreadOf(scenario: Scenario): SpreadResult | null {
    const report = this.#store?.state.reports.spread;
    if (report === undefined || !report.complete || report.result.kind !== 'spread') return null;
    const { question } = report.study;
    // A claim's spread is over seeds alone.
    if (question.kind !== 'spread' || question.unitCount > 0) return null;
    return JSON.stringify(report.study.scenario) === JSON.stringify(scenario) ? report.result : null;
  }

  #onRun({ detail }: CustomEvent<RunAction>): void {
    if (detail === 'run') this.#controller?.run();
    else this.#controller?.stop();
  }

  #view(state: StudyState) {
    const { scenario } = this;
    const report = state.reports[state.kind] ?? null;
    const limits = scenario?.limits ?? [];
    const { ladder, shape, map, ask, spread, tones, burst, hold, path } = state.questions;
    switch (this.door) {
      case 'run':
        return nothing;
      case 'ladder':
        return html`<kp-ladder-view .report=${report} .question=${ladder} .limits=${limits}></kp-ladder-view>`;
      case 'worth':
        return html`<kp-worth-view .report=${report} .limits=${limits}></kp-worth-view>`;
      case 'shape':
        return html`<kp-crest-view .report=${report} .question=${shape} .scenario=${scenario}></kp-crest-view>`;
      case 'map':
        return html`<kp-order-view .report=${report} .question=${map} .scenario=${scenario}></kp-order-view>`;
      case 'ask':
        return html`<kp-ask-view .report=${report} .question=${ask} .scenario=${scenario}></kp-ask-view>`;
      case 'spread':
        return html`<kp-spread-view .report=${report} .question=${spread} .scenario=${scenario}></kp-spread-view>`;
      case 'tones':
        return html`<kp-tone-view .report=${report} .question=${tones} .scenario=${scenario}></kp-tone-view>`;
      case 'hold':
        return html`<kp-hold-view .report=${report} .question=${hold} .scenario=${scenario}></kp-hold-view>`;
      case 'path':
        return html`<kp-path-view .report=${report} .question=${path} .scenario=${scenario}></kp-path-view>`;
      case 'burst':
        return html`<kp-burst-view .report=${report} .question=${burst} .scenario=${scenario}></kp-burst-view>`;
    }
  }

  /** The ladder answers two questions; each door says its own. */
  #answer(report: StudyReport): string {
    const { result } = report;
    return this.door === 'worth' && result.kind === 'ladder' ? worthText(result, report.complete) : report.answer;
  }

  /** Gives away what is asked now, not the answer before; only a scenario of which nothing is known leaves that one. */
  async #export(form: StudyExport): Promise<void> {
    const [{ exportStudy }, evaluated] = await Promise.all([
      import('../state/studyExports.ts'),
      this.#controller?.evaluated() ?? null,
    ]);
    const state = this.#store?.state;
    const shown = state?.reports[state.kind];
    if (evaluated === null || shown === undefined || state === undefined) {
      this.message = 'there is nothing to take: this question has no answer';
      return;
    }
    // A study is a question, whatever is known of it.
    const done = exportStudy(form, form === 'study' ? evaluated : shown, this.#client.known);
    const isOfBefore = state.isStale && form !== 'study' && form !== 'outcomes';
    this.message = isOfBefore ? `${done}; it answers the scenario before the change` : done;
  }

  async #bring(text: string): Promise<void> {
    const state = this.#store?.state;
    const version = state?.reports[state.kind]?.kneepoint.version;
    if (version === undefined) {
      this.message = 'wait for the first figures';
      return;
    }
    const { Archive } = await import('../state/outcomeLines.ts');
    const archive = new Archive();
    const { taken, damaged, other } = archive.take(text, version);
    this.#client.archive = (key) => archive.find(key);
    const passed = damaged + other === 0 ? '' : `, ${damaged + other} lines damaged or of another version`;
    this.message = `${taken} outcomes brought in${passed}`;
    this.#controller?.run();
  }

  #onLimit({ detail: { path, level, live } }: LimitMoved): void {
    const [first, field] = path.split('.');
    if (first === 'question' && field !== undefined) this.#controller?.ask({ [field]: level });
    else tellEdit(this, path, level, live);
  }

  #banners({ fault, issues, isStale, isRunning }: StudyState) {
    return html`
      ${
        issues.length === 0
          ? nothing
          : html`<div class="banner over" role="alert">
              <p><strong>This question cannot be answered as it stands.</strong></p>
              <ul>
                ${issues.map((issue) => html`<li><span aria-hidden="true">✕</span> ${formatIssue(issue)}</li>`)}
              </ul>
            </div>`
      }
      ${
        fault === null
          ? nothing
          : html`<p class="banner over"><strong>The computation failed.</strong> The engine says: ${fault}</p>`
      }
      ${
        isStale && !isRunning
          ? html`<p class="banner"><strong>The scenario has changed.</strong> The figures below answer the one before.</p>`
          : nothing
      }
    `;
  }

  protected override render() {
    const state = this.#store?.state;
    if (state === undefined || this.door === 'run') return nothing;
    const report = state.reports[state.kind] ?? null;
    const { isRunning, isAwaited, isStale, issues } = state;
    const age = isStale || issues.length > 0 ? 'stale' : isAwaited ? 'awaited' : '';
    return html`<section
      aria-label=${DOOR_TEXTS[this.door]}
      aria-busy=${isRunning || isAwaited}
      @study-run=${this.#onRun}
      @question-edit=${({ detail }: QuestionEdit) => this.#controller?.ask(detail)}
      @limit-moved=${this.#onLimit}
    >
      <p class="title">
        <strong>${DOOR_TEXTS[this.door]}</strong> <span>${this.scenario?.title ?? ''}</span>
      </p>
      <p class="answer ${age}" aria-live="polite">
        ${report === null ? 'The first figures are on their way.' : this.#answer(report)}
      </p>
      ${this.#banners(state)}
      <kp-run-bar
        class=${isAwaited ? 'awaited' : ''}
        .progress=${state.progress}
        .isRunning=${state.isRunning}
        .workerCount=${this.#client.workerCount}
      ></kp-run-bar>
      <div class=${age}>${this.#view(state)}</div>
      <kp-take-away
        .message=${this.message}
        @export-asked=${({ detail }: ExportAsked) => void this.#export(detail)}
        @outcomes-brought=${({ detail }: OutcomesBrought) => void this.#bring(detail)}
      ></kp-take-away>
    </section>`;
  }

  static override styles = [
    baseStyles,
    css`
      .title {
        color: var(--muted);
        font-size: var(--small);
      }
      .title strong {
        color: var(--ink);
      }
      .answer {
        max-width: 62ch;
        min-height: 2.5em;
        margin: 0.375rem 0 0;
        font-size: var(--answer);
        font-weight: 500;
        line-height: 1.25;
        letter-spacing: -0.01em;
        font-variant-numeric: tabular-nums;
        text-wrap: pretty;
      }
      .stale,
      .awaited {
        opacity: 0.45;
      }
      /* What is known is heard within a few frames; only a longer wait is worth showing. */
      .awaited {
        transition: opacity 0s 200ms;
      }
      .banner {
        max-width: 80ch;
        margin-top: 0.5rem;
        padding: 0.5rem 0.75rem;
        border: 1px solid var(--edge);
        border-left-width: 4px;
        border-radius: 4px;
        background: var(--panel);
      }
      .banner.over {
        border-color: var(--over);
      }
      .banner.over strong {
        color: var(--over);
      }
      /* As many lines as most answers take, so that pictures stay where they are. */
      @media (max-width: 1400px) {
        .answer {
          min-height: 3.75em;
        }
      }
      @media (max-width: 640px) {
        .answer {
          font-size: 1.3125rem;
        }
      }
    `,
  ];
}

customElements.define('kp-studies', Studies);

declare global {
  interface HTMLElementTagNameMap {
    'kp-studies': Studies;
  }
}
