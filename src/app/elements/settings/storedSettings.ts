// Settings of stored coefficients: a learned predistorter kept under a name, saved as a file, brought back and used as it
// is.
import { html, nothing } from 'lit';
import { toJson } from '../../../../shared/reports/json.ts';
import { parsePredistorter } from '../../../../shared/schema/parsePredistorter.ts';
import type { PredistorterSettings } from '../../../../shared/schema/scenario.ts';
import { predistorterToKeep } from '../../../../shared/schema/storedPredistorter.ts';
import { fileStem, saveText } from '../../state/downloads.ts';
import { tellEdit } from '../events.ts';
import { fieldOf, listOf, type SettingsContext, textOf } from './context.ts';

const PATH = 'predistorter';
const STORED = `${PATH}.stored`;
const LEVELS = [
  ['drive', 'the digital level'],
  ['analogueGain', 'an analogue gain'],
] as const;

/** What a file holds in place of the predistorter; a file that is none is passed on, so that the engine answers it. */
async function bringIn(input: HTMLInputElement): Promise<void> {
  const text = await input.files?.[0]?.text();
  // The same file may be chosen again after a fault was cured.
  input.value = '';
  if (text === undefined) return;
  tellEdit(input, PATH, readPredistorter(text), false);
}

/** The predistorter of a file's text; what is none is given back as it stands. */
export function readPredistorter(text: string): unknown {
  let data: unknown;
  try {
    data = JSON.parse(text);
  } catch {
    return text.slice(0, 40);
  }
  const outcome = parsePredistorter(data);
  return outcome.kind === 'predistorter' ? outcome.predistorter : data;
}

function fileButton() {
  return html`<input
      id="predistorter-file"
      class="unseen"
      type="file"
      accept=".json"
      aria-label="Predistorter file"
      @change=${({ target }: Event) => void bringIn(target as HTMLInputElement)}
    />
    <button
      @click=${({ target }: Event) => (target as HTMLElement).parentElement?.querySelector('input')?.click()}
    >
      Predistorter file…
    </button>`;
}

function keepButton({ report, draft }: SettingsContext) {
  const kept = report === null ? null : predistorterToKeep(report, draft.title);
  return html`<button
    ?disabled=${kept === null}
    @click=${({ target }: Event) => tellEdit(target as HTMLElement, PATH, kept, false)}
  >
    Keep what was learned
  </button>`;
}

function inUse(context: SettingsContext, predistorter: PredistorterSettings) {
  const { learnedFor, name, passCount } = predistorter.stored ?? {};
  const isWarm = (passCount ?? 0) > 0;
  return html`
    <p class="condition">
      ${isWarm ? 'Learning goes on from these coefficients.' : 'Nothing is learned: these coefficients are used as they are.'}
    </p>
    ${fieldOf(context, `${STORED}.passCount`)}
    ${textOf(context, `${STORED}.name`, 'Stored as')}
    ${textOf(context, `${STORED}.learnedFor`, 'Learned for')}
    ${learnedFor === '' || learnedFor === undefined ? nothing : html`<p class="condition">${learnedFor}</p>`}
    ${fieldOf(context, `${STORED}.levelBy`, { choices: LEVELS })}
    <details class="row">
      <summary>Coefficients and scale</summary>
      ${listOf(context, `${STORED}.coefficients`, 'complex', 'Coefficients', 'in the order of the structure')}
      ${fieldOf(context, `${STORED}.sampleRateHz`, { caption: 'Their sample rate' })}
      ${fieldOf(context, `${STORED}.driveScaleRatio`)} ${fieldOf(context, `${STORED}.kneeAmplitude`)}
    </details>
    <div class="buttons">
      <button
        @click=${() => saveText(`${fileStem(name ?? '')}-predistorter.json`, toJson(predistorter), 'application/json')}
      >
        Save the predistorter
      </button>
      <button @click=${({ target }: Event) => tellEdit(target as HTMLElement, STORED, null, false)}>Learn again</button>
    </div>
  `;
}

export function storedSettings(context: SettingsContext, predistorter: PredistorterSettings) {
  return html`
    <h3>Stored coefficients</h3>
    ${predistorter.stored === null ? html`<div class="buttons">${keepButton(context)} ${fileButton()}</div>` : inUse(context, predistorter)}
  `;
}
