// How far an amplifier model may be driven and what comes out at most, in words.
import { formatQuantity, formatSigned, formatSignificant } from './numbers.ts';

/** Where the drive is held; null: the formula holds for any drive, or nothing guards it. */
export function driveRangeText(driveRange: number | null): string {
  if (driveRange === null) return 'any drive';
  const db = formatSigned(20 * Math.log10(driveRange), 'dB', 1);
  return `held at ${db} re the knee (${formatSignificant(driveRange, 4)} of its amplitude)`;
}

/** The largest output for any drive; null without a guard. */
export function outputBoundText(outputBoundDb: number | null): string {
  return outputBoundDb === null
    ? 'not bounded'
    : `at most ${formatQuantity(outputBoundDb, 'dB', 2)} re saturated power, for any drive`;
}
