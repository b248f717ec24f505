// What the hold question is asked with: the unit of its values, and signals kept from the bench.
import { html } from 'lit';
import { carrierText } from '../../../../shared/format/carrierText.ts';
import type { Scenario } from '../../../../shared/schema/scenario.ts';
import type { HoldQuestion } from '../../../../shared/schema/study.ts';
import { tellQuestion } from './questionEvents.ts';

/** Unit and divisor in which the values of an axis are written. */
export function holdUnit(axis: HoldQuestion['axis']): { readonly unit: string; readonly divisor: number } {
  if (axis === 'channel') return { unit: 'MHz', divisor: 1e6 };
  if (axis === 'amPm') return { unit: '°', divisor: 1 };
  return { unit: axis === 'load' || axis === 'carriers' ? '' : 'dB', divisor: 1 };
}

/** Such as "2 carriers, NR 20 MHz"; a number behind it tells equal ones apart. */
function nameFor({ waveform }: Scenario, taken: readonly string[]): string {
  const [first] = waveform.carriers;
  const count = waveform.carriers.length;
  const name = first === undefined ? 'signal' : `${count > 1 ? `${count} × ` : ''}${carrierText(first)}`;
  const after = Array.from({ length: taken.length + 1 }, (_, i) => (i === 0 ? name : `${name} (${i + 1})`));
  return after.find((one) => !taken.includes(one)) ?? name;
}

/** The bench's present signal, under a name; the bench is then set to another one. */
export function carrierSetList(target: HTMLElement, { carrierSets }: HoldQuestion, scenario: Scenario | null) {
  const keep = () => {
    if (scenario === null) return;
    const { carriers, spectralEdge, crestFactorReduction } = scenario.waveform;
    const name = nameFor(
      scenario,
      carrierSets.map((set) => set.name),
    );
    tellQuestion(target, { carrierSets: [...carrierSets, { name, carriers, spectralEdge, crestFactorReduction }] });
  };
  return html`<span class="sets">
    ${carrierSets.map(
      ({ name }, index) => html`<span
        >${name}
        <button
          class="plain"
          aria-label="Remove ${name}"
          @click=${() => tellQuestion(target, { carrierSets: carrierSets.filter((_, i) => i !== index) })}
        >
          ✕
        </button></span
      >`,
    )}
    <button @click=${keep}>Keep the bench’s signal as one</button>
    <span class="muted">then set the bench to another</span>
  </span>`;
}
