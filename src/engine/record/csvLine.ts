// Lines of numbers as text.

export type Separator = ',' | ';' | ' ';

/** A number with a decimal point; neither NaN nor Infinity. */
export const NUMBER = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$/;

/** What parts the numbers of a line: a semicolon or comma where there is one, otherwise blanks and tabs. */
export function separatorOf(text: string): Separator {
  if (text.includes(';')) return ';';
  return text.includes(',') ? ',' : ' ';
}

export function splitLine(text: string, separator: Separator): string[] {
  if (separator === ' ') return text.split(/\s+/);
  return text.split(separator).map((field) => field.trim());
}

/** Enough for one call, not too many for the stack. */
const CHARACTERS_AT_ONCE = 8192;

/** Bytes as characters of the same codes. Numbers are ASCII; anything else can only stand in comments. */
export function asciiText(bytes: Uint8Array): string {
  let text = '';
  for (let at = 0; at < bytes.byteLength; at += CHARACTERS_AT_ONCE) {
    text += String.fromCharCode(...bytes.subarray(at, at + CHARACTERS_AT_ONCE));
  }
  return text;
}
