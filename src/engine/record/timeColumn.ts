// The sample rate of a text record: from its time column, its comment or the caller.
//
// Rate = (N − 1)/(t[N−1] − t[0]). Printed times are rounded, so single steps scatter; a missing line doubles one.
import { type Issue, printValue } from '../../../shared/schema/issue.ts';
import { rateIssue } from './sampleRate.ts';

export interface NamedRate {
  /** Who states it, such as "line 1". */
  readonly name: string;
  readonly hz: number;
}

/** Steps further from the mean than this share of it: a sample is missing, or the rate is not constant. */
const STEP_TOLERANCE = 0.5;
/** Digits that printed times can carry. */
const RATE_DIGITS = 12;
/** Two statements of one rate may differ by this share: times are rounded. */
const SAME_RATE = 1e-3;

export interface TimeColumn {
  /** The time of the next sample; why it cannot be, or null. */
  readonly add: (seconds: number, line: number) => string | null;
  /** The rate, where there are two samples or more. */
  readonly rates: () => NamedRate[];
  /** The step that differs most, when it differs too much. */
  readonly unevenIssue: () => Issue | null;
}

export function createTimeColumn(): TimeColumn {
  let count = 0;
  let first = 0;
  let last = 0;
  const shortest = { step: Infinity, line: 0 };
  const longest = { step: 0, line: 0 };
  const meanStep = () => (last - first) / (count - 1);
  return {
    add: (seconds, line) => {
      if (!Number.isFinite(seconds)) return 'must begin with a finite time in seconds';
      const step = seconds - last;
      if (count > 0 && !(step > 0)) return `must lie after the time above it, ${last} s`;
      if (count === 0) first = seconds;
      else if (step < shortest.step) Object.assign(shortest, { step, line });
      if (count > 0 && step > longest.step) Object.assign(longest, { step, line });
      last = seconds;
      count++;
      return null;
    },
    rates: () =>
      count < 2 ? [] : [{ name: 'the time column', hz: Number((1 / meanStep()).toPrecision(RATE_DIGITS)) }],
    unevenIssue: () => {
      if (count < 2) return null;
      const mean = meanStep();
      const worst = longest.step - mean > mean - shortest.step ? longest : shortest;
      if (Math.abs(worst.step - mean) <= STEP_TOLERANCE * mean) return null;
      return {
        path: `line ${worst.line}`,
        rule: `must lie one step of about ${mean.toPrecision(4)} s after the line above it`,
        value: `${worst.step.toPrecision(4)} s`,
        remedy: 'is a sample missing? write evenly spaced times with enough digits',
      };
    },
  };
}

/** The one rate that all statements agree on, or why there is none. */
export function settleRate(rates: readonly NamedRate[]): { hz: number; issues: Issue[]; notes: string[] } {
  const [first, ...others] = rates;
  if (first === undefined) {
    const remedy = 'give the sample rate, write a line "# sample_rate 122.88e6", or a time column';
    return {
      hz: 0,
      issues: [{ path: 'sample rate', rule: 'is required to place frequencies', value: printValue(undefined), remedy }],
      notes: [],
    };
  }
  const implausible = rates.flatMap(({ name, hz }) => rateIssue(`sample rate of ${name}`, hz) ?? []);
  if (implausible.length > 0) return { hz: 0, issues: implausible, notes: [] };
  const other = others.find(({ hz }) => Math.abs(hz / first.hz - 1) > SAME_RATE);
  if (other !== undefined) {
    const rule = `must agree with that of ${first.name}, ${first.hz} Hz`;
    const remedy = 'take out the wrong one';
    return {
      hz: 0,
      issues: [{ path: `sample rate of ${other.name}`, rule, value: `${other.hz} Hz`, remedy }],
      notes: [],
    };
  }
  return { hz: first.hz, issues: [], notes: [`sample rate ${first.hz} Hz from ${first.name}`] };
}
