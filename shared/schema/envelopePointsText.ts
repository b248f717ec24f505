// Points of an amplifier from text: a CSV file or a pasted table, one point a line.
//
//   input dBm; output dBm or gain dB; phase degrees       separators: semicolon, tab, comma, or blanks
//
// A header is optional; without one the columns are input dBm, output dBm and, if there, phase. With semicolons, tabs or
// blanks between, a decimal comma is a point. Lines that begin with # are left out. All faults are listed.
import { MOST_ENVELOPE_POINTS } from './amplifierCurves.ts';
import { type Issue, printValue } from './issue.ts';
import type { EnvelopePoint } from './scenario.ts';

export type EnvelopePointsOutcome =
  | { readonly kind: 'points'; readonly points: readonly EnvelopePoint[] }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

type Column = 'inputDbm' | 'outputDbm' | 'gainDb' | 'phaseDeg';

const NAMES: Readonly<Record<string, Column>> = {
  inputdbm: 'inputDbm',
  input: 'inputDbm',
  pindbm: 'inputDbm',
  pin: 'inputDbm',
  outputdbm: 'outputDbm',
  output: 'outputDbm',
  poutdbm: 'outputDbm',
  pout: 'outputDbm',
  gaindb: 'gainDb',
  gain: 'gainDb',
  phasedeg: 'phaseDeg',
  phase: 'phaseDeg',
  ampmdeg: 'phaseDeg',
  ampm: 'phaseDeg',
};

interface Line {
  /** Counted from 1. */
  readonly number: number;
  readonly cells: readonly string[];
}

/** Reads points from text. Faults come with the line they stand in. */
export function readEnvelopePoints(text: string): EnvelopePointsOutcome {
  const lines = linesOf(text);
  const first = lines[0];
  if (first === undefined) {
    return invalid([
      issue('points', 'must hold points', 'no lines', 'write input dBm, output dBm, phase line by line'),
    ]);
  }
  const hasHeader = first.cells.some((cell) => /[a-z]/i.test(cell) && !Number.isFinite(Number(cell)));
  const issues: Issue[] = [];
  const columns = hasHeader ? headerColumns(first, issues) : (['inputDbm', 'outputDbm', 'phaseDeg'] as const);
  const points = (hasHeader ? lines.slice(1) : lines).flatMap((line) => pointOf(line, columns, issues) ?? []);
  if (issues.length === 0) issues.push(...listIssues(points));
  return issues.length > 0 ? invalid(issues) : { kind: 'points', points: points.map((one) => one.point) };
}

function invalid(issues: readonly Issue[]): EnvelopePointsOutcome {
  return { kind: 'invalid', issues };
}

function issue(path: string, rule: string, value: string, remedy: string): Issue {
  return { path, rule, value, remedy };
}

function linesOf(text: string): Line[] {
  const rows = text.replace(/^\ufeff/, '').split(/\r\n|\r|\n/);
  const filled = rows.flatMap((row, i) => {
    const content = row.trim();
    return content === '' || content.startsWith('#') ? [] : [{ number: i + 1, content }];
  });
  const sample = filled.map(({ content }) => content).join('\n');
  const separator = sample.includes(';') ? ';' : sample.includes('\t') ? '\t' : /\d +[-+.\d]/.test(sample) ? ' ' : ',';
  return filled.map(({ number, content }) => {
    const cells = separator === ' ' ? content.split(/[\s,]+/) : content.split(separator);
    const isDecimalComma = separator === ';' || separator === '\t';
    return { number, cells: cells.map((cell) => (isDecimalComma ? cell.trim().replace(',', '.') : cell.trim())) };
  });
}

function headerColumns({ number, cells }: Line, issues: Issue[]): (Column | null)[] {
  const columns = cells.map((cell) => NAMES[cell.toLowerCase().replace(/[^a-z]/g, '')] ?? null);
  const path = `line ${number}`;
  const known = 'name the columns input dBm, output dBm or gain dB, phase deg';
  if (!columns.includes('inputDbm')) issues.push(issue(path, 'must name the input power', cells.join(' | '), known));
  if (!columns.includes('outputDbm') && !columns.includes('gainDb')) {
    issues.push(issue(path, 'must name the output power or the gain', cells.join(' | '), known));
  }
  const twice = columns.find((column, i) => column !== null && columns.indexOf(column) !== i);
  if (twice !== undefined) issues.push(issue(path, 'must name each column once', cells.join(' | '), known));
  return columns;
}

interface NumberedPoint {
  readonly number: number;
  readonly point: EnvelopePoint;
}

function pointOf({ number, cells }: Line, columns: readonly (Column | null)[], issues: Issue[]): NumberedPoint | null {
  const path = `line ${number}`;
  const values: Partial<Record<Column, number>> = {};
  let isSound = true;
  columns.forEach((column, i) => {
    const cell = cells[i];
    if (column === null || (column === 'phaseDeg' && (cell === undefined || cell === ''))) return;
    const value = cell === undefined || cell === '' ? Number.NaN : Number(cell);
    if (Number.isFinite(value)) {
      values[column] = value;
      return;
    }
    isSound = false;
    const remedy = 'give a number in every column; with a decimal comma put semicolons between the columns';
    issues.push(issue(path, `must hold a number in column ${i + 1}`, printValue(cell ?? ''), remedy));
  });
  const { inputDbm, outputDbm, gainDb, phaseDeg = 0 } = values;
  const output = outputDbm ?? (inputDbm === undefined || gainDb === undefined ? undefined : inputDbm + gainDb);
  if (!isSound || inputDbm === undefined || output === undefined) return null;
  return { number, point: { inputDbm, outputDbm: output, phaseDeg } };
}

function listIssues(points: readonly NumberedPoint[]): Issue[] {
  const issues: Issue[] = [];
  if (points.length < 3 || points.length > MOST_ENVELOPE_POINTS) {
    const rule = `must hold 3 to ${MOST_ENVELOPE_POINTS} points`;
    issues.push(issue('points', rule, `${points.length} points`, 'give more points, or leave some out'));
  }
  points.forEach(({ number, point }, i) => {
    const before = points[i - 1]?.point;
    if (before === undefined || point.inputDbm > before.inputDbm) return;
    const value = `${point.inputDbm} dBm after ${before.inputDbm} dBm`;
    issues.push(
      issue(
        `line ${number}`,
        'must have a higher input power than the line before',
        value,
        'sort the points and remove repeats',
      ),
    );
  });
  return issues;
}
