// Keys of tasks and the bookkeeping of what is known.
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { TaskOutcome } from '../../../shared/schema/studyReport.ts';
import { checkScenario } from '../../../src/engine/index.ts';
import { canonicalJson, createLookup } from '../../../src/engine/study/lookup.ts';
import { atBackoff, gridOf, withTarget } from '../../../src/engine/study/variation.ts';
import { shortBase } from './drive.ts';

function base(): Scenario {
  const outcome = checkScenario(shortBase);
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.scenario;
}

describe('canonicalJson', () => {
  test('fields in the order of their names, lists as they are, no undefined', () => {
    const value = { b: 1, a: [{ d: null, c: 'x' }, 2], gone: undefined };
    expect(canonicalJson(value)).toBe('{"a":[{"c":"x","d":null},2],"b":1}');
  });

  test('equal for any order of fields, and for the same data written and read', () => {
    const reversed = (value: unknown): unknown => {
      if (Array.isArray(value)) return value.map(reversed);
      if (typeof value !== 'object' || value === null) return value;
      return Object.fromEntries(
        Object.entries(value)
          .reverse()
          .map(([name, entry]) => [name, reversed(entry)]),
      );
    };
    fc.assert(
      fc.property(fc.jsonValue({ maxDepth: 3 }), (value) => {
        const text = canonicalJson(value);
        const parsedBack = canonicalJson(JSON.parse(JSON.stringify(value)));
        return canonicalJson(reversed(value)) === text && parsedBack === text;
      }),
    );
  });
});

describe('a lookup', () => {
  test('asks for each scenario once, in the order asked', () => {
    const lookup = createLookup(new Map());
    for (const x of [9, 8, 9, 8.0000000001]) lookup.readings(atBackoff(base(), x));
    expect(lookup.pending.map((task) => task.scenario.operatingPoint.outputBackoffDb)).toEqual([9, 8]);
    expect(lookup.doneCount).toBe(0);
  });

  test('counts what is known once, and asks again for the spectrum', () => {
    const first = createLookup(new Map());
    first.readings(base());
    const outcome: TaskOutcome = { kind: 'invalid', issues: [] };
    const lookup = createLookup(new Map(first.pending.map((task) => [task.key, outcome])));
    expect(lookup.outcome(base(), false)).toBe(outcome);
    expect(lookup.readings(base())).toBeNull();
    expect(lookup.outcome(base(), true)).toBeNull();
    expect([lookup.doneCount, lookup.pending.length]).toEqual([1, 1]);
  });
});

describe('variations', () => {
  test('the grid ends at its last point whatever the step', () => {
    expect(gridOf({ fromDb: 5, toDb: 8, stepDb: 1 })).toEqual([5, 6, 7, 8]);
    expect(gridOf({ fromDb: 5, toDb: 6, stepDb: 0.4 })).toEqual([5, 5.4, 5.8, 6]);
    expect(gridOf({ fromDb: 5, toDb: 5.3, stepDb: 0.1 })).toEqual([5, 5.1, 5.2, 5.3]);
  });

  test('a target replaces the old one and keeps its probability; null takes the reduction away', () => {
    expect(withTarget(base(), 7).waveform.crestFactorReduction).toMatchObject({ targetPaprDb: 7, probability: 1e-4 });
    const bare = withTarget(base(), null);
    expect(bare.waveform.crestFactorReduction).toBeNull();
    expect(withTarget(bare, 7).waveform.crestFactorReduction).toMatchObject({ targetPaprDb: 7, probability: 1e-4 });
  });
});
