/** One fault in what the user gave. All faults of an input are listed together. */
export interface Issue {
  /** Dotted path of the field, such as `waveform.carriers.0.offsetHz`; empty for the whole input. */
  readonly path: string;
  /** What the field must be. */
  readonly rule: string;
  /** What was given, printed as JSON (shortened). */
  readonly value: string;
  /** What to do about it. */
  readonly remedy: string;
}

/** A doubtful result: it is shown, with the numbers that make it doubtful. */
export interface Warning {
  /** Stable kebab-case name, such as `source-limited`. */
  readonly code: string;
  /** One or two sentences with numbers and what to do. */
  readonly message: string;
}

const SHOWN_CHARACTERS = 80;

/** Prints a value for an issue: JSON, shortened; undefined is shown as "nothing". */
export function printValue(value: unknown): string {
  if (value === undefined) return 'nothing';
  if (typeof value === 'number' && !Number.isFinite(value)) return String(value);
  const text = JSON.stringify(value) ?? String(value);
  return text.length > SHOWN_CHARACTERS ? `${text.slice(0, SHOWN_CHARACTERS - 1)}…` : text;
}

/** One line for a terminal or a list: `path must …, got …; remedy`. */
export function formatIssue(issue: Issue): string {
  const where = issue.path === '' ? 'the input' : issue.path;
  return `${where} ${issue.rule}, got ${issue.value}; ${issue.remedy}`;
}
