// Amplifiers from a data sheet: sheets read off known models are met, contradictions are told with the right pair.
//
// The known curves are written down here, by their own formulas: Rapp 1991 (ECSC), Saleh 1981 (IEEE Trans. Commun. 29(11)),
// and, as common practice without a source, class A and AB with an early soft part, gain expansion and a two-device dip.

import * as v from 'valibot';
import { expect, test } from 'vitest';
import { dataSheetSchema } from '../../../shared/schema/dataSheet.ts';
import type { AmplifierSettings } from '../../../shared/schema/scenario.ts';
import { createAmplifier } from '../../../src/engine/amplifier/model.ts';
import { amPmDegAtBackoff, readBackAmplifier } from '../../../src/engine/amplifier/readBack.ts';
import { createRandom, type Random } from '../../../src/engine/dsp/random.ts';
import { largestAmplitude, noise } from './settings.ts';

const RECORD = { sampleRateHz: 122.88e6, sampleCount: 4096 };
const SATURATED_DBM = 45.5;
const GAIN_DB = 36;

type SheetInput = Omit<v.InferInput<typeof dataSheetSchema>, 'kind'>;

function outcomeOf(sheet: SheetInput, record = RECORD) {
  const model = v.parse(dataSheetSchema, { kind: 'dataSheet', ...sheet });
  const outcome = createAmplifier(model, { ...record, saturatedPowerDbm: SATURATED_DBM });
  const settings: AmplifierSettings = {
    model,
    saturatedPowerDbm: SATURATED_DBM,
    gainDb: GAIN_DB,
    outputLossDb: 0,
    loadVswr: 1,
    power: {
      class: 'ofModel',
      efficiencyFactor: 'ofModel',
      quiescentRatio: 'ofModel',
      caseTemperatureC: null,
      thermalResistanceKPerW: null,
    },
    slowStates: null,
    overBand: null,
  };
  return { outcome, settings };
}

function modelOf(sheet: SheetInput, record = RECORD) {
  const { outcome, settings } = outcomeOf(sheet, record);
  if (outcome.kind !== 'amplifier') throw new Error(JSON.stringify([sheet, outcome.issues]));
  return { model: outcome.model, settings };
}

/** A known amplifier: output amplitude and phase (rad) against drive amplitude, small-signal gain 1. */
interface Known {
  readonly name: string;
  readonly class: SheetInput['class'];
  readonly amplitude: (r: number) => number;
  readonly phase: (r: number) => number;
  /** Of |c₃|, for the intercept; null where the product does not rise 3 dB per dB. */
  readonly cubic: number | null;
  readonly expansionDb?: number;
}

const inDb = (ratio: number) => 20 * Math.log10(ratio);

function rapp(p: number, r: number): number {
  return r / (1 + r ** (2 * p)) ** (1 / (2 * p));
}

function draw(random: Random, kind: number): Known {
  const degrees = -30 + 60 * random.uniform();
  const half = 0.2 + 0.5 * random.uniform();
  const phase = (r: number) => ((degrees * Math.PI) / 180) * ((r * r) / (half + r * r));
  const slope = (degrees * Math.PI) / 180 / half;
  switch (kind) {
    case 0: {
      const p = 0.7 + 2.8 * random.uniform();
      return { name: `Rapp ${p}`, class: 'classABSoft', amplitude: (r) => rapp(p, r), phase, cubic: null };
    }
    case 1: {
      // Early soft part: (1 + r²/s)^(−w/2), and a hard knee behind it.
      const [s, w, p] = [0.15 + 0.5 * random.uniform(), 0.1 + 0.25 * random.uniform(), 2 + 2 * random.uniform()];
      const soft = (r: number) => (1 + (r * r) / s) ** (-w / 2);
      const amplitude = (r: number) => rapp(p, r * soft(r));
      return { name: 'soft AB', class: 'classABSoft', amplitude, phase, cubic: Math.hypot(w / (2 * s), slope) };
    }
    case 2: {
      const [k, p] = [0.02 + 0.06 * random.uniform(), 2.5 + 2 * random.uniform()];
      const amplitude = (r: number) => rapp(p, r / Math.sqrt(1 + 2 * k * r * r));
      return { name: 'class A', class: 'classA', amplitude, phase, cubic: Math.hypot(k, slope) };
    }
    case 3: {
      const [e, p] = [0.3 + 1.2 * random.uniform(), 2 + 2 * random.uniform()];
      const amplitude = (r: number) => rapp(p, r * 10 ** ((e / 20) * (r ** 4 / (0.04 + r ** 4))));
      return { name: 'expansion', class: 'gainExpansion', amplitude, phase, cubic: null, expansionDb: e };
    }
    default: {
      // Saleh's amplitude, held at its peak, over unit small-signal gain.
      const beta = 1.1517;
      const amplitude = (r: number) => (r < 1 / Math.sqrt(beta) ? r / (1 + beta * r * r) : 0.5 / Math.sqrt(beta));
      const [a, b] = [4.0033 * (0.3 + 0.7 * random.uniform()), 9.104];
      return {
        name: 'Saleh',
        class: 'classABSoft',
        amplitude,
        phase: (r) => (a * r * r) / (1 + b * r * r),
        cubic: null,
      };
    }
  }
}

function firstDrive(f: (r: number) => number): number {
  let high = 1e-3;
  while (f(high) < 0) high *= 1.002;
  let low = high / 1.002;
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (f(middle) < 0) low = middle;
    else high = middle;
  }
  return high;
}

/** A sheet as a vendor would print it, with some figures left out. */
function sheetOf(known: Known, random: Random): SheetInput {
  const stated = random.uniform() < 0.5 ? null : 3.5 + 4 * random.uniform();
  const compression = (r: number) => -inDb(known.amplitude(r) / r);
  const saturated =
    stated === null ? known.amplitude(1e4) : known.amplitude(firstDrive((r) => compression(r) - stated));
  const dbm = (amplitude: number) => SATURATED_DBM + inDb(amplitude / saturated);
  const at = (db: number) => dbm(known.amplitude(firstDrive((r) => compression(r) - db)));
  const backoffDb = 1 + 5 * random.uniform();
  const level = firstDrive((r) => known.amplitude(r) - saturated * 10 ** (-backoffDb / 20));
  let highest = 0;
  for (let r = 1e-3; r < 10; r *= 1.002) highest = Math.max(highest, -compression(r));
  return {
    class: known.class,
    saturationCompressionDb: stated ?? 'asymptote',
    outputAtOneDbCompressionDbm: random.uniform() < 0.85 ? at(1) : null,
    outputAtThreeDbCompressionDbm: random.uniform() < 0.6 ? at(3) : null,
    outputInterceptDbm: known.cubic !== null && random.uniform() < 0.6 ? dbm(1 / Math.sqrt(known.cubic)) : null,
    amPmDeg: (known.phase(level) * 180) / Math.PI,
    amPmBackoffDb: backoffDb,
    expansionDb: highest,
  };
}

test('150 sheets read off known amplifiers are met: gain 0.05 dB, saturation, P1dB, P3dB 0.1 dB, AM/PM 0.5°', () => {
  const random = createRandom(20, 'sheets');
  const missed: string[] = [];
  let [withIntercept, withThree, withExpansion] = [0, 0, 0];
  for (let i = 0; i < 150; i++) {
    const known = draw(random, i % 5);
    const sheet = sheetOf(known, random);
    const { outcome, settings } = outcomeOf(sheet);
    if (outcome.kind !== 'amplifier') {
      missed.push(
        `${i} ${known.name}: ${JSON.stringify(sheet)} ${outcome.issues.map(({ path, rule }) => path + rule)}`,
      );
      continue;
    }
    const { sheet: rows, saturation } = readBackAmplifier(outcome.model, settings);
    if (sheet.outputInterceptDbm !== null) withIntercept++;
    if (sheet.outputAtThreeDbCompressionDbm !== null) withThree++;
    if (sheet.class === 'gainExpansion') withExpansion++;
    if (!(Math.abs(saturation.outputDb) < 0.1)) missed.push(`${i} ${known.name} saturates at ${saturation.outputDb}`);
    for (const row of rows) {
      if (!row.isMet)
        missed.push(`${i} ${known.name}: ${row.name} ${row.stated} reads ${row.read} ${JSON.stringify(sheet)}`);
    }
  }
  expect(missed).toEqual([]);
  expect([withIntercept > 20, withThree > 50, withExpansion]).toEqual([true, true, 30]);
});

test('Psat 45.5 dBm at 3 dB compression, gain 36 dB: small-signal gain, saturation, and nothing beyond it (F5)', () => {
  const { model, settings } = modelOf({ saturationCompressionDb: 3, outputAtOneDbCompressionDbm: 44.2, amPmDeg: 9 });
  const { saturation, atOneDbCompression, gainDb } = readBackAmplifier(model, settings);
  expect(gainDb).toBe(36);
  expect(model.smallSignalGain).toEqual({ re: 1, im: 0 });
  expect(Math.abs((saturation.outputDbm ?? 0) - 45.5)).toBeLessThan(1e-3);
  expect(Math.abs(saturation.compressionDb - 3)).toBeLessThan(1e-3);
  expect(Math.abs((atOneDbCompression?.outputDbm ?? 0) - 44.2)).toBeLessThan(0.02);
  expect(Math.abs((atOneDbCompression?.driveDbm ?? 0) - (44.2 - 36 + 1))).toBeLessThan(0.02);
  expect(amPmDegAtBackoff(model, 0)).toBeCloseTo(9, 3);
  expect(model.driveRange).toBeCloseTo(10 ** (3 / 20), 12);
  const { re, im } = model.staticOutput(50);
  expect(Math.hypot(re, im)).toBeCloseTo(1, 4);
});

/** Which two figures an issue names. */
function pairOf(text: string): string {
  const words = [
    ['outputAtOneDbCompressionDbm', /outputAtOneDb/],
    ['outputAtThreeDbCompressionDbm', /outputAtThreeDb|output at 3 dB/],
    ['outputInterceptDbm', /outputIntercept/],
    ['saturated', /saturated power/],
    ['amPmDeg', /amPmDeg/],
    ['amPmBackoffDb', /amPmBackoff/],
    ['expansionDb', /expansionDb/],
    ['dipDb', /dipDb/],
  ] as const;
  return words
    .filter(([, pattern]) => pattern.test(text))
    .map(([name]) => name)
    .join(' / ');
}

const ONE = 'outputAtOneDbCompressionDbm';
const THREE = 'outputAtThreeDbCompressionDbm';

/** A sheet made contradictory in one way, and the pair to be told. */
function contradiction(random: Random, kind: number): readonly [SheetInput, string] {
  const by = 0.6 + 2 * random.uniform();
  const one = SATURATED_DBM - 2 - 2 * random.uniform();
  switch (kind) {
    case 0:
      return [{ [ONE]: SATURATED_DBM + by }, `${ONE} / saturated`];
    case 1:
      return [{ [ONE]: one, [THREE]: SATURATED_DBM + by, saturationCompressionDb: 6 }, `${THREE} / saturated`];
    case 2:
      return [{ [ONE]: one, [THREE]: one - by }, `${ONE} / ${THREE}`];
    case 3:
      return [{ [ONE]: one, outputInterceptDbm: one - 3 - 2 * by }, `${ONE} / outputInterceptDbm`];
    case 4:
      return [{ [ONE]: one, amPmDeg: 10, amPmBackoffDb: -by }, 'saturated / amPmBackoffDb'];
    case 5:
      return [{ [ONE]: one, amPmDeg: 40 + 10 * by, amPmBackoffDb: 22 }, 'amPmDeg / amPmBackoffDb'];
    case 6:
      return [{ [ONE]: SATURATED_DBM - 9 - by, class: 'gainExpansion', expansionDb: 2.5 }, `${ONE} / expansionDb`];
    case 7:
      return [{ [ONE]: SATURATED_DBM - 0.7, class: 'twoDevice', dipDb: 1.4 + 0.2 * by }, `${ONE} / dipDb`];
    case 8:
      return [{ [THREE]: SATURATED_DBM - by, saturationCompressionDb: 3 }, `${THREE} / saturated`];
    default:
      return [{ [ONE]: one, [THREE]: SATURATED_DBM - 0.2, saturationCompressionDb: 2 }, `${THREE} / saturated`];
  }
}

test('50 sheets made contradictory are refused, each with the right pair of figures and by how much', () => {
  const random = createRandom(21, 'contradictions');
  for (let i = 0; i < 50; i++) {
    const [sheet, pair] = contradiction(random, i % 10);
    const { outcome } = outcomeOf(sheet);
    const issues = outcome.kind === 'invalid' ? outcome.issues : [];
    const texts = issues.map(({ path, rule, value, remedy }) => `${path} ${rule}, got ${value}; ${remedy}`);
    expect([i, sheet, texts, texts.map(pairOf)]).toEqual([i, sheet, texts, [pair]]);
    expect(texts[0]).toMatch(/\d(\.\d+)? ?(dB|°)/);
  }
});

test('a near miss is a warning with both figures and the miss, not a refusal', () => {
  // A knee no curve of one slope has: 1 and 3 dB of compression 0.15 dB of output apart, saturation 1.35 dB above.
  const { model } = modelOf({ [ONE]: 44, [THREE]: 44.15, saturationCompressionDb: 8 });
  expect(model.notes.map(({ code }) => code)).toEqual(['sheet-not-met']);
  expect(model.notes[0]?.message).toMatch(
    /outputAt(One|Three)DbCompressionDbm \(44\.\d+ dBm\) is missed by 0\.\d\d dB/,
  );
});

test('powers without a saturated power are refused, each in its field; the sheet’s own saturated power serves', () => {
  const model = v.parse(dataSheetSchema, { kind: 'dataSheet', [ONE]: 44, [THREE]: 45 });
  const outcome = createAmplifier(model, RECORD);
  expect(outcome.kind === 'invalid' && outcome.issues.map(({ path }) => path)).toEqual([
    `amplifier.model.${ONE}`,
    `amplifier.model.${THREE}`,
  ]);
  expect(createAmplifier({ ...model, saturatedPowerDbm: 45.5 }, RECORD).kind).toBe('amplifier');
});

test('the same sheet gives the same amplifier; the bound holds for drives far beyond', () => {
  const sheet = { [ONE]: 43, memorySpanS: 30e-9, memoryBelowSignalDb: 25, gainRippleDb: 1, saturationCompressionDb: 4 };
  const [a, b] = [modelOf(sheet).model, modelOf(sheet).model];
  const drive = noise(RECORD.sampleCount, 0.3, 5);
  for (let n = 0; n < drive.re.length; n++) {
    drive.re[n] *= 3;
    drive.im[n] *= 3;
  }
  const output = a.amplify(drive);
  expect(output).toEqual(b.amplify(drive));
  expect(a.heldSampleRatio(drive)).toBeGreaterThan(0.3);
  expect(largestAmplitude(output)).toBeLessThan(a.outputBound ?? 0);
  expect(a.outputBound ?? 9).toBeLessThan(1.4);
});

/** Complex gain of the model at a small tone `cycles` per record away from the carrier. */
function smallSignalAt(sheet: SheetInput, cycles: number, record = RECORD): number {
  const { model } = modelOf(sheet, record);
  const drive = { re: new Float64Array(record.sampleCount), im: new Float64Array(record.sampleCount) };
  for (let n = 0; n < record.sampleCount; n++) {
    drive.re[n] = 1e-4 * Math.cos((2 * Math.PI * cycles * n) / record.sampleCount);
    drive.im[n] = 1e-4 * Math.sin((2 * Math.PI * cycles * n) / record.sampleCount);
  }
  return inDb(largestAmplitude(model.amplify(drive)) / 1e-4);
}

test('gain ripple: the stated dB from the centre to half the band, the same at another sample rate', () => {
  const sheet = { gainRippleDb: 1.5, rippleBandHz: 20e6 };
  for (const sampleRateHz of [122.88e6, 245.76e6]) {
    const record = { sampleRateHz, sampleCount: 12288 };
    const cycles = (hz: number) => Math.round((hz / sampleRateHz) * record.sampleCount);
    expect(smallSignalAt(sheet, 0, record)).toBeCloseTo(0, 6);
    for (const hz of [10e6, -10e6]) expect(Math.abs(smallSignalAt(sheet, cycles(hz), record) + 1.5)).toBeLessThan(0.05);
    expect(Math.abs(smallSignalAt(sheet, cycles(5e6), record) + 0.75)).toBeLessThan(0.05);
  }
});

test('memory: echoes of the stated strength make the ripple of (1 + a·e^−jωT/2)(1 + b·e^−jωT)', () => {
  const [spanS, belowDb] = [100e-9, 30];
  const echo = Math.SQRT1_2 * 10 ** (-belowDb / 20);
  const factor = (phase: number, turns: number): number => {
    const at = (angle: number) => [1 + echo * Math.cos(angle), echo * Math.sin(angle)];
    return Math.hypot(...at(phase - 2 * Math.PI * turns)) / Math.hypot(...at(phase));
  };
  for (const cycles of [100, 333, -250]) {
    const hz = (cycles / RECORD.sampleCount) * RECORD.sampleRateHz;
    const expected = factor(Math.PI / 3, hz * (spanS / 2)) * factor(-Math.PI / 4, hz * spanS);
    const read = smallSignalAt({ memorySpanS: spanS, memoryBelowSignalDb: belowDb }, cycles);
    expect(Math.abs(read - inDb(expected))).toBeLessThan(0.02);
  }
});
