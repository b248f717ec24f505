// Builders of scenario fields. Each field carries its label, unit, range and help, so that one schema
// checks files, draws form controls, explains `--set` and writes the reference documentation.
import * as v from 'valibot';

/** What a form control, a help text and a reference page need to know of one field. */
export interface FieldInfo {
  readonly label: string;
  /** Unit as stored: Hz, s, dB, dBm, W, %, or null for a plain number or a word. */
  readonly unit: string | null;
  readonly help: string;
  readonly minimum?: number;
  readonly maximum?: number;
  readonly integer?: boolean;
  readonly options?: readonly string[];
}

/** Separates rule and remedy inside one valibot message; never shown. */
export const RULE_END = '\u0001';

function ruleText(info: FieldInfo): string {
  const what = info.integer ? 'a whole number' : 'a number';
  const unit = info.unit === null ? '' : ` ${info.unit}`;
  return `must be ${what} from ${info.minimum} to ${info.maximum}${unit}`;
}

function isWithin(value: number, info: FieldInfo): boolean {
  if (!Number.isFinite(value) || (info.integer && !Number.isInteger(value))) return false;
  return value >= (info.minimum ?? -Infinity) && value <= (info.maximum ?? Infinity);
}

type BoundedField = FieldInfo & { readonly minimum: number; readonly maximum: number };

/** A number with a unit and a range. */
export function quantity(info: BoundedField) {
  const message = `${ruleText(info)}${RULE_END}set ${info.label.toLowerCase()} within that range`;
  return v.pipe(
    v.number(message),
    v.check((value: number) => isWithin(value, info), message),
    v.metadata({ field: info }),
  );
}

/** A whole number with a range. */
export function count(info: Omit<BoundedField, 'unit' | 'integer'>) {
  return quantity({ ...info, unit: null, integer: true });
}

/** One of a list of words. */
export function choice<const Options extends readonly [string, ...string[]]>(
  options: Options,
  info: Omit<FieldInfo, 'unit' | 'options'>,
) {
  const list = options.map((option) => `"${option}"`).join(', ');
  return v.pipe(
    v.picklist(options, `must be one of ${list}${RULE_END}pick one of them`),
    v.metadata({ field: { ...info, unit: null, options } satisfies FieldInfo }),
  );
}

/** Free text. */
export function text(info: Omit<FieldInfo, 'unit'>) {
  return v.pipe(
    v.string(`must be text${RULE_END}put it in quotation marks`),
    v.maxLength(4000, `must be at most 4000 characters${RULE_END}shorten it`),
    v.metadata({ field: { ...info, unit: null } satisfies FieldInfo }),
  );
}

/** A quantity, or one word that stands for a rule (such as "auto") or for its absence. */
export function quantityOr<const Word extends string>(word: Word, info: BoundedField) {
  const message = `${ruleText(info)}, or "${word}"${RULE_END}give such a number or write "${word}"`;
  return v.pipe(
    v.union(
      [
        v.literal(word),
        // A number out of range is told by the check itself, not by the choice between number and word.
        v.pipe(
          v.number(),
          v.check((value: number) => isWithin(value, info), message),
        ),
      ],
      message,
    ),
    v.metadata({ field: { ...info, options: [word] } satisfies FieldInfo }),
  );
}

/** Label and help of a list or an object as a whole, for documentation; its items carry units and ranges of their own. */
export function described(label: string, help: string) {
  return { field: { label, unit: null, help } satisfies FieldInfo };
}

/** A complex number as `{ "re": …, "im": … }`. */
export const complexNumber = v.strictObject({
  re: v.number(`must be a number${RULE_END}give the real part`),
  im: v.optional(v.number(`must be a number${RULE_END}give the imaginary part`), 0),
});
