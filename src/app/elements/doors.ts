// The questions, set like a table of contents: in groups under quiet words, two lines on a wide window, a
// line for each on a narrow one; on a phone one list to choose from. The chosen one is answered in the page's middle.
import { css, html, LitElement, nothing } from 'lit';
import { DOOR_GROUPS, DOOR_TEXTS, type Door, type DoorGroup, doorsOf } from '../state/doors.ts';
import { baseStyles, controlStyles } from '../styles/shared.ts';
import { tellDoor } from './events.ts';

export class Doors extends LitElement {
  static override properties = { door: {} };
  declare door: Door;

  constructor() {
    super();
    this.door = 'run';
  }

  protected override updated(): void {
    // The list's options exist only now.
    const list = this.renderRoot.querySelector('select');
    if (list !== null) list.value = this.door;
  }

  #group(group: DoorGroup) {
    return html`<li>
      <span class="group" id=${idOf(group)}>${group}</span>
      <ul aria-labelledby=${idOf(group)}>
        ${doorsOf(group).map(
          (door) => html`<li>
            <button aria-current=${door === this.door ? 'true' : nothing} @click=${() => tellDoor(this, door)}>
              <span>${DOOR_TEXTS[door]}</span>
            </button>
          </li>`,
        )}
      </ul>
    </li>`;
  }

  #list() {
    return html`<label class="list">
      <span class="group">Question</span>
      <select @change=${({ target }: Event) => tellDoor(this, (target as HTMLSelectElement).value as Door)}>
        ${DOOR_GROUPS.map(
          (group) => html`<optgroup label=${group}>
            ${doorsOf(group).map((door) => html`<option value=${door}>${DOOR_TEXTS[door]}</option>`)}
          </optgroup>`,
        )}
      </select>
    </label>`;
  }

  protected override render() {
    return html`<nav aria-label="Questions">
      <ul class="contents">
        ${DOOR_GROUPS.map((group) => this.#group(group))}
      </ul>
      ${this.#list()}
    </nav>`;
  }

  static override styles = [
    baseStyles,
    controlStyles,
    css`
      nav {
        padding: 0.25rem 0;
      }
      .contents {
        display: grid;
        grid-template-columns: repeat(2, max-content) max-content 1fr;
        column-gap: 0.75rem;
        align-items: first baseline;
      }
      .contents > li {
        display: contents;
      }
      .group {
        color: var(--muted);
        font-size: var(--small);
        font-style: italic;
      }
      /* Read down the first column, then down the second. */
      @media (min-width: 1201px) {
        .contents > li:nth-child(odd) > * {
          grid-row: 1;
        }
        .contents > li:nth-child(even) > * {
          grid-row: 2;
        }
        .contents > li:nth-child(n + 3) .group {
          grid-column: 3;
          margin-left: 1.25rem;
        }
      }
      .contents ul {
        display: flex;
        flex-wrap: wrap;
        column-gap: 1.25rem;
      }
      .contents button {
        min-height: 1.75rem;
        padding: 0;
        border: 0;
        border-radius: 0;
        background: none;
        color: var(--ink);
        text-align: left;
      }
      .contents button:hover {
        color: var(--action);
      }
      .contents button[aria-current] {
        color: var(--action);
      }
      .contents button[aria-current] span {
        padding-bottom: 0.125rem;
        border-bottom: 2px solid var(--action);
      }
      .list {
        display: none;
        align-items: center;
        gap: 0.75rem;
      }
      .list select {
        flex: 1;
        min-width: 0;
        min-height: 2.5rem;
        font-weight: 600;
      }
      @media (max-width: 1360px) {
        .contents button {
          font-size: var(--small);
        }
      }
      /* One line for each group: two beside each other would break within a group. */
      @media (max-width: 1200px) {
        .contents {
          grid-template-columns: max-content 1fr;
        }
      }
      @media (max-width: 760px) {
        .contents {
          display: none;
        }
        .list {
          display: flex;
          padding: 0.375rem 0;
        }
      }
    `,
  ];
}

function idOf(group: DoorGroup): string {
  return `group-${group.replaceAll(' ', '-')}`;
}

customElements.define('kp-doors', Doors);

declare global {
  interface HTMLElementTagNameMap {
    'kp-doors': Doors;
  }
}
