// The page's first line: name, scenario, steps back and forward, what can be exported.
import { css, html, LitElement } from 'lit';
import { presetNames, presets } from '../../../shared/presets/index.ts';
import { baseStyles, controlStyles } from '../styles/shared.ts';
import { type ActionName, tellAction, tellPreset } from './events.ts';

const EXPORTS: readonly (readonly [ActionName, string, string])[] = [
  ['copy-link', 'Copy a link', 'The address holds the whole scenario.'],
  ['save-scenario', 'Scenario', 'JSON, for the command line and for colleagues'],
  ['save-readings', 'Readings', 'JSON, all figures at full precision'],
  ['save-spectrum-table', 'Spectrum', 'CSV, one row a bin'],
  ['save-spectrum-figure', 'Emission plot', 'SVG, for reports'],
  ['save-report', 'Report', 'One HTML file with pictures; it prints.'],
  ['save-claim', 'Claim card', 'HTML that can be checked by running it again'],
  ['save-check-list', 'Lab check list', 'HTML to print: settings and expected readings'],
  ['open-claim', 'Check a claim card', 'Or drop one on the page.'],
];

export class Header extends LitElement {
  static override properties = {
    origin: {},
    isEdited: { type: Boolean },
    canUndo: { type: Boolean },
    canRedo: { type: Boolean },
    message: {},
  };
  declare origin: string;
  declare isEdited: boolean;
  declare canUndo: boolean;
  declare canRedo: boolean;
  /** Short word on the last export, such as "link copied". */
  declare message: string;

  constructor() {
    super();
    this.origin = '';
    this.isEdited = false;
    this.canUndo = false;
    this.canRedo = false;
    this.message = '';
  }

  #scenarioChoice() {
    const isPreset = presetNames.includes(this.origin) && !this.isEdited;
    const own = this.isEdited ? 'edited' : this.origin === 'link' ? 'from a link' : 'from a file';
    return html`<span class="scenario">
      <label class="muted" for="scenario">Scenario</label>
      <select
        id="scenario"
        @change=${(event: Event) => {
          const { value } = event.target as HTMLSelectElement;
          if (value !== '') tellPreset(this, value);
        }}
      >
        ${isPreset ? '' : html`<option value="" selected>${own}</option>`}
        ${presetNames.map(
          (name) =>
            html`<option value=${name} ?selected=${isPreset && name === this.origin}>${presets[name]?.title ?? name}</option>`,
        )}
      </select>
    </span>`;
  }

  #action(name: ActionName, text: string, isDisabled = false) {
    return html`<button class="plain" ?disabled=${isDisabled} @click=${() => tellAction(this, name)}>${text}</button>`;
  }

  #closeMenu(event: Event): void {
    (event.currentTarget as HTMLElement).closest('details')?.removeAttribute('open');
  }

  #menu() {
    return html`<details
      class="menu"
      @keydown=${(event: KeyboardEvent) => {
        if (event.key === 'Escape') (event.currentTarget as HTMLDetailsElement).open = false;
      }}
      @focusout=${(event: FocusEvent) => {
        const menu = event.currentTarget as HTMLDetailsElement;
        if (event.relatedTarget !== null && !menu.contains(event.relatedTarget as Node)) menu.open = false;
      }}
    >
      <summary>Export</summary>
      <ul>
        ${EXPORTS.map(
          ([name, text, note]) => html`<li>
            <button
              @click=${(event: Event) => {
                this.#closeMenu(event);
                tellAction(this, name);
              }}
            >
              <span>${text}</span><span class="muted small">${note}</span>
            </button>
          </li>`,
        )}
      </ul>
    </details>`;
  }

  protected override render() {
    return html`<header>
      <h1>
        <svg viewBox="0 0 24 24" aria-hidden="true">
          <path d="M3 21 12 9Q14 6.500 21 6" />
          <circle cx="12.500" cy="8.500" r="2.750" />
        </svg>
        Kneepoint
      </h1>
      ${this.#scenarioChoice()}
      <div class="actions">
        ${this.#action('undo', 'Undo', !this.canUndo)} ${this.#action('redo', 'Redo', !this.canRedo)}
        ${this.#action('reset', 'Reset', !this.isEdited)} ${this.#action('open-text', 'As text')}
      </div>
      <span class="message small muted" role="status">${this.message}</span>
      ${this.#menu()}
    </header>`;
  }

  static override styles = [
    baseStyles,
    controlStyles,
    css`
      header {
        display: flex;
        flex-wrap: wrap;
        align-items: center;
        gap: 0.25rem 1.25rem;
        min-height: 3rem;
      }
      h1 {
        display: flex;
        align-items: center;
        gap: 0.5rem;
        margin: 0;
        font-size: var(--head);
        font-weight: 650;
        letter-spacing: -0.01em;
      }
      h1 svg {
        width: 1.375rem;
        height: 1.375rem;
      }
      h1 path {
        fill: none;
        stroke: var(--trace-corrected);
        stroke-width: 2.5;
        stroke-linecap: round;
      }
      h1 circle {
        fill: var(--trace-uncorrected);
      }
      .scenario {
        display: inline-flex;
        align-items: center;
        gap: 0.5rem;
        font-size: var(--small);
      }
      .scenario select {
        min-width: 9rem;
        font-size: var(--body);
        font-weight: 600;
      }
      .actions {
        display: flex;
        flex-wrap: wrap;
      }
      .message {
        flex: 1;
        text-align: right;
      }
      .menu {
        position: relative;
      }
      summary {
        display: flex;
        align-items: center;
        min-height: 2rem;
        padding: 0.25rem 0.75rem;
        border: 1px solid var(--edge);
        border-radius: 4px;
        background: var(--panel);
        cursor: pointer;
        list-style: none;
      }
      summary::-webkit-details-marker {
        display: none;
      }
      summary::after {
        content: "";
        width: 0.375rem;
        height: 0.375rem;
        margin: -0.25rem 0 0 0.5rem;
        border: solid currentColor;
        border-width: 0 1.5px 1.5px 0;
        transform: rotate(45deg);
      }
      summary:hover {
        border-color: var(--action);
        color: var(--action);
      }
      .menu ul {
        position: absolute;
        z-index: 3;
        top: calc(100% + 4px);
        right: 0;
        width: 19rem;
        padding: 0.25rem;
        border: 1px solid var(--edge);
        border-radius: 4px;
        background: var(--panel);
      }
      .menu li button {
        display: grid;
        width: 100%;
        padding: 0.375rem 0.5rem;
        border: 0;
        text-align: left;
      }
      .menu li button:hover {
        background: var(--action-wash);
      }
      @media (max-width: 640px) {
        header {
          gap: 0.25rem 0.5rem;
          padding-bottom: 0.375rem;
        }
        .actions .plain {
          padding: 0.125rem 0.25rem;
          font-size: var(--small);
        }
        .scenario .muted {
          display: none;
        }
        .message {
          flex: 0 1 auto;
        }
        .menu ul {
          right: auto;
          left: 0;
        }
      }
    `,
  ];
}

customElements.define('kp-header', Header);

declare global {
  interface HTMLElementTagNameMap {
    'kp-header': Header;
  }
}
