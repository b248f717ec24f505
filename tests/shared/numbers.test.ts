// How figures are written on the page, in a terminal and in pictures.
import { describe, expect, test } from 'vitest';
import {
  formatCount,
  formatEngineering,
  formatFixed,
  formatOffset,
  formatPowerOfTen,
  formatProbability,
  formatQuantity,
  formatSigned,
  formatSignificant,
  NO_READING,
} from '../../shared/format/numbers.ts';

describe('signs', () => {
  test('minus is a minus sign, and what rounds to zero has none', () => {
    expect(formatFixed(-12.34, 1)).toBe('−12.3');
    expect(formatFixed(-0.04, 1)).toBe('0.0');
    expect(formatSigned(-0.04, 'dB')).toBe('0.0\u2009dB');
    expect(formatSigned(0.06, 'dB')).toBe('+0.1\u2009dB');
  });
});

test('a reading that is null is a dash without a unit', () => {
  expect(formatQuantity(null, 'dBm')).toBe(NO_READING);
  expect(formatEngineering(null, 'Hz')).toBe(NO_READING);
  expect(formatQuantity(36.5, 'dBm')).toBe('36.5\u2009dBm');
  expect(formatQuantity(12, '°')).toBe('12.0°');
});

test.each<[number, string, number, string]>([
  [122.88e6, 'Hz', 6, '122.88\u2009MHz'],
  [80e-9, 's', 3, '80\u2009ns'],
  [4.467, 'W', 3, '4.47\u2009W'],
  [-4.5e6, 'Hz', 3, '−4.5\u2009MHz'],
  // Half a digit below a prefix rounds up to it, so that no "1000 kHz" appears.
  [999_999.9, 'Hz', 3, '1\u2009MHz'],
  [0, 'Hz', 3, '0\u2009Hz'],
])('%d %s in %d digits is %s', (value, unit, digits, text) => {
  expect(formatEngineering(value, unit, digits)).toBe(text);
});

test('powers of ten with real superscripts; a bare power drops its factor', () => {
  expect(formatPowerOfTen(123456)).toBe('1.2·10⁵');
  expect(formatProbability(1e-4)).toBe('10⁻⁴');
  expect(formatSignificant(1.5e7)).toBe('1.5·10⁷');
  expect(formatSignificant(0.0123)).toBe('0.0123');
  expect(formatSignificant(0)).toBe('0');
});

test('thousands are parted, offsets carry their sign', () => {
  expect(formatCount(210432)).toBe('210\u2009432');
  expect(formatOffset(4.8e6)).toBe('+4.80\u2009MHz');
});
