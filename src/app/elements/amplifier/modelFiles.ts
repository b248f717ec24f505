// The amplifier model as a file: one taken in, as `identify` and `sheet --polynomial` write it, and the present one saved
// in the same form.
import { html } from 'lit';
import { toJson } from '../../../../shared/reports/json.ts';
import type { Scenario } from '../../../../shared/schema/scenario.ts';
import { fileStem, saveText } from '../../state/downloads.ts';
import { tellModelFile } from '../events.ts';

export function modelFiles({ title, amplifier }: Scenario) {
  return html`<div class="model-files">
    <label class="files">
      <input
        class="unseen"
        type="file"
        accept=".json"
        @change=${(event: Event) => {
          const input = event.target as HTMLInputElement;
          const file = input.files?.[0];
          if (file !== undefined) tellModelFile(input, file);
          // The same file may be chosen again after a fault was cured.
          input.value = '';
        }}
      />
      <span>Model file…</span>
    </label>
    <button
      @click=${() => saveText(`${fileStem(title)}-model.json`, toJson(amplifier.model), 'application/json')}
    >
      Save the model
    </button>
  </div>`;
}
