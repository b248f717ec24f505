// The record a carrier is made of: which of those brought in, or files to bring in now. After a reload the scenario names
// a record that is no longer here; then this says so and asks for it.
import { html, nothing } from 'lit';
import { formatCount, formatEngineering } from '../../../../shared/format/numbers.ts';
import type { RecordCarrierSettings } from '../../../../shared/schema/scenario.ts';
import type { RecordFacts } from '../../../worker/client.ts';
import { tellEdit, tellRecordFiles } from '../events.ts';
import type { SettingsContext } from '../settings/context.ts';

const ACCEPTED = '.sigmf-meta,.sigmf-data,.csv,.txt';
const DIGEST_FIGURES = 12;

/** Files for the carrier at an index, or for the waveform as a whole. */
export function fileButton(text: string, carrierIndex: number | null) {
  return html`<label class="files">
    <input
      class="unseen"
      type="file"
      multiple
      accept=${ACCEPTED}
      @change=${(event: Event) => {
        const input = event.target as HTMLInputElement;
        const files = [...(input.files ?? [])];
        // The same files may be chosen again after a fault was cured.
        input.value = '';
        if (files.length > 0) tellRecordFiles(input, files, carrierIndex);
      }}
    />
    <span>${text}</span>
  </label>`;
}

function factsLine({ sampleCount, sampleRateHz, sha512, notes }: RecordFacts) {
  const digest = sha512 === null ? 'no digest' : `SHA-512 ${sha512.slice(0, DIGEST_FIGURES)}…`;
  return html`<p class="condition figure">
    ${formatCount(sampleCount)} samples at ${formatEngineering(sampleRateHz, 'Hz', 6)},
    ${formatEngineering(sampleCount / sampleRateHz, 's')}; ${digest}
    ${notes.map((note) => html`<br />${note}`)}
  </p>`;
}

function issueLine(context: SettingsContext, path: string) {
  const issue = context.issues.find((each) => each.path === path);
  if (issue === undefined) return nothing;
  return html`<p class="issue">
    <span aria-hidden="true">✕</span> ${issue.rule}, got ${issue.value}; ${issue.remedy}.
  </p>`;
}

function nameChoice(context: SettingsContext, carrier: RecordCarrierSettings, path: string, index: number) {
  const names = context.records.map(({ name }) => name);
  const isHere = names.includes(carrier.recordName);
  if (names.length === 0 || (names.length === 1 && isHere)) return nothing;
  const choose = (event: Event) => {
    const name = (event.target as HTMLSelectElement).value;
    const sha512 = context.records.find((record) => record.name === name)?.sha512 ?? null;
    tellEdit(event.target as HTMLElement, path, { ...carrier, recordName: name, sha512 }, false);
  };
  return html`<div class="pair">
    <label for="record-${index}">Record</label>
    <select id="record-${index}" @change=${choose}>
      ${isHere ? nothing : html`<option value=${carrier.recordName} selected>${carrier.recordName || 'none yet'}</option>`}
      ${names.map((name) => html`<option value=${name} ?selected=${name === carrier.recordName}>${name}</option>`)}
    </select>
  </div>`;
}

/** Another record of the name the scenario gives: refused until the user says that it is meant. */
function otherDigest(context: SettingsContext, carrier: RecordCarrierSettings, path: string, facts?: RecordFacts) {
  const isOther = carrier.sha512 !== null && typeof facts?.sha512 === 'string' && facts.sha512 !== carrier.sha512;
  return html`${issueLine(context, `${path}.sha512`)}
    ${
      isOther
        ? html`<button
            class="wide"
            @click=${(event: Event) =>
              tellEdit(event.target as HTMLElement, path, { ...carrier, sha512: facts.sha512 }, false)}
          >
            Take this one
          </button>`
        : nothing
    }`;
}

export function recordChooser(context: SettingsContext, carrier: RecordCarrierSettings, path: string) {
  const index = Number(path.split('.').at(-1));
  const facts = context.records.find(({ name }) => name === carrier.recordName);
  const isMissing = facts === undefined && carrier.recordName !== '';
  const text = isMissing
    ? `Bring ${carrier.recordName} in again`
    : facts === undefined
      ? 'Bring in a record'
      : 'Another record';
  return html`
    ${nameChoice(context, carrier, path, index)} ${facts === undefined ? nothing : factsLine(facts)}
    ${fileButton(text, index)}
    ${
      facts === undefined
        ? html`<p class="condition">A SigMF pair, both files together, or I,Q as CSV. Records stay in this page.</p>`
        : nothing
    }
    ${issueLine(context, `${path}.recordName`)} ${otherDigest(context, carrier, path, facts)}
  `;
}
