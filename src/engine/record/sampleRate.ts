// Sample rates that a record may have. Slower than the slowest converter of a radio (1 kHz), a rate was written in MHz
// or is a duration; above 1 THz it was written in µHz or is a count. Common practice, no source.
import type { Issue } from '../../../shared/schema/issue.ts';
import { printValue } from '../../../shared/schema/issue.ts';

const SLOWEST_HZ = 1e3;
const FASTEST_HZ = 1e12;

export const RATE_RULE = 'must be a number from 1000 to 1e12 Hz';
export const RATE_REMEDY = 'give the sample rate in Hz, such as 122.88e6; neither in MHz nor as a period';

export function isPlausibleRate(value: unknown): boolean {
  return typeof value === 'number' && value >= SLOWEST_HZ && value <= FASTEST_HZ;
}

/** The fault of a sample rate, or null. */
export function rateIssue(path: string, sampleRateHz: number): Issue | null {
  if (isPlausibleRate(sampleRateHz)) return null;
  return { path, rule: RATE_RULE, value: printValue(sampleRateHz), remedy: RATE_REMEDY };
}
