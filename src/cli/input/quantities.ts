// Quantities as typed on a command line: `9e6`, `9MHz`, `"9 MHz"`, `-4.5 MHz`; `-12`, `"-12 dBfs"`.
import { InvalidArgumentError } from 'commander';

const FACTORS: Readonly<Record<string, number>> = { '': 1, Hz: 1, kHz: 1e3, MHz: 1e6, GHz: 1e9 };

export function parseFrequency(text: string): number {
  const match = /^\s*([+-]?\d*\.?\d+(?:[eE][+-]?\d+)?)\s*([kMG]?Hz)?\s*$/.exec(text);
  const factor = FACTORS[match?.[2] ?? ''];
  if (match === null || factor === undefined) throw new InvalidArgumentError('write for example 9e6 or "9 MHz".');
  return Number(match[1]) * factor;
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
