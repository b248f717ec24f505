// What every group of settings is given, and how it draws one field.
import { html, nothing } from 'lit';
import type { Issue } from '../../../../shared/schema/issue.ts';
import type { AmplifierReport, Report, WaveformReport } from '../../../../shared/schema/report.ts';
import type { Scenario } from '../../../../shared/schema/scenario.ts';
import type { RecordFacts } from '../../../worker/client.ts';
import { describeField } from '../../fields/describeField.ts';
import type { ListKind } from '../../fields/listText.ts';
import { valueAt } from '../../fields/paths.ts';
import { SLIDER_RANGES, type SliderRange } from '../../fields/sliderRanges.ts';
import { tellEdit } from '../events.ts';
import type { SpecialValue } from '../field.ts';
import '../field.ts';
import '../listField.ts';

export interface SettingsContext {
  readonly draft: Scenario;
  /** The scenario of the last result: nothing is "auto" there. */
  readonly resolved: Scenario | null;
  readonly issues: readonly Issue[];
  /** The last result. */
  readonly report: Report | null;
  /** The amplifier of the last result. */
  readonly amplifier: AmplifierReport | null;
  /** The carriers as the last result placed them. */
  readonly placed: WaveformReport['carriers'] | null;
  /** Records brought into the page. */
  readonly records: readonly RecordFacts[];
  /** The carrier that was last chosen on the picture or in the rows, or null. */
  readonly carrier: number | null;
}

export interface FieldOptions {
  readonly caption?: string;
  readonly hasSlider?: boolean;
  readonly slider?: SliderRange | null;
  readonly special?: SpecialValue;
  readonly choices?: readonly (readonly [value: string | number, text: string])[];
  /** What the field begins with when its special value goes, in place of the last result's. */
  readonly start?: number | null;
  /** Label over the value, without its explanation: for rows of several fields. */
  readonly isCompact?: boolean;
}

/** A fault of the operating point as a whole, such as a power out of reach, stands at its one control. */
function issueAt({ issues }: SettingsContext, path: string): Issue | null {
  const whole = path.startsWith('operatingPoint.') ? 'operatingPoint' : path;
  return issues.find((issue) => issue.path === path || issue.path === whole) ?? null;
}

/** Issues of a path and everything beneath it, for lists that are written as one text. */
function issueBeneath({ issues }: SettingsContext, path: string): Issue | null {
  return issues.find((issue) => issue.path === path || issue.path.startsWith(`${path}.`)) ?? null;
}

/** The control of one field. */
export function fieldOf(context: SettingsContext, path: string, options: FieldOptions = {}) {
  const name = path.split('.').at(-1) ?? '';
  const slider = options.slider ?? (options.hasSlider ? (SLIDER_RANGES[name] ?? null) : null);
  return html`<kp-field
    .path=${path}
    .about=${describeField(path, context.draft)}
    .value=${valueAt(context.draft, path)}
    .resolved=${options.start ?? valueAt(context.resolved, path)}
    .issue=${issueAt(context, path)}
    .slider=${slider}
    .special=${options.special ?? null}
    .choices=${options.choices ?? null}
    .caption=${options.caption ?? ''}
    ?compact=${options.isCompact ?? false}
  ></kp-field>`;
}

/** A list written as text. */
export function listOf(context: SettingsContext, path: string, kind: ListKind, caption: string, hint: string) {
  return html`<kp-list-field
    .path=${path}
    .kind=${kind}
    .caption=${caption}
    .hint=${hint}
    .value=${valueAt(context.draft, path)}
    .issue=${issueBeneath(context, path)}
  ></kp-list-field>`;
}

/** A text, such as a name or a source. */
export function textOf(context: SettingsContext, path: string, caption: string) {
  const issue = issueAt(context, path);
  return html`<div class="pair">
      <label for=${path}>${caption}</label>
      <input
        id=${path}
        class="text"
        type="text"
        autocomplete="off"
        aria-invalid=${issue === null ? 'false' : 'true'}
        .value=${String(valueAt(context.draft, path) ?? '')}
        @change=${(event: Event) => {
          const input = event.target as HTMLInputElement;
          tellEdit(input, path, input.value.trim(), false);
        }}
      />
    </div>
    ${issue === null ? nothing : html`<p class="issue"><span aria-hidden="true">✕</span> ${issue.rule}; ${issue.remedy}.</p>`}`;
}
