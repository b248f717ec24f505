// Words about an identified amplifier.
import { describe, expect, test } from 'vitest';
import {
  identificationVerdict,
  modelName,
  structureKinds,
  structureNote,
  structureWords,
} from '../../shared/format/identificationText.ts';
import type { IdentificationReport, IdentifiedStructure } from '../../shared/schema/identificationReport.ts';

const STRUCTURE: IdentifiedStructure = {
  nonlinearOrders: [1, 3, 5, 7, 9],
  memoryDepth: 3,
  leadSamples: 0,
  cross: null,
  coefficientCount: 15,
  trainingNmseDb: -51.9,
  heldOutNmseDb: -51.71,
};
const CROSSED: IdentifiedStructure = {
  ...STRUCTURE,
  nonlinearOrders: [1, 2, 3, 4, 5],
  leadSamples: 1,
  cross: { nonlinearOrders: [2, 3, 4, 5], reachSamples: 1 },
  coefficientCount: 43,
  heldOutNmseDb: -49.8,
};

/** Thin spaces before units as plain ones. */
const plain = (text: string) => text.replace(/\u2009/g, ' ');

const verdict = (level: 'good' | 'limited' | 'poor', compressionAtPeakDb: number, chosen = STRUCTURE) =>
  plain(
    identificationVerdict({
      trust: { level, reasons: [] },
      chosen,
      structures: [STRUCTURE, CROSSED],
      scale: { compressionAtPeakDb } as IdentificationReport['scale'],
    }),
  );

describe('the sentence that answers', () => {
  test('which model, how far below the output its error is, how far its drive reaches', () => {
    expect(verdict('good', 2.43)).toBe(
      'Good within 51.7 dB: a memory polynomial with 15 coefficients predicts this amplifier up to 2.4 dB of compression.',
    );
    expect(verdict('limited', -0.34, CROSSED)).toBe(
      'Good within 49.8 dB, with limits: a generalized memory polynomial with 43 coefficients predicts this amplifier up to the largest drive of the records, where its gain has risen by 0.3 dB.',
    );
    expect(verdict('good', 0.04)).toContain('up to the largest drive of the records.');
  });

  test('a model that is not to be trusted says so first', () => {
    const linear = { ...STRUCTURE, memoryDepth: 1, nonlinearOrders: [1], coefficientCount: 1, heldOutNmseDb: -21.3 };
    expect(verdict('poor', 0, linear)).toBe(
      'Not to be trusted: the best of 2 structures, a polynomial without memory with 1 coefficient, leaves an error only 21.3 dB below the output.',
    );
  });
});

describe('structures', () => {
  test('are named by their terms', () => {
    expect(structureWords(STRUCTURE)).toBe('orders 1 to 9, odd; depth 3');
    expect(structureWords(CROSSED)).toBe('orders 1 to 5; depth 3, 1 ahead; cross terms of order 2 to 5, ± 1');
    expect(structureWords({ ...STRUCTURE, nonlinearOrders: [1, 3] })).toBe('orders 1, 3; depth 3');
    expect(modelName({ ...STRUCTURE, leadSamples: 1 })).toBe('generalized memory polynomial');
  });

  test('the best of each kind by held-out error, and whether its terms pay', () => {
    const better = { ...STRUCTURE, memoryDepth: 4, heldOutNmseDb: -51.8 };
    const kinds = structureKinds({ structures: [STRUCTURE, better, CROSSED] });
    expect(kinds.map(({ label, best }) => [label, best])).toEqual([
      ['memory, odd orders', better],
      ['cross terms, all orders', CROSSED],
    ]);
    const note = structureNote({
      structures: [STRUCTURE, better, CROSSED],
      keptMarginDb: 0.1,
      gains: { memoryDb: 0.14, crossTermsDb: 0.04, evenOrdersDb: null },
    });
    expect(note).toContain('out of 3 tried');
    expect(plain(note)).toContain('Delays pay: +0.14 dB. Cross terms do not pay: +0.04 dB.');
    expect(note).not.toContain('Even');
  });
});
