// An amplifier from its data sheet, laid out like one: a row a figure, stated, with what the model reads beneath and
// whether the two agree. Figures that stand against each other are named.
import { html, nothing } from 'lit';
import { formatQuantity } from '../../../../shared/format/numbers.ts';
import type { AmplifierReadBack, SheetReading } from '../../../../shared/schema/readBack.ts';
import type { DataSheetSettings } from '../../../../shared/schema/scenario.ts';
import { valueAt } from '../../fields/paths.ts';
import { type FieldOptions, fieldOf, type SettingsContext } from '../settings/context.ts';
import { missText } from './missText.ts';
import { MODEL_PATH } from './origins.ts';

const NOT_STATED = { special: { value: null, text: 'not stated' } };

const CLASS_TEXTS: readonly (readonly [DataSheetSettings['class'], string])[] = [
  ['classABSoft', 'class AB, soft'],
  ['classA', 'class A, late knee'],
  ['gainExpansion', 'gain rises first'],
  ['twoDevice', 'two devices, a dip'],
];

type Reading = Pick<SheetReading, 'unit' | 'read'>;

/** What the model reads of figures the sheet does not state. */
function unstated(path: string, readBack: AmplifierReadBack): Reading | null {
  const readings: Readonly<Record<string, number | null | undefined>> = {
    [`${MODEL_PATH}.outputAtOneDbCompressionDbm`]: readBack.atOneDbCompression?.outputDbm,
    [`${MODEL_PATH}.outputAtThreeDbCompressionDbm`]: readBack.atThreeDbCompression?.outputDbm,
    [`${MODEL_PATH}.outputInterceptDbm`]: readBack.intercept.outputDbm,
  };
  const read = readings[path];
  return read === undefined ? null : { unit: 'dBm', read };
}

/** The reading of one figure, from the last result that was of a data sheet. */
function readingLine(context: SettingsContext, path: string) {
  const { amplifier, resolved, draft } = context;
  if (amplifier === null || resolved?.amplifier.model.kind !== 'dataSheet') return nothing;
  const row = amplifier.readBack.sheet.find((each) => each.path === path);
  const other = row === undefined ? unstated(path, amplifier.readBack) : null;
  const { unit, read } = row ?? other ?? { unit: 'dB', read: undefined };
  if (read === undefined) return nothing;
  const isStale = context.issues.length > 0 || valueAt(draft, path) !== valueAt(resolved, path);
  const mark =
    row === undefined
      ? nothing
      : html`<span class=${row.isMet ? 'met' : 'missed'}
          >${row.isMet ? '✓ met' : missText(row.read, row.stated, row.unit)}</span
        >`;
  return html`<p class="read figure ${isStale ? 'stale' : ''}">
    <span>reads ${formatQuantity(read, unit, 2)}</span> ${mark}
  </p>`;
}

/** How the engine's rules name a figure where they do not give its path. */
const SPOKEN: Readonly<Record<string, RegExp>> = {
  'amplifier.saturatedPowerDbm': /(?:below|with|be) the saturated power/,
  [`${MODEL_PATH}.saturatedPowerDbm`]: /(?:below|with|be) the saturated power/,
  [`${MODEL_PATH}.outputAtThreeDbCompressionDbm`]: /below the output at 3 dB compression/,
};

/** Another figure that a refused one stands against. */
function againstLine(context: SettingsContext, path: string) {
  const named = new RegExp(`${path.replaceAll('.', '\\.')}(?![A-Za-z])`);
  const against = context.issues.find(
    (issue) =>
      issue.path !== path &&
      issue.path.startsWith(MODEL_PATH) &&
      (named.test(issue.rule) || SPOKEN[path]?.test(issue.rule)),
  );
  if (against === undefined) return nothing;
  return html`<p class="issue"><span aria-hidden="true">✕</span> does not go with another figure of the sheet, which says why.</p>`;
}

/** Where sheets state a saturated power, when not at its most: common practice, no source. */
const USUAL_COMPRESSION_DB = 3;
const PLACES = 100;

/** A figure that is stated from now on begins with what the model reads: met, until it is changed. */
function startOf({ amplifier }: SettingsContext, path: string): number | null {
  const read = amplifier === null ? null : (unstated(path, amplifier.readBack)?.read ?? null);
  return read === null ? null : Math.round(PLACES * read) / PLACES;
}

function row(context: SettingsContext, path: string, options: FieldOptions = {}) {
  return html`<div class="figure-row">
    ${fieldOf(context, path, { start: startOf(context, path), ...options })} ${readingLine(context, path)} ${againstLine(context, path)}
  </div>`;
}

/** Figures missed by a little, and the two that stand against each other, in the engine's words. */
function conflict({ report }: SettingsContext) {
  const warning = report?.warnings.find(({ code }) => code === 'sheet-not-met');
  if (warning === undefined || report?.scenario.amplifier.model.kind !== 'dataSheet') return nothing;
  return html`<p class="note" role="status"><span aria-hidden="true">✕</span> ${warning.message}</p>`;
}

/** The fields of the sheet; gain and saturated power are the amplifier's own. */
export function sheetRows(context: SettingsContext, model: DataSheetSettings) {
  const own = (name: keyof DataSheetSettings) => `${MODEL_PATH}.${name}`;
  const saturated = model.saturatedPowerDbm === 'amplifier' ? 'amplifier.saturatedPowerDbm' : own('saturatedPowerDbm');
  const isKnown = { special: { value: null, text: 'not known' } };
  return html`
    <p class="sheet-head"><span>Data sheet</span><span>stated</span></p>
    ${conflict(context)} ${row(context, 'amplifier.gainDb', { caption: 'Small-signal gain' })}
    ${row(context, saturated, saturated.startsWith(MODEL_PATH) ? {} : isKnown)}
    ${row(context, own('saturationCompressionDb'), {
      caption: 'at compression of',
      special: { value: 'asymptote', text: 'any drive' },
      start: USUAL_COMPRESSION_DB,
    })}
    ${row(context, own('outputAtOneDbCompressionDbm'), { caption: 'P1dB', ...NOT_STATED })}
    ${row(context, own('outputAtThreeDbCompressionDbm'), { caption: 'P3dB', ...NOT_STATED })}
    ${row(context, own('outputInterceptDbm'), { caption: 'OIP3', ...NOT_STATED })}
    ${row(context, own('amPmDeg'))} ${row(context, own('amPmBackoffDb'), { caption: 'at output back-off' })}
    ${row(context, own('class'), { caption: 'Shape', choices: CLASS_TEXTS })}
    ${model.class === 'gainExpansion' ? row(context, own('expansionDb')) : nothing}
    ${model.class === 'twoDevice' ? row(context, own('dipDb')) : nothing}
    <h3>Memory and ripple</h3>
    ${fieldOf(context, own('memorySpanS'))} ${fieldOf(context, own('memoryBelowSignalDb'))}
    ${fieldOf(context, own('gainRippleDb'))} ${fieldOf(context, own('rippleBandHz'))}
  `;
}
