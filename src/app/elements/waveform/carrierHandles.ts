// Carriers as handles on the emission plot: dragged, or moved with the arrow keys. Tells edits of the offset only, live
// while the hand is on, and once when it lets go; the rows hold the same figures as numbers.
import { css, html, LitElement, nothing } from 'lit';
import { formatOffset } from '../../../../shared/format/numbers.ts';
import type { Issue } from '../../../../shared/schema/issue.ts';
import type { CarrierSettings } from '../../../../shared/schema/scenario.ts';
import type { PlotArea } from '../../charts/spectrumPlot.ts';
import { baseStyles } from '../../styles/shared.ts';
import { tellCarrier, tellEdit } from '../events.ts';
import { channelWidthHz, onRaster, rasterHz } from './carrierPlaces.ts';
import { handleRows, moveByKey } from './handleMoves.ts';

/** True while a carrier is being dragged: the axis must stand still under the hand. */
export type DragChanged = CustomEvent<boolean>;

interface Drag {
  readonly index: number;
  readonly startX: number;
  readonly startHz: number;
  /** Where the carrier is now. */
  nowHz: number;
}

/** Handles nearer than this, in CSS pixels, stand in rows above one another. */
const HANDLE_ROOM = 30;

export class CarrierHandles extends LitElement {
  static override properties = {
    carriers: { attribute: false },
    widthsHz: { attribute: false },
    issues: { attribute: false },
    chosen: { attribute: false },
    area: { attribute: false },
    moving: { state: true },
  };
  /** Of the draft. */
  declare carriers: readonly CarrierSettings[];
  /** Channel widths as the last result has them, for kinds that do not tell theirs. */
  declare widthsHz: readonly number[];
  declare issues: readonly Issue[];
  declare chosen: number | null;
  declare area: PlotArea | null;
  /** The carrier under the hand, or null. */
  declare moving: number | null;
  #drag: Drag | null = null;
  /** The carrier the keys have moved and not let go of. */
  #keyed: number | null = null;

  constructor() {
    super();
    this.carriers = [];
    this.widthsHz = [];
    this.issues = [];
    this.chosen = null;
    this.area = null;
    this.moving = null;
  }

  #tell(index: number, offsetHz: number, live: boolean): void {
    tellEdit(this, `waveform.carriers.${index}.offsetHz`, offsetHz, live);
  }

  #setDragging(index: number | null): void {
    this.moving = index;
    this.dispatchEvent(new CustomEvent('drag-changed', { detail: index !== null }) satisfies DragChanged);
  }

  #onDown(event: PointerEvent, index: number): void {
    const carrier = this.carriers[index];
    if (event.button !== 0 || carrier === undefined) return;
    const handle = event.currentTarget as HTMLElement;
    handle.setPointerCapture(event.pointerId);
    handle.focus();
    event.preventDefault();
    this.#drag = { index, startX: event.clientX, startHz: carrier.offsetHz, nowHz: carrier.offsetHz };
    this.#setDragging(index);
  }

  #onMove(event: PointerEvent): void {
    const { area } = this;
    const drag = this.#drag;
    const carrier = drag === null ? undefined : this.carriers[drag.index];
    if (drag === null || area === null || carrier === undefined) return;
    const movedHz = ((event.clientX - drag.startX) / area.width) * (area.toHz - area.fromHz);
    const wantedHz = Math.min(area.toHz, Math.max(area.fromHz, drag.startHz + movedHz));
    const offsetHz = onRaster(wantedHz, rasterHz(carrier));
    if (offsetHz === drag.nowHz) return;
    drag.nowHz = offsetHz;
    this.#tell(drag.index, offsetHz, true);
  }

  /** Lets go where the carrier is, or, when the drag is given up, where it was. */
  #endDrag(isKept: boolean): void {
    const drag = this.#drag;
    if (drag === null) return;
    this.#drag = null;
    this.#setDragging(null);
    if (drag.nowHz !== drag.startHz) this.#tell(drag.index, isKept ? drag.nowHz : drag.startHz, false);
  }

  #onKey(event: KeyboardEvent, index: number): void {
    if (event.key === 'Escape') this.#endDrag(false);
    const carrier = this.carriers[index];
    if (carrier === undefined) return;
    const offsetHz = moveByKey(event, carrier.offsetHz, rasterHz(carrier));
    if (offsetHz === null) return;
    event.preventDefault();
    this.#keyed = index;
    this.#tell(index, offsetHz, true);
  }

  #endKeys(): void {
    const index = this.#keyed;
    this.#keyed = null;
    const carrier = index === null ? undefined : this.carriers[index];
    if (index !== null && carrier !== undefined) this.#tell(index, carrier.offsetHz, false);
  }

  #widthHz(carrier: CarrierSettings, index: number): number {
    return carrier.kind === 'record' ? (this.widthsHz[index] ?? channelWidthHz(carrier)) : channelWidthHz(carrier);
  }

  #isRefused(index: number): boolean {
    return this.issues.some(({ path }) => path.startsWith(`waveform.carriers.${index}.`));
  }

  #handle(area: PlotArea, carrier: CarrierSettings, index: number, row: number) {
    const pixels = (hz: number) => (hz / (area.toHz - area.fromHz)) * area.width;
    const at = pixels(carrier.offsetHz - area.fromHz);
    const width = pixels(this.#widthHz(carrier, index));
    if (at < 0 || at > area.width) return nothing;
    const isActive = index === this.moving || index === this.chosen;
    const isRefused = this.#isRefused(index);
    const offset = formatOffset(carrier.offsetHz);
    return html`
      <span
        class="band ${isActive ? 'active' : ''} ${isRefused ? 'refused' : ''}"
        .style=${`left: ${at - width / 2}px; width: ${width}px`}
      ></span>
      <button
        class="${isActive ? 'active' : ''} ${isRefused ? 'refused' : ''}"
        .style=${`left: ${at}px; bottom: ${0.375 + 1.875 * row}rem`}
        role="slider"
        aria-label="Carrier ${index + 1}, offset ${offset}"
        aria-orientation="horizontal"
        aria-valuemin=${area.fromHz / 1e6}
        aria-valuemax=${area.toHz / 1e6}
        aria-valuenow=${carrier.offsetHz / 1e6}
        aria-valuetext=${isRefused ? `${offset}, refused` : offset}
        @pointerdown=${(event: PointerEvent) => this.#onDown(event, index)}
        @pointermove=${this.#onMove}
        @pointerup=${() => this.#endDrag(true)}
        @pointercancel=${() => this.#endDrag(false)}
        @keydown=${(event: KeyboardEvent) => this.#onKey(event, index)}
        @keyup=${this.#endKeys}
        @blur=${this.#endKeys}
        @focus=${() => tellCarrier(this, index)}
      >
        ${isRefused ? '✕ ' : ''}${index + 1}
        <span class="offset">${offset}${isRefused ? ' refused' : ''}</span>
      </button>
    `;
  }

  protected override render() {
    const { area, carriers } = this;
    if (area === null) return nothing;
    const scale = area.width / (area.toHz - area.fromHz);
    const rows = handleRows(
      carriers.map(({ offsetHz }) => offsetHz * scale),
      HANDLE_ROOM,
    );
    const { left, top, width, height } = area;
    // As a property: the page's policy forbids style attributes.
    const box = `left: ${left}px; top: ${top}px; width: ${width}px; height: ${height}px`;
    return html`<div class="area" role="group" aria-label="Carriers, moved along the offset" .style=${box}>
      ${carriers.map((carrier, index) => this.#handle(area, carrier, index, rows[index] ?? 0))}
    </div>`;
  }

  static override styles = [
    baseStyles,
    css`
      :host {
        position: absolute;
        inset: 0;
        overflow: clip;
        pointer-events: none;
      }
      .area {
        position: absolute;
      }
      .band {
        position: absolute;
        top: 0;
        bottom: 0;
        color: var(--action);
      }
      .band.refused {
        color: var(--over);
      }
      .band::after {
        content: "";
        position: absolute;
        inset: auto 0 0;
        height: 4px;
        background: currentColor;
        opacity: 0.55;
      }
      .band.active::after {
        opacity: 1;
      }
      .band.active::before {
        content: "";
        position: absolute;
        inset: 0;
        background: currentColor;
        opacity: 0.07;
      }
      button {
        position: absolute;
        min-width: 1.625rem;
        height: 1.625rem;
        padding: 0 0.375rem;
        transform: translateX(-50%);
        border: 1px solid var(--action);
        border-radius: 4px;
        background: var(--panel);
        color: var(--action);
        font: 600 var(--small) / 1 var(--sans);
        font-variant-numeric: tabular-nums;
        white-space: nowrap;
        cursor: ew-resize;
        pointer-events: auto;
        touch-action: pan-y;
        user-select: none;
      }
      button.active,
      button:hover {
        z-index: 1;
        background: var(--action);
        color: var(--panel);
      }
      button.refused {
        border-color: var(--over);
        color: var(--over);
      }
      button.refused.active,
      button.refused:hover {
        background: var(--over);
        color: var(--panel);
      }
      /* Above the handle, so that it does not grow over its neighbours. */
      .offset {
        position: absolute;
        bottom: calc(100% + 3px);
        left: 50%;
        visibility: hidden;
        padding: 0.1875rem 0.375rem;
        transform: translateX(-50%);
        border-radius: 4px;
        background: var(--paper);
        color: var(--action);
        pointer-events: none;
      }
      button.refused .offset {
        color: var(--over);
      }
      button.active .offset,
      button:hover .offset {
        visibility: visible;
      }
      button:focus-visible {
        outline-offset: 2px;
      }
    `,
  ];
}

customElements.define('kp-carrier-handles', CarrierHandles);

declare global {
  interface HTMLElementTagNameMap {
    'kp-carrier-handles': CarrierHandles;
  }
}
