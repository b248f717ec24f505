// Choosing a set of limits: the rule of a standard for one class. Only sets that fit the carriers can be applied; the others
// say why they do not. Applying writes plain limits and the rule of the channels, in one step.
import { css, html, LitElement, nothing } from 'lit';
import { limitName } from '../../../../shared/format/limitText.ts';
import { formatIssue } from '../../../../shared/schema/issue.ts';
import type { WaveformReport } from '../../../../shared/schema/report.ts';
import type { Scenario } from '../../../../shared/schema/scenario.ts';
import { limitSetFor, limitSets } from '../../../../shared/tables/limitSets.ts';
import { type LimitSet, limitSubjectOf, type SetLimits } from '../../../../shared/tables/limitSubject.ts';
import { baseStyles, controlStyles } from '../../styles/shared.ts';
import { tellEdit } from '../events.ts';

export interface FittingSet {
  readonly set: LimitSet;
  readonly made: SetLimits;
}

export interface SetsOffered {
  readonly fitting: readonly FittingSet[];
  readonly others: readonly { readonly set: LimitSet; readonly reason: string }[];
}

/** Every set against the carriers of a scenario: what it would write, or the first reason why it does not fit. */
export function setsFor(scenario: Scenario, placed: WaveformReport['carriers']): SetsOffered {
  const subject = limitSubjectOf(scenario, placed);
  const fitting: FittingSet[] = [];
  const others: { set: LimitSet; reason: string }[] = [];
  for (const set of limitSets) {
    const outcome = limitSetFor(set.id, subject);
    if (outcome.kind === 'limits') fitting.push({ set, made: outcome });
    else others.push({ set, reason: outcome.issues[0] === undefined ? '' : formatIssue(outcome.issues[0]) });
  }
  return { fitting, others };
}

/** The scenario with a set's limits and channels. */
export function withSet(scenario: Scenario, { limits, channels }: SetLimits): Scenario {
  return { ...scenario, limits: [...limits], measurement: { ...scenario.measurement, channels } };
}

/** How the set's tables came here, in a word. */
export function statusOf({ limits }: SetLimits): 'read' | 'recalled' | 'partly recalled' {
  if (limits.every(({ status }) => status === 'read')) return 'read';
  return limits.every(({ status }) => status === 'recalled') ? 'recalled' : 'partly recalled';
}

/** Titles read "NR base station, Medium Range": the first part with the standard heads the group. */
const groupOf = ({ standard, title }: LimitSet) => `${standard}, ${title.split(', ')[0]}`;
const classOf = ({ title }: LimitSet) => title.split(', ').slice(1).join(', ') || title;

export class LimitSetChooser extends LitElement {
  static override properties = {
    scenario: { attribute: false },
    placed: { attribute: false },
    chosen: { state: true },
  };
  declare scenario: Scenario | null;
  /** The carriers as the last result placed them; null before the first. */
  declare placed: WaveformReport['carriers'] | null;
  declare chosen: string;
  #offered: SetsOffered = { fitting: [], others: [] };

  constructor() {
    super();
    this.scenario = null;
    this.placed = null;
    this.chosen = '';
  }

  protected override willUpdate(): void {
    const { scenario, placed } = this;
    // While a carrier is being added or removed, the last result is of other carriers.
    if (scenario === null || placed === null || placed.length !== scenario.waveform.carriers.length) return;
    this.#offered = setsFor(scenario, placed);
    if (!this.#offered.fitting.some(({ set }) => set.id === this.chosen)) this.chosen = '';
  }

  #groups() {
    const groups = [...new Set(this.#offered.fitting.map(({ set }) => groupOf(set)))];
    return groups.map(
      (group) => html`<optgroup label=${group}>
        ${this.#offered.fitting
          .filter(({ set }) => groupOf(set) === group)
          .map(
            ({ set, made }) => html`<option value=${set.id} ?selected=${set.id === this.chosen}>
              ${classOf(set)} (${statusOf(made)})
            </option>`,
          )}
      </optgroup>`,
    );
  }

  #preview({ made }: FittingSet) {
    const { scenario } = this;
    const count = scenario?.limits.length ?? 0;
    const replaced = count === 0 ? '' : `, in place of the ${count === 1 ? 'limit' : `${count} limits`} below`;
    return html`<p class="condition">Not applied yet. It holds:</p>
      <ul class="small">
        ${made.limits.map(
          (limit) => html`<li>
            ${limitName(limit)} <span class="muted">${limit.status}</span>
          </li>`,
        )}
      </ul>
      ${made.notes.map((note) => html`<p class="condition">${note}</p>`)}
      <p class="condition">Written from the tables named; check the current text.</p>
      <button
        class="wide"
        @click=${() => {
          if (scenario === null) return;
          tellEdit(this, '', withSet(scenario, made), false);
          this.chosen = '';
          this.renderRoot.querySelector('select')?.focus();
        }}
      >
        Apply the set${replaced}
      </button>`;
  }

  #unfit() {
    const { others } = this.#offered;
    if (others.length === 0) return nothing;
    return html`<details>
      <summary>${others.length} sets do not fit: why</summary>
      <dl>
        ${others.map(({ set, reason }) => html`<dt>${set.title}</dt><dd class="condition">${reason}</dd>`)}
      </dl>
    </details>`;
  }

  protected override render() {
    const { fitting } = this.#offered;
    const chosen = fitting.find(({ set }) => set.id === this.chosen);
    return html`<label for="set">Set of a standard</label>
      <select
        id="set"
        ?disabled=${fitting.length === 0}
        @change=${(event: Event) => {
          this.chosen = (event.target as HTMLSelectElement).value;
        }}
      >
        <option value="" ?selected=${this.chosen === ''}>${fitting.length === 0 ? 'none fits these carriers' : 'choose'}</option>
        ${this.#groups()}
      </select>
      ${chosen === undefined ? nothing : this.#preview(chosen)} ${this.#unfit()}`;
  }

  static override styles = [
    baseStyles,
    controlStyles,
    css`
      :host {
        padding: 0.1875rem 0 0.5rem;
      }
      select,
      .wide {
        width: 100%;
        margin-top: 0.125rem;
      }
      .wide {
        margin-top: 0.375rem;
      }
      ul {
        margin: 0.375rem 0;
      }
      li {
        display: flex;
        justify-content: space-between;
        gap: 0.5rem;
        padding: 0.125rem 0;
        border-bottom: 1px solid var(--rule);
      }
      .condition + .condition {
        margin-top: 0.25rem;
      }
      details {
        margin-top: 0.375rem;
      }
      summary {
        width: fit-content;
        color: var(--action);
        cursor: pointer;
        font-size: var(--small);
      }
      dt {
        margin-top: 0.375rem;
        font-size: var(--small);
      }
      dd {
        overflow-wrap: anywhere;
      }
    `,
  ];
}

customElements.define('kp-limit-set-chooser', LimitSetChooser);

declare global {
  interface HTMLElementTagNameMap {
    'kp-limit-set-chooser': LimitSetChooser;
  }
}
