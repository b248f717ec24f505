// The questions as one line of text: the chosen one is answered in the page's middle.
import { css, html, LitElement, nothing } from 'lit';
import { DOOR_TEXTS, DOORS, type Door } from '../state/doors.ts';
import { baseStyles } from '../styles/shared.ts';
import { tellDoor } from './events.ts';

export class Doors extends LitElement {
  static override properties = { door: {} };
  declare door: Door;

  constructor() {
    super();
    this.door = 'run';
  }

  protected override updated(): void {
    const nav = this.renderRoot.querySelector('nav');
    const chosen = this.renderRoot.querySelector<HTMLElement>('[aria-current]');
    if (nav !== null && chosen !== null) nav.scrollLeft = chosen.offsetLeft - nav.offsetLeft - nav.clientWidth / 4;
  }

  protected override render() {
    return html`<nav aria-label="Questions">
      <ul>
        ${DOORS.map(
          (door) => html`<li>
            <button aria-current=${door === this.door ? 'true' : nothing} @click=${() => tellDoor(this, door)}>${DOOR_TEXTS[door]}</button>
          </li>`,
        )}
      </ul>
    </nav>`;
  }

  static override styles = [
    baseStyles,
    css`
      nav {
        overflow-x: auto;
        scrollbar-width: none;
      }
      ul {
        display: flex;
        gap: 0.25rem 1.5rem;
        min-width: max-content;
      }
      button {
        min-height: 2.25rem;
        padding: 0.25rem 0;
        border: 0;
        border-bottom: 3px solid transparent;
        background: none;
        color: var(--muted);
        font: inherit;
        cursor: pointer;
      }
      @media (max-width: 1180px) {
        ul {
          column-gap: 1.125rem;
        }
        button {
          font-size: var(--small);
        }
      }
      button:hover {
        color: var(--action);
      }
      button[aria-current] {
        border-bottom-color: var(--action);
        color: var(--ink);
        font-weight: 600;
      }
    `,
  ];
}

customElements.define('kp-doors', Doors);

declare global {
  interface HTMLElementTagNameMap {
    'kp-doors': Doors;
  }
}
