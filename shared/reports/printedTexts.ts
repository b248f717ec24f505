// What a page prints: the pieces of text between its tags, to compare two pages.

/** Pieces of text in their order; scripts, styles and white space left out. */
export function printedTexts(html: string): string[] {
  return html
    .replace(/<(script|style)\b[\s\S]*?<\/\1>/g, '')
    .split(/<[^>]*>/)
    .map((text) => text.trim())
    .filter((text) => text !== '');
}

export interface PrintDifference {
  readonly printed: string;
  readonly expected: string;
  /** The piece before, which mostly names the figure. */
  readonly after: string;
}

/** Where the page prints something else than it should; texts of one place are compared with each other. */
export function comparePrints(printed: readonly string[], expected: readonly string[]): PrintDifference[] {
  const differences: PrintDifference[] = [];
  for (let i = 0; i < Math.max(printed.length, expected.length); i++) {
    const [found = '', wanted = ''] = [printed[i], expected[i]];
    if (found === wanted) continue;
    differences.push({ printed: found, expected: wanted, after: expected[i - 1] ?? '' });
    // After a piece more or less every further one differs.
    if (printed.length !== expected.length) break;
  }
  return differences;
}
