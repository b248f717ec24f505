// What is told of each model of the literature: nothing is told without a source, and the marks are those of the table.
import { expect, test } from 'vitest';
import { literatureCurves, publishedLiterature } from '../../shared/tables/amplifierLiterature.ts';
import { publishedAmplifierIds } from '../../shared/tables/publishedAmplifierIds.ts';
import { publishedAmplifiers } from '../../shared/tables/publishedAmplifiers.ts';

test.each(publishedAmplifierIds)('%s: formula, source and the mark of its table', (id) => {
  const entry = publishedLiterature(id);
  expect(entry?.formulas.join(' ')).toMatch(/[=:]/);
  expect(entry?.formulas.join(' ')).not.toContain('undefined');
  expect(entry?.source).toMatch(/3GPP|IEEE|Ding/);
  expect(entry?.status).toBe(publishedAmplifiers[id]?.status.startsWith('recalled') ? 'from memory' : 'read');
});

test('a formula counts what the table prints', () => {
  // 3GPP R4-165901: eight complex coefficients of the GaAs amplifier; Ding 2004, eq. (11): three orders, three delays.
  expect(publishedLiterature('GaAs_2GHz')?.formulas[0]).toContain('8 coefficients');
  expect(publishedLiterature('Ding_2004')?.formulas[0]).toMatch(/3 delays, 9 coefficients/);
  expect(publishedLiterature('GaN_2GHz_GMP')?.formulas[0]).toContain('pairs of delays');
  expect(publishedLiterature('Saleh_1981_TWT')?.formulas[1]).toContain('beta_p = 9.104');
  expect(publishedLiterature('unknown')).toBeNull();
});

test('the curves with parameters are from memory, each with its paper', () => {
  for (const { source, status, formulas } of Object.values(literatureCurves)) {
    expect(source).toMatch(/19\d\d|802\.11/);
    expect(status).toBe('from memory');
    expect(formulas).toHaveLength(2);
  }
});
