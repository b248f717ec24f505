// What a root search says before it has ended: where it looks next. Own arithmetic: straight lines meet zero where they do.
import { expect, test } from 'vitest';
import { findCrossing } from '../../../src/engine/study/crossing.ts';

const margin = (x: number) => x - 3.25;

test('with the whole grid known, the estimate lies where the straight line through the bracket meets zero', () => {
  const crossing = findCrossing([1, 2, 3, 4, 5], (x) => (Number.isInteger(x) ? margin(x) : 'pending'));
  expect(crossing).toEqual({ kind: 'pending', near: 3.25 });
});

test('points below the bracket need not be known', () => {
  const crossing = findCrossing([1, 2, 3, 4, 5], (x) => (x >= 3 ? margin(x) : 'pending'));
  expect(crossing).toEqual({ kind: 'pending', near: 3.25 });
});

test('a missing point above leaves no estimate, nor does a bracket that is not reached', () => {
  expect(findCrossing([1, 2, 3, 4, 5], (x) => (x === 5 ? 'pending' : margin(x)))).toEqual({
    kind: 'pending',
    near: null,
  });
  expect(findCrossing([1, 2, 3, 4, 5], (x) => (x >= 4 ? margin(x) : 'pending'))).toEqual({
    kind: 'pending',
    near: null,
  });
});

test('a point without a value halves the bracket', () => {
  const probe = (x: number) => (x === 3 ? null : x > 3.5 || x < 3 ? margin(x) : 'pending');
  expect(findCrossing([1, 2, 3, 4], probe)).toEqual({ kind: 'pending', near: 3.5 });
});
