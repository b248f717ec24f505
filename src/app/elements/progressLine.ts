// How far the full run is, and the button that stops it. Takes no room of its own, so that nothing moves.
import { css, html, LitElement } from 'lit';
import { formatFixed } from '../../../shared/format/numbers.ts';
import type { Progress } from '../../../shared/schema/report.ts';
import { baseStyles, controlStyles } from '../styles/shared.ts';
import { tellAction } from './events.ts';

/** A run shorter than this shows no progress: a flash would only distract. */
const PATIENCE_MS = 300;

export class ProgressLine extends LitElement {
  static override properties = { progress: { attribute: false }, isPatient: { state: true } };
  declare progress: Progress | null;
  declare isPatient: boolean;
  #timer = 0;

  constructor() {
    super();
    this.progress = null;
    this.isPatient = true;
  }

  protected override willUpdate(changed: Map<string, unknown>): void {
    if (!changed.has('progress')) return;
    const before = changed.get('progress') as Progress | null | undefined;
    if (this.progress === null) {
      clearTimeout(this.#timer);
      this.isPatient = true;
    } else if (before === null || before === undefined) {
      this.#timer = window.setTimeout(() => {
        this.isPatient = false;
      }, PATIENCE_MS);
    }
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    clearTimeout(this.#timer);
  }

  protected override render() {
    const { progress } = this;
    if (progress === null || this.isPatient) return html`<div class="line"></div>`;
    const percent = 100 * progress.doneRatio;
    return html`<div class="line">
      <progress max="100" value=${percent} aria-label="Full record"></progress>
      <span class="small muted">Full record: ${progress.label.toLowerCase()}, ${formatFixed(percent, 0)} %</span>
      <button class="plain small" @click=${() => tellAction(this, 'cancel')}>Cancel</button>
    </div>`;
  }

  static override styles = [
    baseStyles,
    controlStyles,
    css`
      .line {
        display: flex;
        align-items: center;
        gap: 0.75rem;
        height: 1.75rem;
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
    `,
  ];
}

customElements.define('kp-progress-line', ProgressLine);

declare global {
  interface HTMLElementTagNameMap {
    'kp-progress-line': ProgressLine;
  }
}
