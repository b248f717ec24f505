// The dialog that opens a claim card: repeats its run in this browser and says whether every figure comes out again.
import { css, html, LitElement, nothing } from 'lit';
import { formatSignificant } from '../../../shared/format/numbers.ts';
import { CLAIM_TOLERANCE_DB } from '../../../shared/reports/compareClaim.ts';
import { formatIssue } from '../../../shared/schema/issue.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import { EngineClient } from '../../worker/client.ts';
import { StudyClient } from '../../worker/studyClient.ts';
import {
  type ClaimOutcome,
  type ClaimVerdict,
  checkClaim,
  type ReadClaim,
  readClaimCard,
} from '../state/claimCheck.ts';
import { baseStyles, controlStyles, tableStyles } from '../styles/shared.ts';

type Shown =
  | { readonly kind: 'none' }
  | { readonly kind: 'refused'; readonly reason: string }
  | { readonly kind: 'running'; readonly reading: ReadClaim }
  | { readonly kind: 'failed'; readonly fault: string }
  | { readonly kind: 'done'; readonly reading: ReadClaim; readonly outcome: ClaimOutcome };

export class ClaimCheck extends LitElement {
  static override properties = { openScenario: { attribute: false }, shown: { state: true } };
  /** Puts a scenario on the bench. */
  declare openScenario: (scenario: Scenario) => void;
  declare shown: Shown;
  readonly #client = new EngineClient();
  readonly #studies = new StudyClient();
  #number = 0;

  constructor() {
    super();
    this.openScenario = () => undefined;
    this.shown = { kind: 'none' };
  }

  get #dialog(): HTMLDialogElement | null {
    return this.renderRoot.querySelector('dialog');
  }

  /** Opens the dialog, with the text of a file when one was dropped on the page. */
  async open(text: string | null): Promise<void> {
    this.shown = { kind: 'none' };
    await this.updateComplete;
    if (this.#dialog?.open === false) this.#dialog.showModal();
    if (text !== null) await this.#check(text);
  }

  async #check(text: string): Promise<void> {
    const number = ++this.#number;
    const reading = readClaimCard(text);
    if (reading.kind === 'other') {
      this.shown = {
        kind: 'refused',
        reason: 'this file is no claim card; choose a file that Export, Claim card, wrote',
      };
      return;
    }
    if (reading.kind === 'damaged') {
      this.shown = { kind: 'refused', reason: `the card is damaged: ${reading.reason}; ask for it again` };
      return;
    }
    this.shown = { kind: 'running', reading };
    try {
      const outcome = await checkClaim(text, reading, this.#client, this.#studies);
      if (number === this.#number) this.shown = { kind: 'done', reading, outcome };
    } catch (error) {
      const fault = error instanceof Error ? error.message : String(error);
      if (number === this.#number) this.shown = { kind: 'failed', fault };
    }
  }

  async #onFile(event: Event): Promise<void> {
    const input = event.target as HTMLInputElement;
    const file = input.files?.[0];
    if (file === undefined) return;
    const text = await file.text();
    input.value = '';
    await this.#check(text);
  }

  #onClose(): void {
    this.#number++;
    this.#client.cancel();
    this.#studies.stop();
  }

  #differences({ differences, prints, digestHolds, repeatedAnswer, isSameVersion }: ClaimVerdict) {
    return html`
      ${
        differences.length === 0
          ? nothing
          : html`<div class="scroll" tabindex="0" role="region" aria-label="Figures that differ">
              <table>
                <caption>Figures that differ</caption>
                <thead>
                  <tr>
                    <th scope="col">Figure</th>
                    <th scope="col">Claimed</th>
                    <th scope="col">Repeated</th>
                  </tr>
                </thead>
                <tbody>
                  ${differences.map(
                    ({ path, claimed, repeated }) => html`<tr>
                      <th scope="row">${path}</th>
                      <td>${figureText(claimed)}</td>
                      <td>${figureText(repeated)}</td>
                    </tr>`,
                  )}
                </tbody>
              </table>
            </div>`
      }
      ${repeatedAnswer === null ? nothing : html`<p>The repeated run answers: ${repeatedAnswer}</p>`}
      ${prints.map(
        ({ after, printed, expected }) =>
          html`<p>After “${after}” the card prints “${printed}”; its own data say “${expected}”.</p>`,
      )}
      ${
        digestHolds
          ? nothing
          : html`<p>The digest does not fit the data inside: they were changed, by accident or on purpose.</p>`
      }
      ${
        isSameVersion
          ? nothing
          : html`<p>The card is of another version: what it prints is not compared, and figures may have moved.</p>`
      }
    `;
  }

  #verdict(verdict: ClaimVerdict) {
    const { holds, figureCount, differences } = verdict;
    const agreeing = figureCount - differences.length;
    return html`<p class="result ${holds ? 'within' : 'over'}" role="status">
        <span aria-hidden="true">${holds ? '✓' : '✕'}</span> ${holds ? 'The claim holds.' : 'The claim does not hold.'}
      </p>
      <p>
        ${agreeing} of ${figureCount} figures of the repeated run agree within ${CLAIM_TOLERANCE_DB} dB or its equivalent.
      </p>
      ${this.#differences(verdict)}
      <p>
        <button
          @click=${() => {
            this.openScenario(verdict.scenario);
            this.#dialog?.close();
          }}
        >
          Put its scenario on the bench
        </button>
      </p>`;
  }

  #body() {
    const { shown } = this;
    switch (shown.kind) {
      case 'none':
        return nothing;
      case 'refused':
        return html`<p class="over" role="alert">✕ ${shown.reason}.</p>`;
      case 'failed':
        return html`<p class="over" role="alert">✕ The repeated run failed. The engine says: ${shown.fault}</p>`;
      case 'running':
        return html`<p class="claim">${shown.reading.claim.report.answer}</p>
          <p class="muted" role="status">Repeating the run.</p>`;
      case 'done':
        return html`<p class="claim">${shown.reading.claim.report.answer}</p>
          ${
            shown.outcome.kind === 'verdict'
              ? this.#verdict(shown.outcome.verdict)
              : shown.outcome.kind === 'invalid'
                ? html`<p class="over">✕ Its scenario is refused:</p>
                    <ul>
                      ${shown.outcome.issues.map((issue) => html`<li>${formatIssue(issue)}</li>`)}
                    </ul>`
                : nothing
          }`;
    }
  }

  protected override render() {
    return html`<dialog aria-labelledby="title" @close=${this.#onClose}>
      <h2 id="title">Check a claim card</h2>
      <p class="condition">
        The card’s scenario is run again here and every figure compared. Nothing leaves this computer. A card may also be
        dropped anywhere on the page.
      </p>
      ${this.#body()}
      <div class="buttons">
        <label class="file">
          <input type="file" accept=".html,text/html" @change=${this.#onFile} />
          <span>Open a claim card</span>
        </label>
        <button class="close" @click=${() => this.#dialog?.close()}>Close</button>
      </div>
    </dialog>`;
  }

  static override styles = [
    baseStyles,
    controlStyles,
    tableStyles,
    css`
      dialog {
        width: min(46rem, calc(100vw - 2rem));
        max-height: calc(100vh - 2rem);
        padding: 1.25rem;
        border: 1px solid var(--edge);
        border-radius: 6px;
        background: var(--paper);
        color: var(--ink);
      }
      dialog::backdrop {
        background: rgb(0 0 0 / 45%);
      }
      dialog > * + * {
        margin-top: 0.625rem;
      }
      .claim {
        font-size: var(--head);
      }
      .result {
        font-size: var(--head);
        font-weight: 600;
      }
      .within {
        color: var(--within);
      }
      .over {
        color: var(--over);
      }
      .scroll {
        max-height: 18rem;
        overflow: auto;
      }
      .buttons {
        display: flex;
        align-items: center;
        gap: 0.75rem;
      }
      .close {
        margin-left: auto;
      }
      .file {
        position: relative;
        display: inline-flex;
        align-items: center;
        min-height: 2rem;
        padding: 0.25rem 0.75rem;
        border: 1px solid var(--edge);
        border-radius: 4px;
        background: var(--panel);
      }
      .file:hover {
        border-color: var(--action);
        color: var(--action);
      }
      .file:focus-within {
        outline: 2px solid var(--action);
        outline-offset: 2px;
      }
      .file input {
        position: absolute;
        inset: 0;
        width: 100%;
        opacity: 0;
        cursor: pointer;
      }
    `,
  ];
}

function figureText(figure: number | null | undefined): string {
  if (figure === undefined) return 'not read';
  return figure === null ? 'no reading' : formatSignificant(figure, 7);
}

customElements.define('kp-claim-check', ClaimCheck);

declare global {
  interface HTMLElementTagNameMap {
    'kp-claim-check': ClaimCheck;
  }
}
