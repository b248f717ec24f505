import { createHash } from 'node:crypto';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { comparePrints, printedTexts } from '../../shared/reports/printedTexts.ts';
import { sha256 } from '../../shared/reports/sha256.ts';

describe('SHA-256', () => {
  // FIPS 180-4 examples, as published by NIST with the standard.
  test.each([
    ['', 'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855'],
    ['abc', 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad'],
    [
      'abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq',
      '248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1',
    ],
  ])('of %j', (text, digest) => {
    expect(sha256(text)).toBe(digest);
  });

  test('is what another program finds, whatever the length and the characters', () => {
    const other = (text: string) => createHash('sha256').update(text, 'utf8').digest('hex');
    for (let length = 0; length < 130; length++) expect(sha256('x'.repeat(length))).toBe(other('x'.repeat(length)));
    const text = fc.oneof(
      fc.string({ unit: 'binary', maxLength: 200 }),
      fc.string({ unit: 'grapheme', maxLength: 80 }),
    );
    fc.assert(fc.property(text, (value) => sha256(value) === other(value)));
    // Half a surrogate pair becomes U+FFFD in both.
    expect(sha256('a\ud800b')).toBe(other('a\ud800b'));
  });
});

describe('what a page prints', () => {
  test('is its text without scripts and styles, piece by piece', () => {
    const html = '<style>a{}</style><p>One <b>two</b></p><script type="x">3 < 4</script><td> 5.0 </td>';
    expect(printedTexts(html)).toEqual(['One', 'two', '5.0']);
  });

  test('a changed piece is named with the piece before it; after a missing one only the first is', () => {
    expect(comparePrints(['ACLR', '50.1', 'x'], ['ACLR', '50.2', 'x'])).toEqual([
      { printed: '50.1', expected: '50.2', after: 'ACLR' },
    ]);
    expect(comparePrints(['a', 'c'], ['a', 'b', 'c'])).toHaveLength(1);
    expect(comparePrints(['a'], ['a'])).toEqual([]);
  });
});
