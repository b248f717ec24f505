// How far a question is answered: progress with the time left, and the button that runs, stops or goes on.
import { css, html, LitElement, nothing } from 'lit';
import { formatFixed } from '../../../../shared/format/numbers.ts';
import type { StudyProgress } from '../../../worker/studyClient.ts';
import { baseStyles, controlStyles } from '../../styles/shared.ts';
import { tellRun } from './questionEvents.ts';

export class RunBar extends LitElement {
  static override properties = {
    progress: { attribute: false },
    isRunning: { type: Boolean },
    workerCount: { type: Number },
  };
  declare progress: StudyProgress | null;
  declare isRunning: boolean;
  declare workerCount: number;

  constructor() {
    super();
    this.progress = null;
    this.isRunning = false;
    this.workerCount = 1;
  }

  #button(progress: StudyProgress) {
    if (this.isRunning) return html`<button @click=${() => tellRun(this, 'stop')}>Cancel</button>`;
    const { doneCount, neededCount } = progress;
    if (doneCount >= neededCount) return nothing;
    return html`<button class="main" @click=${() => tellRun(this, 'run')}>
      ${doneCount === 0 ? `Run ${neededCount} scenarios` : `Resume, ${neededCount - doneCount} to go`}
    </button>`;
  }

  protected override render() {
    const { progress } = this;
    if (progress === null) {
      return html`<div class="line">${this.isRunning ? html`<span class="small muted">starting</span>` : nothing}</div>`;
    }
    const { doneCount, neededCount, timeLeftS } = progress;
    const isComplete = doneCount >= neededCount && !this.isRunning;
    const left = timeLeftS === null ? '' : `, ${timeText(timeLeftS)} left`;
    const workers = this.workerCount === 1 ? '1 worker' : `${this.workerCount} workers`;
    const text = isComplete
      ? `${doneCount} runs, all done`
      : this.isRunning
        ? `${doneCount} of at least ${neededCount} runs on ${workers}${left}`
        : doneCount === 0
          ? 'nothing run yet'
          : `stopped after ${doneCount} of at least ${neededCount} runs; what is done is kept`;
    return html`<div class="line">
      ${
        isComplete
          ? nothing
          : html`<progress max="100" value=${(100 * doneCount) / Math.max(1, neededCount)} aria-label="Runs done"></progress>`
      }
      <span class="small muted figure" role="status">${text}</span>
      ${this.#button(progress)}
    </div>`;
  }

  static override styles = [
    baseStyles,
    controlStyles,
    css`
      .line {
        display: flex;
        flex-wrap: wrap;
        align-items: center;
        gap: 0.25rem 0.75rem;
        min-height: 2rem;
      }
      progress {
        width: 10rem;
        height: 0.375rem;
        appearance: none;
        border: 0;
        border-radius: 3px;
        overflow: hidden;
        background: var(--rule);
      }
      progress::-webkit-progress-bar {
        background: var(--rule);
      }
      progress::-webkit-progress-value {
        background: var(--action);
      }
      progress::-moz-progress-bar {
        background: var(--action);
      }
      button {
        min-height: 1.75rem;
        font-size: var(--small);
      }
      button.main {
        border-color: var(--action);
        color: var(--action);
        font-weight: 600;
      }
    `,
  ];
}

/** Seconds below a minute and a half, then minutes. */
export function timeText(seconds: number): string {
  if (seconds < 1) return 'a moment';
  return seconds < 90 ? `about ${formatFixed(Math.ceil(seconds), 0)} s` : `about ${formatFixed(seconds / 60, 0)} min`;
}

customElements.define('kp-run-bar', RunBar);

declare global {
  interface HTMLElementTagNameMap {
    'kp-run-bar': RunBar;
  }
}
