// Quantities as typed on a command line: `9e6`, `9MHz`, `"9 MHz"`, `-4.5 MHz`; `-12`, `"-12 dBfs"`.
import { InvalidArgumentError } from 'commander';

const FACTORS: Readonly<Record<string, number>> = { '': 1, Hz: 1, kHz: 1e3, MHz: 1e6, GHz: 1e9 };

export function parseFrequency(text: string): number {
  const match = /^\s*([+-]?\d*\.?\d+(?:[eE][+-]?\d+)?)\s*([kMG]?Hz)?\s*$/.exec(text);
  const factor = FACTORS[match?.[2] ?? ''];
  if (match === null || factor === undefined) throw new InvalidArgumentError('write for example 9e6 or "9 MHz".');
  return Number(match[1]) * factor;
}

/** Frequencies between commas: `100kHz,1MHz`. */
export function parseFrequencies(text: string): number[] {
  return text.split(',').map(parseFrequency);
}

/** A band as centre and width: `0,1MHz`, `"-1.5 MHz, 300 kHz"`. */
export function parseBand(text: string): { readonly centreHz: number; readonly bandwidthHz: number } {
  const [centre, width, ...more] = text.split(',');
  if (centre === undefined || width === undefined || more.length > 0) {
    throw new InvalidArgumentError('write for example "0, 1 MHz": centre and width.');
  }
  return { centreHz: parseFrequency(centre), bandwidthHz: parseFrequency(width) };
}

export function parseCount(text: string): number {
  if (!/^\d+$/.test(text)) throw new InvalidArgumentError('write a whole number.');
  return Number(text);
}

/** Below −200 dBfs single precision holds nothing of a record; above +200 it nears its end. */
const LEVEL_LIMIT_DB = 200;

export function parseLevel(text: string): number {
  const match = /^\s*([+-]?\d*\.?\d+)\s*(dBfs|dB)?\s*$/.exec(text);
  const level = Number(match?.[1]);
  if (match === null || Math.abs(level) > LEVEL_LIMIT_DB) throw new InvalidArgumentError('write for example -12.');
  return level;
}

/** Output back-offs, steps and margins: `8`, `8dB`, `"0.5 dB"`. */
export function parseDb(text: string): number {
  const match = /^\s*(\d*\.?\d+)\s*(dB)?\s*$/.exec(text);
  if (match === null) throw new InvalidArgumentError('write for example 8 or "8 dB".');
  return Number(match[1]);
}

/** A power in dBm: `36.5`, `"36.5 dBm"`, `4.5W`, `"300 mW"`. */
export function parsePower(text: string): number {
  const match = /^\s*([+-]?\d*\.?\d+)\s*(dBm|W|mW)?\s*$/.exec(text);
  const value = Number(match?.[1]);
  const unit = match?.[2] ?? 'dBm';
  if (match === null || (unit !== 'dBm' && value <= 0)) {
    throw new InvalidArgumentError('write for example 36.5, "36.5 dBm" or "4.5 W".');
  }
  return unit === 'dBm' ? value : 10 * Math.log10(value) + (unit === 'W' ? 30 : 0);
}

/** A share: `2`, `"1.5 %"`. */
export function parsePercent(text: string): number {
  const match = /^\s*(\d*\.?\d+)\s*%?\s*$/.exec(text);
  if (match === null) throw new InvalidArgumentError('write for example 2 or "2 %".');
  return Number(match[1]);
}

/** Powers of ten of the units of time: a division keeps 0.2 ms the number 0.0002. */
const TIME_DIVISORS: Readonly<Record<string, number>> = { '': 1, s: 1, ms: 1e3, us: 1e6, µs: 1e6 };

/** Times between commas, in seconds where no unit stands: `"0.2 ms, 5ms"`, `1e-3`. */
export function parseTimes(text: string): number[] {
  return text.split(',').map((part) => {
    const match = /^\s*(\d*\.?\d+(?:[eE][+-]?\d+)?)\s*(s|ms|us|µs)?\s*$/.exec(part);
    const divisor = TIME_DIVISORS[match?.[2] ?? ''];
    if (match === null || divisor === undefined) throw new InvalidArgumentError('write for example 0.2ms,5ms.');
    return Number(match[1]) / divisor;
  });
}

/** Numbers between commas: `7,8,9`. */
export function parseNumbers(text: string): number[] {
  const parts = text.split(',').map((part) => part.trim());
  if (parts.some((part) => !/^\d*\.?\d+$/.test(part))) throw new InvalidArgumentError('write for example 7,8,9.');
  return parts.map(Number);
}

/** Structures as order × taps: `9x3,7x3`. */
export function parseStructures(text: string): { highestOrder: number; memoryDepth: number }[] {
  return text.split(',').map((part) => {
    const match = /^\s*(\d+)\s*[x×]\s*(\d+)\s*$/.exec(part);
    if (match === null) throw new InvalidArgumentError('write for example 9x3,7x3 (order × taps).');
    return { highestOrder: Number(match[1]), memoryDepth: Number(match[2]) };
  });
}

/** For options that may be repeated. */
export function collect(value: string, all: readonly string[]): string[] {
  return [...all, value];
}

const PATH_UNITS: Readonly<Record<string, number>> = {
  '': 1,
  Hz: 1,
  kHz: 1e3,
  MHz: 1e6,
  GHz: 1e9,
  dB: 1,
  bits: 1,
  s: 1,
  us: 1e-6,
  µs: 1e-6,
  ns: 1e-9,
  ps: 1e-12,
};

/** Values of a path study: frequencies, levels, bits or times, with a sign. */
export function parsePathValues(text: string): number[] {
  return text.split(',').map((part) => {
    const match = /^\s*([+-]?\d*\.?\d+(?:[eE][+-]?\d+)?)\s*([kMG]?Hz|dB|bits|s|us|µs|ns|ps)?\s*$/.exec(part);
    const factor = PATH_UNITS[match?.[2] ?? ''];
    if (match === null || factor === undefined) {
      throw new InvalidArgumentError('write for example 10MHz,20MHz or 25,40 or -8ns,0,8ns.');
    }
    return Number((Number(match[1]) * factor).toPrecision(15));
  });
}
