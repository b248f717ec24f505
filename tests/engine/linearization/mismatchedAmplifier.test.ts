// Ding's Wiener–Hammerstein amplifier under indirect learning of a memory polynomial, which is not its structure (DI-04).
import { describe, expect, test } from 'vitest';
import { memoryPolynomialStructure } from '../../../src/engine/basis/memoryPolynomial.ts';
import checks from '../../reference/checks.json' with { type: 'json' };
import { hammersteinAmplifier, hammersteinDrive, learnDing, readDing } from './dingBench.ts';

// Source: DI-04, simulated with numpy on a record of its own seed: ±0.8 dB before correction, within 3 dB or better after
// four passes, as its tolerance says. The check does not say its gain. With the least-squares gain of each pass all rows
// come out within the tolerance; with the small-signal gain of DI-02 (2.85 against 2.53) they fall 4 to 5 dB short in ACLR.
describe.each(Object.entries(checks['DI-04'].expected))('DI-04: %s', (level, { rms, before, after }) => {
  const x = hammersteinDrive(Number(level.slice('max|v|='.length)));

  test('before', () => {
    const reading = readDing(x, hammersteinAmplifier(x));
    const own = Math.sqrt(x.re.reduce((sum, re, n) => sum + re * re + (x.im[n] ?? 0) ** 2, 0) / x.re.length);
    expect(Math.abs(20 * Math.log10(own / rms))).toBeLessThan(0.5);
    expect(Math.abs(reading.lowerDb - before.ACLR1_L)).toBeLessThan(0.8);
    expect(Math.abs(reading.upperDb - before.ACLR1_U)).toBeLessThan(0.8);
    expect(Math.abs(reading.nmseDb - before.NMSE_dB)).toBeLessThan(0.8);
  });

  test.each(Object.entries(after))('after four passes: %s', (name, expected) => {
    const [highest = 1, delays = 0] = [...name.matchAll(/\d+/g)].map(Number);
    const orders = Array.from({ length: (highest + 1) / 2 }, (_, k) => 2 * k + 1);
    const structure = memoryPolynomialStructure(orders, delays + 1);
    const reading = learnDing(structure, x, 4, hammersteinAmplifier, null)[3];
    expect(reading?.lowerDb).toBeGreaterThan(expected.ACLR1_L - 3);
    expect(reading?.upperDb).toBeGreaterThan(expected.ACLR1_U - 3);
    expect(reading?.nmseDb).toBeLessThan(expected.NMSE_dB + 3);
  });
});
