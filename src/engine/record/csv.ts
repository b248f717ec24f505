// Records as text, one sample a line; a format of our own:
//
//   # sample_rate 122.88e6            comments after #; sample_rate and centre_frequency in Hz are understood
//   I,Q                               a header may stand first: I, Q, or time, I, Q
//   0.125,-0.5                        two numbers a line, or three: the time in seconds, then I and Q
//
// Between numbers stands a comma, a semicolon, or blanks and tabs: the same in all lines. Numbers have a decimal point.
// The rate comes from the caller, the comment or the time column; two that differ are a fault. Samples are taken as they
// stand. Bytes arrive in pieces; the memory does not grow with them.
import { type Issue, printValue } from '../../../shared/schema/issue.ts';
import { type ComplexSignal, zeros } from '../dsp/complex.ts';
import { asciiText, NUMBER, type Separator, separatorOf, splitLine } from './csvLine.ts';
import type { Digest, FileOutcome, FileReader, Sha512 } from './fileRecord.ts';
import { PLAUSIBLE_MAGNITUDE } from './plausibleSamples.ts';
import { createTimeColumn, type NamedRate, settleRate } from './timeColumn.ts';

export interface CsvOptions {
  /** Rate where the file states none. */
  readonly sampleRateHz?: number | null;
  readonly digest?: Digest;
}

/** Faults told one by one; further ones are counted. */
const MOST_FAULTS = 10;
/** A line has two or three numbers; anything longer is no line of numbers. */
const LONGEST_LINE = 4096;
/** Bytes read at once of a whole file: its lines exist as text only piece by piece. */
const PIECE_BYTES = 2 ** 20;
const NAMES = [
  ['time', 't', 'time_s', 'seconds'],
  ['i', 're', 'real', 'inphase', 'in-phase'],
  ['q', 'im', 'imag', 'imaginary', 'quadrature'],
] as const;

/** A whole file. */
export function readCsv(
  data: Uint8Array,
  options: { readonly sampleRateHz?: number | null; readonly sha512?: Sha512 } = {},
): FileOutcome {
  const { sha512, sampleRateHz } = options;
  const digest = sha512 && { update: () => {}, hex: () => sha512(data) };
  const reader = openCsv({ sampleRateHz: sampleRateHz ?? null, ...(digest ? { digest } : {}) });
  const parts: ComplexSignal[] = [];
  const keep = ({ re, im }: ComplexSignal) => parts.push({ re: re.slice(), im: im.slice() });
  for (let at = 0; at < data.byteLength; at += PIECE_BYTES) keep(reader.push(data.subarray(at, at + PIECE_BYTES)));
  keep(reader.last());
  const outcome = reader.finish();
  if (outcome.kind === 'invalid') return outcome;
  return { kind: 'record', record: { signal: join(parts, outcome.facts.sampleCount), ...outcome.facts } };
}

function join(parts: readonly ComplexSignal[], length: number): ComplexSignal {
  const out = zeros(length);
  let at = 0;
  for (const part of parts) {
    out.re.set(part.re, at);
    out.im.set(part.im, at);
    at += part.re.length;
  }
  return out;
}

/** A file in pieces. */
export function openCsv(options: CsvOptions = {}): FileReader {
  const lines = createLines(options.sampleRateHz ?? null);
  let buffer = zeros(0);
  let open = '';
  const take = (text: string): ComplexSignal => {
    const parts = text.split('\n');
    open = parts.pop() ?? '';
    if (buffer.re.length < parts.length) buffer = zeros(parts.length);
    let count = 0;
    for (const part of parts) if (lines.read(part, buffer, count)) count++;
    if (open.length > LONGEST_LINE) {
      lines.refuseLength(open.length);
      open = '';
    }
    return { re: buffer.re.subarray(0, count), im: buffer.im.subarray(0, count) };
  };
  return {
    sampleBytes: null,
    fullScale: null,
    push: (bytes) => {
      options.digest?.update(bytes);
      return take(open + asciiText(bytes));
    },
    last: () => take(open === '' ? '' : `${open}\n`),
    finish: () => {
      const issues = lines.issues();
      if (issues.length > 0) return { kind: 'invalid', issues };
      const { sampleRateHz, sampleCount, centreFrequencyHz, notes } = lines.facts();
      const sha512 = options.digest?.hex().toLowerCase() ?? null;
      const facts = { sampleRateHz, sampleCount, centreFrequencyHz, sha512, notes };
      return { kind: 'facts', facts: { ...facts, description: '', datatype: 'csv', fullScale: null } };
    },
  };
}

function createLines(givenRateHz: number | null) {
  const found = createFindings();
  const rates: NamedRate[] = givenRateHz === null ? [] : [{ name: 'the rate given', hz: givenRateHz }];
  const time = createTimeColumn();
  let separator: Separator | null = null;
  let columnCount = 0;
  let lineNumber = 0;
  let sampleCount = 0;
  let hasHeader = false;
  let centreFrequencyHz: number | null = null;

  const readComment = (text: string) => {
    const match = /^\s*(sample_rate|centre_frequency|center_frequency)\s*[:=\s]\s*(\S*)\s*(?:Hz)?\s*$/.exec(text);
    if (match === null) return;
    const hz = Number(match[2]);
    if (!NUMBER.test(match[2] ?? '') || !Number.isFinite(hz)) {
      found.fault(lineNumber, 'must state a number in Hz', match[0].trim(), 'write for example # sample_rate 122.88e6');
    } else if (match[1] === 'sample_rate') rates.push({ name: `line ${lineNumber}`, hz });
    else centreFrequencyHz = hz;
  };
  const begin = (text: string): boolean => {
    separator = separatorOf(text);
    const fields = splitLine(text, separator);
    const isHeader = fields.some((field) => field !== '' && !/^[+-]?(?:[\d.]|nan|inf)/i.test(field));
    if (isHeader && !hasHeader) {
      hasHeader = true;
      separator = null;
      const fault = headerFault(fields);
      if (fault !== null) found.fault(lineNumber, fault, text, 'name them I and Q, or time, I and Q');
      return false;
    }
    columnCount = fields.length;
    if (columnCount === 2 || columnCount === 3) return true;
    const rule = 'must hold two numbers, I and Q, or three, time, I and Q';
    found.fault(lineNumber, rule, text, 'write one sample a line, parted by comma, semicolon, blank or tab');
    columnCount = 2;
    return false;
  };
  const read = (line: string, into: ComplexSignal, at: number): boolean => {
    lineNumber++;
    const hash = line.indexOf('#');
    if (hash >= 0) readComment(line.slice(hash + 1));
    const text = (hash >= 0 ? line.slice(0, hash) : line).replace(lineNumber === 1 ? /^ï»¿/ : /^/, '').trim();
    if (text === '' || (separator === null && !begin(text))) return false;
    const fields = splitLine(text, separator ?? ',');
    if (fields.length !== columnCount) {
      found.fault(
        lineNumber,
        `must hold ${columnCount} numbers, as the lines above it`,
        text,
        remedyFor(text, separator),
      );
      return false;
    }
    const wrong = fields.find((field) => !NUMBER.test(field));
    if (wrong !== undefined) {
      found.fault(lineNumber, 'must hold numbers with a decimal point', wrong, 'write for example 0.125,-0.5');
      return false;
    }
    const [re, im] = [Number(fields[columnCount - 2]), Number(fields[columnCount - 1])];
    if (!(Math.abs(re) <= PLAUSIBLE_MAGNITUDE && Math.abs(im) <= PLAUSIBLE_MAGNITUDE)) {
      found.fault(lineNumber, `must hold finite numbers below ${PLAUSIBLE_MAGNITUDE}`, text, 'check the units');
      return false;
    }
    if (columnCount === 3) {
      const fault = time.add(Number(fields[0]), lineNumber);
      if (fault !== null) found.fault(lineNumber, fault, fields[0], 'write rising times in seconds, one step apart');
    }
    into.re[at] = re;
    into.im[at] = im;
    sampleCount++;
    return true;
  };
  const settled = () => settleRate([...rates, ...(columnCount === 3 ? time.rates() : [])]);
  return {
    read,
    refuseLength: (length: number) => {
      const rule = `must be shorter than ${LONGEST_LINE} characters`;
      found.fault(lineNumber + 1, rule, `${length} characters`, 'is this a text file?');
    },
    issues: (): readonly Issue[] => {
      const issues = found.all();
      if (sampleCount === 0 && issues.length === 0) {
        const remedy = 'write one sample a line: I,Q';
        return [{ path: 'data', rule: 'must hold samples', value: linesWithout(lineNumber), remedy }];
      }
      const uneven = columnCount === 3 ? time.unevenIssue() : null;
      // A rate from a faulty time column would be a second fault for one mistake.
      return [...issues, ...(uneven === null ? settled().issues : [uneven])];
    },
    facts: () => ({ sampleRateHz: settled().hz, sampleCount, centreFrequencyHz, notes: settled().notes }),
  };
}

function createFindings() {
  const issues: Issue[] = [];
  let faultCount = 0;
  return {
    fault: (line: number, rule: string, value: unknown, remedy: string) => {
      faultCount++;
      if (faultCount <= MOST_FAULTS) issues.push({ path: `line ${line}`, rule, value: printValue(value), remedy });
    },
    all: (): Issue[] => {
      const more = faultCount - MOST_FAULTS;
      if (more <= 0) return issues;
      const rule = 'must hold samples in every line';
      return [...issues, { path: 'data', rule, value: `${more} more faulty lines`, remedy: 'is this a record?' }];
    },
  };
}

function headerFault(fields: readonly string[]): string | null {
  const wanted = fields.length === 3 ? NAMES : NAMES.slice(1);
  const isNamed = (field: string, names: readonly string[] | undefined) =>
    names?.includes(field.replace(/^"|"$/g, '').trim().toLowerCase()) === true;
  const isSound = fields.length === wanted.length && fields.every((field, i) => isNamed(field, wanted[i]));
  return isSound ? null : 'must name the columns I and Q, or time, I and Q';
}

function remedyFor(text: string, separator: Separator | null): string {
  const hasCommas = separator !== ',' && text.includes(',');
  return hasCommas ? 'write a decimal point, not a comma' : 'complete the line or take it out';
}

function linesWithout(count: number): string {
  if (count === 0) return 'an empty file';
  return `${count} ${count === 1 ? 'line' : 'lines'} without numbers`;
}
