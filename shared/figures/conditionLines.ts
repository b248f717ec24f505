/** Characters that fit on one line of a condition. */
const LINE_CHARACTERS = 140;

/** A condition broken at its semicolons into lines that fit the picture. */
export function conditionLines(text: string): string[] {
  const lines: string[] = [];
  for (const part of text.split('; ')) {
    const last = lines.at(-1);
    if (last !== undefined && last.length + part.length + 2 <= LINE_CHARACTERS) {
      lines[lines.length - 1] = `${last}; ${part}`;
    } else {
      lines.push(part);
    }
  }
  return lines;
}
