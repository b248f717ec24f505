import { expect, test } from 'vitest';
import { kneeGain } from '../../../src/engine/amplifier/knee.ts';

// LI-10 of the project's reference checks: what a memoryless inverse of the soft knee must lift a peak that is to leave x dB
// below saturation, −(10/p)·log10(1 − 10^(−p·x/10)); here by bisection of the knee itself.
test.each([
  [1, 0.5, 9.6357],
  [1, 1, 6.8683],
  [1, 2, 4.3292],
  [1, 3, 3.0206],
  [2, 0.5, 3.4341],
  [2, 1, 2.1646],
  [2, 2, 1.1024],
  [2, 3, 0.62814],
  [3, 0.5, 1.7818],
  [3, 1, 1.0069],
  [3, 2, 0.41876],
  [3, 3, 0.19478],
])('LI-10: sharpness %f, peak %f dB below saturation: %f dB more drive', (sharpness, belowDb, wantedDb) => {
  const wanted = 10 ** (-belowDb / 20);
  let [low, high] = [0, 100];
  for (let i = 0; i < 200; i++) {
    const middle = (low + high) / 2;
    if (middle * kneeGain(middle * middle, sharpness) < wanted) low = middle;
    else high = middle;
  }
  const expansionDb = 20 * Math.log10(low / wanted);
  const closedDb = -(10 / sharpness) * Math.log10(1 - 10 ** ((-sharpness * belowDb) / 10));
  expect(Math.abs(expansionDb - closedDb)).toBeLessThan(1e-6); // LI-10's tolerance, against its formula
  expect(Math.abs(expansionDb - wantedDb)).toBeLessThan(5.1e-5); // the value has five digits
});
