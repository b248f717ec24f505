// Amplifier settings and drive records for the tests of this folder.
import { expect } from 'vitest';
import { quarryLink } from '../../../shared/presets/quarryLink.ts';
import { parseScenario } from '../../../shared/schema/parse.ts';
import type {
  AmplifierModelSettings,
  AmplifierSettings,
  FilterNonlinearityFilterSettings,
  MemoryPolynomialSettings,
} from '../../../shared/schema/scenario.ts';
import { type AmplifierModel, createAmplifier } from '../../../src/engine/amplifier/model.ts';
import type { AmplifierRecord } from '../../../src/engine/amplifier/modelRate.ts';
import { type ComplexSignal, zeros } from '../../../src/engine/dsp/complex.ts';
import { inverseFft } from '../../../src/engine/dsp/fft.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';

/** The amplifier of the Quarry Link preset. */
export function quarryLinkAmplifier(): AmplifierSettings {
  const outcome = parseScenario(quarryLink);
  if (outcome.kind !== 'scenario') throw new Error('the preset does not parse');
  return outcome.scenario.amplifier;
}

/** One unit tap, no bias sag, no AM/PM: the Rapp model of knee 1. */
export const plainKnee: FilterNonlinearityFilterSettings = {
  kind: 'filterNonlinearityFilter',
  modelRateHz: 'any',
  inputTaps: [{ re: 1, im: 0 }],
  biasDepthRatio: 0,
  biasTimeConstantS: 0,
  kneeSharpness: 1,
  amPmDeg: 0,
  amPmHalfPower: 0.3,
  gainBumps: [],
  amPmStep: null,
  outputTaps: [{ re: 1, im: 0 }],
};

/** A polynomial without guard whose own units are the scale's: closed forms apply as printed. */
export function openPolynomial(
  nonlinearOrders: number[],
  memoryDepth: number,
  coefficients: { re: number; im: number }[],
): MemoryPolynomialSettings {
  const common = { kind: 'memoryPolynomial', modelRateHz: 'any', driveRange: 'none', saturatedAmplitude: 1 } as const;
  return { ...common, nonlinearOrders, memoryDepth, coefficients };
}

export function amplifierOf(settings: AmplifierModelSettings, record: AmplifierRecord): AmplifierModel {
  const outcome = createAmplifier(settings, record);
  if (outcome.kind !== 'amplifier') expect.fail(JSON.stringify(outcome.issues));
  return outcome.model;
}

/** The issues of settings that do not fit. */
export function issuesOf(settings: AmplifierModelSettings, record: AmplifierRecord) {
  const outcome = createAmplifier(settings, record);
  return outcome.kind === 'invalid' ? outcome.issues : [];
}

/** Complex Gaussian noise of unit mean power (in expectation), flat within ±bandRatio/2 of the sample rate. */
export function noise(length: number, bandRatio = 1, seed = 1): ComplexSignal {
  const random = createRandom(seed, 'amplifier test');
  const spectrum = zeros(length);
  const half = Math.floor((bandRatio * length) / 2);
  const scale = length * Math.sqrt(1 / (2 * (2 * half + 1)));
  for (let b = -half; b <= half; b++) {
    if (b === -half && 2 * half === length) continue;
    spectrum.re[(b + length) % length] = scale * random.normal();
    spectrum.im[(b + length) % length] = scale * random.normal();
  }
  return inverseFft(spectrum);
}

export function largestAmplitude(x: ComplexSignal): number {
  let largest = 0;
  for (let n = 0; n < x.re.length; n++) largest = Math.max(largest, Math.hypot(x.re[n], x.im[n]));
  return largest;
}

export function largestDifference(x: ComplexSignal, y: ComplexSignal): number {
  expect(x.re.length).toBe(y.re.length);
  let largest = 0;
  for (let n = 0; n < x.re.length; n++) largest = Math.max(largest, Math.hypot(x.re[n] - y.re[n], x.im[n] - y.im[n]));
  return largest;
}
