// An amplifier of the literature: which, its formula, its source with the mark read or from memory, how far it may be
// driven, and its parameters where they are the user's.
import { html, nothing } from 'lit';
import { driveRangeText, outputBoundText } from '../../../../shared/format/amplifierText.ts';
import { formatEngineering } from '../../../../shared/format/numbers.ts';
import type { AmplifierModelSettings } from '../../../../shared/schema/scenario.ts';
import {
  type LiteratureEntry,
  type LiteratureKind,
  literatureCurves,
  publishedLiterature,
} from '../../../../shared/tables/amplifierLiterature.ts';
import { publishedAmplifierIds } from '../../../../shared/tables/publishedAmplifierIds.ts';
import { tellEdit } from '../events.ts';
import { fieldOf, type SettingsContext } from '../settings/context.ts';
import { type Kind, MODEL_PATH } from './origins.ts';

/** What a curve begins with where the schema leaves it open. */
const STARTS: Readonly<Record<LiteratureKind, Readonly<Record<string, unknown>>>> = {
  saleh: {},
  rapp: { kneeSharpness: 2 },
  modifiedRapp: { kneeSharpness: 2, alphaPhaseDeg: -20 },
  ghorbani: {},
};

/** Parameters of each curve, as the schema names them. */
const FIELDS: Readonly<Record<LiteratureKind, readonly string[]>> = {
  saleh: ['alphaAmplitude', 'betaAmplitude', 'alphaPhaseRad', 'betaPhase'],
  rapp: ['kneeSharpness', 'gainRatio', 'saturatedAmplitude'],
  modifiedRapp: [
    'kneeSharpness',
    'gainRatio',
    'saturatedAmplitude',
    'alphaPhaseDeg',
    'betaPhase',
    'phaseOrder',
    'phaseSaturationOrder',
  ],
  ghorbani: ['x1', 'x2', 'x3', 'x4', 'y1', 'y2', 'y3', 'y4'],
};

const KINDS = Object.keys(literatureCurves) as LiteratureKind[];

function isCurve(kind: Kind): kind is LiteratureKind {
  return Object.hasOwn(literatureCurves, kind);
}

function entryOf(model: AmplifierModelSettings): LiteratureEntry | null {
  if (model.kind === 'published') return publishedLiterature(model.id);
  return isCurve(model.kind) ? literatureCurves[model.kind] : null;
}

const PUBLISHED = 'published:';

function onModel(event: Event): void {
  const select = event.target as HTMLSelectElement;
  const { value } = select;
  const kind = value as LiteratureKind;
  const model = value.startsWith(PUBLISHED)
    ? { kind: 'published', id: value.slice(PUBLISHED.length) }
    : { kind, ...STARTS[kind] };
  tellEdit(select, MODEL_PATH, model, false);
}

function chooser(model: AmplifierModelSettings) {
  return html`<div class="stack">
    <label for="model">Model</label>
    <select id="model" @change=${onModel}>
      <optgroup label="Curves, with parameters of your own">
        ${KINDS.map(
          (kind) =>
            html`<option value=${kind} ?selected=${model.kind === kind}>${literatureCurves[kind].name}</option>`,
        )}
      </optgroup>
      <optgroup label="Published, as printed">
        ${publishedAmplifierIds.map(
          (id) =>
            html`<option value="${PUBLISHED}${id}" ?selected=${model.kind === 'published' && model.id === id}>
              ${publishedLiterature(id)?.name ?? id}
            </option>`,
        )}
      </optgroup>
    </select>
  </div>`;
}

function isShown({ resolved }: SettingsContext, model: AmplifierModelSettings): boolean {
  const shown = resolved?.amplifier.model;
  if (shown?.kind !== model.kind) return false;
  return shown.kind !== 'published' || model.kind !== 'published' || shown.id === model.id;
}

/** Formula, source, mark, and what the last result of this model says of its range. */
function facts(context: SettingsContext, model: AmplifierModelSettings, entry: LiteratureEntry) {
  const amplifier = isShown(context, model) ? context.amplifier : null;
  const note = entry.note === '' ? '' : `: ${entry.note}`;
  return html`<p class="formula">${entry.formulas.map((formula) => html`<span>${formula}</span>`)}</p>
    <dl class="facts">
      <div>
        <dt>Source</dt>
        <dd>${entry.source}</dd>
      </div>
      <div>
        <dt>Values</dt>
        <dd><strong>${entry.status}</strong>${note}</dd>
      </div>
      ${
        amplifier === null
          ? nothing
          : html`<div>
                <dt>Drive</dt>
                <dd>${driveRangeText(amplifier.driveRange)}</dd>
              </div>
              <div>
                <dt>Output</dt>
                <dd>${outputBoundText(amplifier.outputBoundDb)}</dd>
              </div>
              <div>
                <dt>Rate</dt>
                <dd>
                  ${
                    amplifier.modelRateHz === null
                      ? 'holds at any rate'
                      : `taps at ${formatEngineering(amplifier.modelRateHz, 'Hz', 5)}`
                  }
                </dd>
              </div>`
      }
    </dl>`;
}

export function literatureRows(context: SettingsContext, model: AmplifierModelSettings) {
  const entry = entryOf(model);
  const { kind } = model;
  return html`${chooser(model)} ${entry === null ? nothing : facts(context, model, entry)}
    ${isCurve(kind) ? FIELDS[kind].map((field) => fieldOf(context, `${MODEL_PATH}.${field}`)) : nothing}`;
}
