// Floating-point operations of a structure against PA-10's bookkeeping.
import { expect, test } from 'vitest';
import { generalizedMemoryPolynomialStructure } from '../../../src/engine/basis/generalizedMemoryPolynomial.ts';
import { memoryPolynomialStructure } from '../../../src/engine/basis/memoryPolynomial.ts';
import { costOf, filteringOperations, newTermOperations } from '../../../src/engine/linearization/cost.ts';
import checks from '../../reference/checks.json' with { type: 'json' };

const { R9, R20, R56, basis_odd_K5 } = checks['PA-10'].expected;

// Source: PA-10 (arithmetic of 8·R − 2), exact.
test.each([
  [9, R9],
  [20, R20],
  [56, R56],
])('PA-10: the sum of %d coefficients takes %d operations', (count, expected) => {
  expect(filteringOperations(count)).toBe(expected);
});

test('PA-10: odd orders up to 5 take 8 operations for a new sample, at any memory depth', () => {
  for (const depth of [1, 3, 7])
    expect(newTermOperations(memoryPolynomialStructure([1, 3, 5], depth))).toBe(basis_odd_K5);
});

// Counted by hand with PA-10's costs.
test.each<[string, readonly number[], number]>([
  ['a filter makes no terms', [1], 0],
  ['|x|² and one product', [1, 3], 3 + 2],
  ['orders to 9: |x|², |x|⁴, |x|⁶, |x|⁸, four products', [1, 3, 5, 7, 9], 3 + 3 + 8],
  ['a gap is bridged', [1, 7], 3 + 2 + 2],
  ['order 2: |x|², its root, one product', [1, 2], 3 + 1 + 2],
  ['orders 2, 3, 4: |x|³ = |x|·|x|²', [1, 2, 3, 4], 3 + 1 + 1 + 6],
])('%s', (_title, orders, expected) => {
  expect(newTermOperations(memoryPolynomialStructure(orders, 2))).toBe(expected);
});

test('a cross term is new once for each envelope delay, however many signal delays use it', () => {
  const cross = { nonlinearOrders: [3, 5], memoryDepth: 3, laggingEnvelopeDelays: 1, leadingEnvelopeDelays: 1 };
  const structure = generalizedMemoryPolynomialStructure([1, 3, 5], 3, cross);
  // Beside the 8 of the memory polynomial: orders 3 and 5 on two delayed envelopes, 2 each.
  expect(newTermOperations(structure)).toBe(basis_odd_K5 + 2 * 2 * 2);
});

test('9 coefficients of odd orders to 5 over 3 delays: 70 + 8 in all', () => {
  expect(costOf(memoryPolynomialStructure([1, 3, 5], 3)).floatingPointOperationsPerSample).toBe(R9 + basis_odd_K5);
});
