// Reads the documents: code blocks, quotations, headings and links of a Markdown text.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';

export const root = join(import.meta.dirname, '..', '..');

export function readDocument(path: string): string {
  return readFileSync(join(root, path), 'utf8');
}

export interface CodeBlock {
  readonly language: string;
  readonly text: string;
}

/** Fenced code blocks in their order. */
export function codeBlocks(text: string, language?: string): CodeBlock[] {
  const blocks = [...text.matchAll(/^```(\w*)\n([\s\S]*?)^```$/gm)].map((match) => ({
    language: match[1] ?? '',
    text: match[2] ?? '',
  }));
  return language === undefined ? blocks : blocks.filter((block) => block.language === language);
}

export function withoutCode(text: string): string {
  return text.replace(/^```\w*\n[\s\S]*?^```$/gm, '');
}

/** Block quotations, each as one line. */
export function quotations(text: string): string[] {
  return [...withoutCode(text).matchAll(/(?:^> .*\n)+/gm)].map(([lines]) =>
    lines.replace(/^> /gm, '').trim().replace(/\s+/g, ' '),
  );
}

/** The part from a heading to the next of the same or a higher level. */
export function section(text: string, heading: string): string {
  const start = text.indexOf(`\n${heading}\n`);
  if (start < 0) throw new Error(`no section "${heading}"`);
  const level = /^#+/.exec(heading)?.[0].length ?? 1;
  const body = text.slice(start + heading.length + 2);
  const end = body.search(new RegExp(`^#{1,${level}} `, 'm'));
  return end < 0 ? body : body.slice(0, end);
}

/** The anchor a heading gets: lower case, without punctuation, blanks as hyphens. */
function anchorOf(heading: string): string {
  return heading
    .toLowerCase()
    .replace(/[^\p{L}\p{N}\s-]/gu, '')
    .trim()
    .replace(/\s+/g, '-');
}

export function anchors(text: string): string[] {
  return [...withoutCode(text).matchAll(/^#+ (.+)$/gm)].map((match) => anchorOf(match[1] ?? ''));
}

/** Targets of links and pictures. */
export function links(text: string): string[] {
  return [...withoutCode(text).matchAll(/\]\(([^)\s]+)\)/g)].map((match) => match[1] ?? '');
}

/** What stands between back-quotes outside code blocks. */
export function inlineCode(text: string): string[] {
  return [...withoutCode(text).matchAll(/`([^`\n]+)`/g)].map((match) => match[1] ?? '');
}

/** Rows of the first table after a place, as cells; heading and rule left out. */
export function tableRows(text: string, headingCells: string): string[][] {
  const start = text.indexOf(`${headingCells}\n`);
  if (start < 0) throw new Error(`no table "${headingCells}"`);
  const rows: string[][] = [];
  for (const line of text.slice(start).split('\n').slice(2)) {
    if (!line.startsWith('|')) break;
    rows.push(
      line
        .slice(1, -1)
        .split(/(?<!\\)\|/)
        .map((cell) => cell.trim()),
    );
  }
  return rows;
}
