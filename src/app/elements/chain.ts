// The signal chain as one line of text: each block says what it is set to and what passes through it, and opens its
// settings.
import { css, html, LitElement, nothing } from 'lit';
import { formatQuantity, formatSigned, NO_READING } from '../../../shared/format/numbers.ts';
import type { OutputReport, Report } from '../../../shared/schema/report.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import {
  amplifierSentence,
  antennaSentence,
  crestSentence,
  dataSentence,
  observationSentence,
  predistorterSentence,
} from '../format/sentences.ts';
import { BLOCKS, type BlockName } from '../state/appState.ts';
import { baseStyles } from '../styles/shared.ts';
import { tellBlock } from './events.ts';

interface BlockText {
  readonly title: string;
  readonly sentence: (scenario: Scenario) => string;
  readonly average: (report: Report, output: OutputReport) => string;
  readonly peak: (report: Report, output: OutputReport) => string;
}

const ABOVE = (db: number) => formatSigned(db, 'dB');

/** Digital stages have no power of their own: their average is the reference, 0 dB, and the peak is told above it. */
const REFERENCE = () => formatQuantity(0, 'dB', 0);

const TEXTS: Readonly<Record<BlockName, BlockText>> = {
  data: {
    title: 'Data',
    sentence: dataSentence,
    average: REFERENCE,
    peak: ({ peaks }) => ABOVE(peaks.data),
  },
  crest: {
    title: 'Crest factor',
    sentence: crestSentence,
    average: REFERENCE,
    peak: ({ peaks }) => ABOVE(peaks.shaped),
  },
  predistorter: {
    title: 'Predistorter',
    sentence: predistorterSentence,
    average: (_report, { driveMeanDbm }) => (driveMeanDbm === null ? REFERENCE() : formatQuantity(driveMeanDbm, 'dBm')),
    peak: ({ peaks }, { driveMeanDbm, drivePeakDbm }) =>
      driveMeanDbm === null
        ? ABOVE((peaks.drive ?? peaks.uncorrectedDrive).peakToAverageDb)
        : formatQuantity(drivePeakDbm, 'dBm'),
  },
  amplifier: {
    title: 'Amplifier',
    sentence: amplifierSentence,
    average: (_report, { meanPowerDbm, outputBackoffDb }) =>
      meanPowerDbm === null
        ? `output back-off ${formatQuantity(outputBackoffDb, 'dB')}`
        : formatQuantity(meanPowerDbm, 'dBm'),
    peak: (_report, { peakPowerDbm, peakToAverageDb }) =>
      peakPowerDbm === null ? ABOVE(peakToAverageDb) : formatQuantity(peakPowerDbm, 'dBm'),
  },
  antenna: {
    title: 'Antenna port',
    sentence: antennaSentence,
    average: (_report, { antennaMeanDbm }) =>
      antennaMeanDbm === null ? 'no power stated' : formatQuantity(antennaMeanDbm, 'dBm'),
    peak: (_report, { peakToAverageDb }) => ABOVE(peakToAverageDb),
  },
  /** Learning takes the observation at one complex gain: its average is the reference again. */
  observation: {
    title: 'Observation',
    sentence: observationSentence,
    average: ({ scenario }) => (scenario.predistorter === null ? NO_READING : REFERENCE()),
    peak: ({ scenario }, { peakToAverageDb }) => (scenario.predistorter === null ? NO_READING : ABOVE(peakToAverageDb)),
  },
};

export class Chain extends LitElement {
  static override properties = {
    scenario: { attribute: false },
    report: { attribute: false },
    block: {},
    faultyBlocks: { attribute: false },
    isStale: { type: Boolean },
  };
  declare scenario: Scenario | null;
  declare report: Report | null;
  declare block: BlockName;
  /** Blocks that hold a setting the engine refuses. */
  declare faultyBlocks: ReadonlySet<BlockName>;
  /** The figures belong to settings that have changed since. */
  declare isStale: boolean;

  constructor() {
    super();
    this.scenario = null;
    this.report = null;
    this.block = 'amplifier';
    this.faultyBlocks = new Set();
    this.isStale = false;
  }

  #figures(texts: BlockText) {
    const { report } = this;
    if (report === null)
      return html`<span class="figures muted">${this.faultyBlocks.size > 0 ? 'not computed' : 'computing'}</span>`;
    const output = report.correctionUsed && report.corrected !== null ? report.corrected : report.uncorrected;
    return html`<span class="figures figure ${this.isStale ? 'stale' : ''}">
      <span class="muted">average</span> <span>${texts.average(report, output)}</span>
      <span class="muted">peak</span> <span>${texts.peak(report, output)}</span>
    </span>`;
  }

  #block(name: BlockName, index: number) {
    const texts = TEXTS[name];
    const isChosen = name === this.block;
    return html`<li>
      <button aria-pressed=${isChosen} @click=${() => tellBlock(this, name)}>
        <span class="title">
          ${texts.title}${this.faultyBlocks.has(name) ? html`<span class="fault"> ✕ refused</span>` : nothing}
        </span>
        <span class="sentence">${this.scenario === null ? '' : texts.sentence(this.scenario)}</span>
        ${this.#figures(texts)}
      </button>
      ${index === BLOCKS.length - 1 ? nothing : html`<span class="arrow" aria-hidden="true">→</span>`}
    </li>`;
  }

  protected override updated(changed: Map<string, unknown>): void {
    if (!changed.has('block')) return;
    const nav = this.renderRoot.querySelector('nav');
    const chosen = this.renderRoot.querySelector<HTMLElement>('[aria-pressed="true"]');
    if (nav === null || chosen === null) return;
    const { left, right } = chosen.getBoundingClientRect();
    const frame = nav.getBoundingClientRect();
    if (left < frame.left || right > frame.right) nav.scrollLeft += left - frame.left - frame.width / 4;
  }

  protected override render() {
    return html`<nav aria-label="Signal chain">
      <ol>
        ${BLOCKS.map((name, index) => this.#block(name, index))}
      </ol>
    </nav>`;
  }

  static override styles = [
    baseStyles,
    css`
      nav {
        overflow-x: auto;
        scrollbar-width: thin;
      }
      ol {
        display: flex;
        min-width: 62rem;
      }
      li {
        display: flex;
        flex: 1 1 0;
        align-items: flex-start;
        min-width: 0;
      }
      @media (max-width: 640px) {
        ol {
          min-width: 56rem;
        }
      }
      .arrow {
        flex: none;
        padding: 0.625rem 0.75rem 0 0.5rem;
        color: var(--muted);
      }
      button {
        display: grid;
        grid-template-columns: minmax(0, 1fr);
        flex: 1;
        min-width: 0;
        gap: 0.0625rem;
        padding: 0.5rem 0.5rem 0.5rem 0;
        border: 0;
        border-bottom: 3px solid transparent;
        background: none;
        color: inherit;
        font: inherit;
        text-align: left;
        cursor: pointer;
      }
      .title {
        font-weight: 600;
      }
      button:hover .title,
      button[aria-pressed="true"] .title {
        color: var(--action);
      }
      button[aria-pressed="true"] {
        border-bottom-color: var(--action);
      }
      .sentence {
        overflow: hidden;
        color: var(--muted);
        font-size: var(--small);
        text-overflow: ellipsis;
        white-space: nowrap;
      }
      /* A block is as wide as its figures; the sentence takes what width there is. */
      @media (max-width: 640px) {
        li {
          flex: 1 0 auto;
        }
        .sentence {
          width: 0;
          min-width: 100%;
        }
      }
      .figures {
        display: grid;
        grid-template-columns: max-content max-content;
        column-gap: 0.5rem;
        min-height: 2.25rem;
        font-size: var(--small);
        line-height: 1.125rem;
        align-content: start;
      }
      .stale {
        opacity: 0.45;
      }
      .fault {
        color: var(--over);
        font-weight: 400;
        font-size: var(--small);
      }
    `,
  ];
}

customElements.define('kp-chain', Chain);

declare global {
  interface HTMLElementTagNameMap {
    'kp-chain': Chain;
  }
}
