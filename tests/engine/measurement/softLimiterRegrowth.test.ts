// Soft limiters under Gaussian noise: the engine's amplitude curve in the closed form, and the engine on records.
import { describe, expect, test } from 'vitest';
import { createAmplifier } from '../../../src/engine/amplifier/model.ts';
import { scale } from '../../../src/engine/dsp/complex.ts';
import { dbToAmplitudeRatio, dbToPowerRatio, powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import tables from '../../reference/aclrTables.json' with { type: 'json' };
import { channelPowers, type NoiseRecord } from './flatNoise.ts';
import { gaussianResponse } from './gaussianSeries.ts';

const RECORD: NoiseRecord = { length: 1 << 18, bins: 26215 };

/** The engine's amplifier with this knee and nothing else: y = x/(1 + |x|^2p)^(1/2p). */
function rapp(kneeSharpness: number) {
  const settings = {
    kind: 'filterNonlinearityFilter' as const,
    modelRateHz: 'any' as const,
    inputTaps: [{ re: 1, im: 0 }],
    biasDepthRatio: 0,
    biasTimeConstantS: 1e-7,
    kneeSharpness,
    amPmDeg: 0,
    amPmHalfPower: 1,
    gainBumps: [],
    amPmStep: null,
    outputTaps: [{ re: 1, im: 0 }],
  };
  const record = { sampleRateHz: 1, sampleCount: RECORD.length, symbolCount: null, occupiedSpanHz: 0.1 };
  const outcome = createAmplifier(settings, record);
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.model;
}

const models = new Map([1, 2, 3, 5, 10].map((p) => [p, rapp(p)]));

/** Saturated amplitude A over noise of mean square 1: g(r) = A·h(r/A), with the engine's curve h. */
function curveOf(p: number, inputBackoffDb: number): (r: number) => number {
  const saturated = dbToAmplitudeRatio(inputBackoffDb);
  const model = models.get(p);
  if (model === undefined) throw new Error(`no model of p = ${p}`);
  return (r) => saturated * model.staticOutput(r / saturated).re;
}

const hardStop = (inputBackoffDb: number) => (r: number) => Math.min(r, dbToAmplitudeRatio(inputBackoffDb));

/** Input back-off at which the output back-off is this: bisection, monotonic. */
function inputBackoffFor(
  curveAt: (inputBackoffDb: number) => (r: number) => number,
  wanted: (response: { outputBackoffDb: number; aclrDb: () => number }) => number,
): number {
  let [low, high] = [-5, 30];
  for (let i = 0; i < 22; i++) {
    const middle = (low + high) / 2;
    const response = gaussianResponse(curveAt(middle));
    const outputBackoffDb = middle - powerRatioToDb(response.outputPower);
    const aclrDb = () => powerRatioToDb(response.inChannel(0) / response.inChannel(1));
    if (wanted({ outputBackoffDb, aclrDb }) < 0) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

describe('GA-06: linear gain, power and distortion of a soft limiter', () => {
  // Source: GA-06, quadrature and for p = 1 a closed form; 1e-6, and 1e-4 dB for ten digits.
  test.each(Object.entries(tables['GA-06'].expected))('%s', (key, expected) => {
    const [, p, inputBackoffDb] = /^p=(\d+),IBO=(\d+)$/.exec(key)?.map(Number) ?? [];
    const { alpha, distortion, outputPower } = gaussianResponse(curveOf(p, inputBackoffDb));
    expect(Math.abs(alpha - expected.alpha)).toBeLessThan(1e-6);
    expect(Math.abs(outputPower - expected.Ey2)).toBeLessThan(1e-6);
    expect(Math.abs(powerRatioToDb((alpha * alpha) / distortion) - expected.SDR_dB)).toBeLessThan(1e-4);
    expect(Math.abs(inputBackoffDb - powerRatioToDb(outputPower) - expected.OBO_dB)).toBeLessThan(1e-5);
    expect(Math.abs((100 * Math.sqrt(distortion)) / alpha - expected.EVM_pct)).toBeLessThan(1e-4);
  });
});

describe('GA-14: emission of a soft limiter', () => {
  // Source: GA-14, Laguerre series with Eulerian weights. 1e-3 dB: the check's back-offs are printed to ten digits.
  test.each(Object.entries(tables['GA-14'].expected))('series, %s', (key, expected) => {
    const p = Number(/^p=(\d)/.exec(key)?.[1]);
    const response = gaussianResponse(curveOf(p, expected.IBO));
    expect(Math.abs(expected.IBO - powerRatioToDb(response.outputPower) - expected.OBO)).toBeLessThan(1e-3);
    const own = response.inChannel(0);
    expect(Math.abs(powerRatioToDb(own / response.inChannel(1)) - expected.ACLR1)).toBeLessThan(1e-3);
    expect(Math.abs(powerRatioToDb(own / response.inChannel(2)) - expected.ACLR2)).toBeLessThan(0.01);
    // In-band EVM: what of the distortion falls on the own channel.
    const inBand = own - response.alpha ** 2;
    expect(Math.abs((100 * Math.sqrt(inBand)) / response.alpha - expected.EVM_inband)).toBeLessThan(1e-3);
  });

  // The engine's amplifier on records of noise, exact bins: 0.1 dB in the adjacent channel on 2^20 samples or more; the
  // alternate one, fed by rare peaks, within 0.5 dB (four standard deviations over these records are 0.2 to 0.4 dB).
  test.each([
    ['p=1,OBO=5', 4],
    ['p=1,OBO=10', 4],
    ['p=2,OBO=8', 8],
    ['p=3,OBO=7', 8],
  ] as const)('records, %s', (key, recordCount) => {
    const expected = tables['GA-14'].expected[key];
    const model = models.get(Number(key[2]));
    const saturated = dbToAmplitudeRatio(expected.IBO);
    const device = (x: Parameters<typeof scale>[0]) => model!.amplify(scale(x, 1 / saturated));
    const { inChannel, total } = channelPowers(device, 1, recordCount, 2, RECORD);
    expect(Math.abs(-powerRatioToDb(total) - expected.OBO)).toBeLessThan(0.02);
    for (const side of [-1, 1]) {
      expect(Math.abs(powerRatioToDb(inChannel(0) / inChannel(side)) - expected.ACLR1)).toBeLessThan(0.1);
      expect(Math.abs(powerRatioToDb(inChannel(0) / inChannel(2 * side)) - expected.ACLR2)).toBeLessThan(0.5);
    }
  });
});

describe('GA-15: back-off that an ACLR costs', () => {
  // Source: GA-15, the root of GA-13 and GA-14; 0.05 dB.
  test.each(Object.entries(tables['GA-15'].expected))('%s', (key, expected) => {
    const [name, target] = key.split(',ACLR1=');
    const curveAt = name === 'ideal limiter' ? hardStop : (backoffDb: number) => curveOf(Number(name), backoffDb);
    const inputBackoffDb = inputBackoffFor(curveAt, ({ aclrDb }) => aclrDb() - Number(target));
    const { outputPower } = gaussianResponse(curveAt(inputBackoffDb));
    expect(Math.abs(inputBackoffDb - powerRatioToDb(outputPower) - expected)).toBeLessThan(0.05);
  });

  // The example of the check: at 45 dB predistortion of p = 1 buys 9.1 dB, of p = 2 3.0 dB.
  test('what a memoryless correction can buy at 45 dB', () => {
    const { expected } = tables['GA-15'];
    expect(expected['1,ACLR1=45'] - expected['ideal limiter,ACLR1=45']).toBeCloseTo(9.1, 1);
    expect(expected['2,ACLR1=45'] - expected['ideal limiter,ACLR1=45']).toBeCloseTo(3.0, 1);
    expect(dbToPowerRatio(-expected['ideal limiter,ACLR1=45'])).toBeLessThan(1);
  });
});
