// A short piece of a trace's line, in its colour and dash.
import { css, html, LitElement, svg } from 'lit';
import type { TraceStyle } from '../charts/traceStyles.ts';
import { baseStyles } from '../styles/shared.ts';

export class Swatch extends LitElement {
  static override properties = { trace: { attribute: false } };
  declare trace: TraceStyle | null;

  constructor() {
    super();
    this.trace = null;
  }

  protected override updated(): void {
    // The policy of the page forbids style attributes; properties may be set.
    this.style.setProperty('color', `var(${this.trace?.variable ?? '--ink'})`);
  }

  protected override render() {
    const dash = this.trace?.dash.join(' ') ?? '';
    return html`<svg viewBox="0 0 24 8" aria-hidden="true">
      ${svg`<line x1="0" x2="24" y1="4" y2="4" stroke="currentColor" stroke-width="2" stroke-dasharray=${dash} />`}
    </svg>`;
  }

  static override styles = [
    baseStyles,
    css`
      :host {
        display: inline-block;
        flex: none;
        width: 1.5rem;
        height: 0.5rem;
      }
      svg {
        display: block;
        width: 100%;
        height: 100%;
      }
    `,
  ];
}

customElements.define('kp-swatch', Swatch);

declare global {
  interface HTMLElementTagNameMap {
    'kp-swatch': Swatch;
  }
}
