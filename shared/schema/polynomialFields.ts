// Fields that polynomials with memory share, as amplifier models and as predistorters.
import * as v from 'valibot';
import { complexNumber, count, described, RULE_END } from './field.ts';

export function orderList(label: string, help: string, lowest: number) {
  return v.pipe(
    v.array(
      count({ label: 'Nonlinear order', minimum: lowest, maximum: 25, help: 'Order k of the term x·|x|^(k−1).' }),
      `must be a list of orders${RULE_END}write for example [3, 5, 7]`,
    ),
    v.minLength(1, `must hold at least one order${RULE_END}add order ${lowest}`),
    v.check(
      (orders) => orders.every((order, i) => i === 0 || order > (orders[i - 1] as number)),
      `must be strictly rising${RULE_END}sort the orders and remove repeats`,
    ),
    v.metadata(described(label, help)),
  );
}

export const nonlinearOrders = orderList('Nonlinear orders', 'Orders k of the terms x·|x|^(k−1), rising.', 1);

export const memoryDepth = count({
  label: 'Memory depth',
  minimum: 1,
  maximum: 64,
  help: 'Number of delays, including zero (taps).',
});

export function complexList(label: string, help: string) {
  return v.pipe(
    v.array(complexNumber, `must be a list of complex numbers${RULE_END}write [ { "re": 1, "im": 0 } ]`),
    v.minLength(1, `must hold at least one number${RULE_END}add { "re": 1, "im": 0 }`),
    v.metadata(described(label, help)),
  );
}
