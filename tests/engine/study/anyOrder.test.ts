// A study's report depends on the study only: not on the order of its runs, nor on what was known before.
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { StudyInput } from '../../../shared/schema/study.ts';
import type { StudyReport, TaskOutcome } from '../../../shared/schema/studyReport.ts';
import { canonicalJson } from '../../../src/engine/study/lookup.ts';
import { completeStudy, engineRunner, evaluated, madeUpRunner, straightAmplifier, studyOf } from './drive.ts';

const madeUp = madeUpRunner(straightAmplifier);

const questions: readonly [string, StudyInput][] = [
  ['ladder', studyOf({ kind: 'ladder', outputBackoff: { fromDb: 6, toDb: 18, stepDb: 2 } })],
  ['shape', studyOf({ kind: 'shape', targetPaprDb: [7, 8] })],
  ['map', studyOf({ kind: 'map', highestOrders: [3, 5], memoryDepths: [1, 2] })],
  [
    'ask',
    studyOf({
      kind: 'ask',
      wantedAntennaMeanDbm: 36.5,
      targetPaprDb: [8],
      structures: [{ highestOrder: 5, memoryDepth: 2 }],
    }),
  ],
  ['spread', studyOf({ kind: 'spread', seedCount: 4, unitCount: 3 })],
];

/** Runs one pending task at a time, picked by `pick`, and evaluates after each. */
function oneAtATime(study: StudyInput, known: Map<string, TaskOutcome>, pick: (count: number) => number): StudyReport {
  for (;;) {
    const { report, pending } = evaluated(study, known);
    expect(report.complete).toBe(pending.length === 0);
    expect(report.neededCount).toBe(report.doneCount + pending.length);
    // A partial report is plain data: nothing in it is NaN or infinite, which JSON would turn into null.
    expect(JSON.parse(JSON.stringify(report))).toEqual(report);
    const task = pending[pick(pending.length)];
    if (task === undefined) return report;
    known.set(task.key, madeUp(task));
  }
}

describe.each(questions)('%s, on made-up readings', (_kind, study) => {
  const everything = new Map<string, TaskOutcome>();
  const whole = completeStudy(study, madeUp, everything);
  const expected = canonicalJson(whole);

  test('any order of the runs, one at a time', () => {
    fc.assert(
      fc.property(fc.infiniteStream(fc.nat()), (numbers) => {
        const pick = (count: number) => (count === 0 ? 0 : (numbers.next().value as number) % count);
        return canonicalJson(oneAtATime(study, new Map(), pick)) === expected;
      }),
      { numRuns: 3 },
    );
  });

  test('any part of the runs known before, and runs of other studies beside them', () => {
    const keys = [...everything.keys()];
    const junk: [string, TaskOutcome] = ['another study', { kind: 'invalid', issues: [] }];
    fc.assert(
      fc.property(fc.subarray(keys), (some) => {
        const known = new Map([junk, ...some.map((key): [string, TaskOutcome] => [key, everything.get(key)!])]);
        return canonicalJson(completeStudy(study, madeUp, known)) === expected;
      }),
      { numRuns: 10 },
    );
  });

  test('everything known: complete at once, and each run was asked for exactly once', () => {
    const { report, pending } = evaluated(study, everything);
    expect(pending).toEqual([]);
    expect(canonicalJson(report)).toBe(expected);
    expect(report.doneCount).toBe(everything.size);
  });
});

test('the engine’s own runs, forwards and backwards (2 symbols, uncorrected: the order is what is tested)', () => {
  const study = studyOf(
    { kind: 'shape', targetPaprDb: [8], outputBackoff: { fromDb: 14, toDb: 20, stepDb: 3 } },
    { predistorter: null },
  );
  const forwards = completeStudy(study, engineRunner());
  const run = engineRunner();
  const known = new Map<string, TaskOutcome>();
  for (;;) {
    const { report, pending } = evaluated(study, known);
    if (pending.length === 0) {
      expect(canonicalJson(report)).toBe(canonicalJson(forwards));
      break;
    }
    for (const task of [...pending].reverse()) known.set(task.key, run(task));
  }
});
