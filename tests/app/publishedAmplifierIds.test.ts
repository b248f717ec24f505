import { expect, test } from 'vitest';
import { publishedAmplifierIds } from '../../shared/tables/publishedAmplifierIds.ts';
import { publishedAmplifiers } from '../../shared/tables/publishedAmplifiers.ts';

test('the list of published amplifiers names every model of the table, in its order', () => {
  expect(publishedAmplifierIds).toEqual(Object.keys(publishedAmplifiers));
});
