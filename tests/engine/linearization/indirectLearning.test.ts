// The rules of the learning loop on small benches whose answers are known beforehand.

import { describe, expect, test } from 'vitest';
import { USUAL_LEARNING } from '../../../shared/schema/predistorter.ts';
import type { LearningSettings } from '../../../shared/schema/scenario.ts';
import { levelDrive } from '../../../src/engine/amplifier/levelDrive.ts';
import { applyBasis, memoryPolynomialStructure } from '../../../src/engine/basis/memoryPolynomial.ts';
import { polynomialRegressors } from '../../../src/engine/basis/regressors.ts';
import { type ComplexSignal, fromPairs, meanPower, peakPower, rotate, scale } from '../../../src/engine/dsp/complex.ts';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import type { Device } from '../../../src/engine/dsp/waveformTypes.ts';
import {
  type LearningBench,
  type LearningFaults,
  learnIndirectly,
} from '../../../src/engine/linearization/indirectLearning.ts';
import { measureNmseDb } from '../../../src/engine/measurement/nmse.ts';
import { multicarrierRecord } from './multicarrierRecord.ts';

const structure = memoryPolynomialStructure([1, 3, 5], 2);
const x = scale(multicarrierRecord(4096, 601, 667, 8, 1).signal, 0.3);
const fresh = scale(multicarrierRecord(4096, 601, 667, 8, 2).signal, 0.3);

/** Compresses softly and has a little memory. */
const soft: Device = (drive) =>
  applyBasis(
    structure,
    fromPairs([
      { re: 1, im: 0.1 },
      { re: -0.25, im: 0.1 },
      { re: 0.03, im: 0 },
      { re: 0.05, im: -0.03 },
      { re: 0.01, im: 0.01 },
      { re: 0, im: 0 },
    ]),
    drive,
  );

const settings = (over: Partial<LearningSettings> = {}): LearningSettings => ({
  ...USUAL_LEARNING,
  driveCeilingRatio: 100,
  ...over,
});

/** Judged by error, or by numbers handed in one after the other: the baseline first, then pass by pass. */
function benchOf(amplify: Device, scores: readonly number[] | null = null): LearningBench {
  const wantedMeanPower = meanPower(amplify(x));
  let next = 0;
  return {
    amplify,
    level: (device, input, startScale) => {
      const levelled = levelDrive({ device, waveform: input, wantedMeanPower, maximumScale: 3, startScale });
      if (levelled.kind !== 'levelled') return null;
      return {
        scale: levelled.driveScale,
        output: levelled.output,
        outputBackoffDb: -powerRatioToDb(levelled.meanPower),
      };
    },
    judge: (output) => {
      const worstAclrDb = scores === null ? -measureNmseDb(fresh, output) : scores[next++];
      return { worstAclrDb, evmPercent: null };
    },
    measureNmseDb,
  };
}

function learn(
  bench: LearningBench,
  over: Partial<LearningSettings> = {},
  faults: LearningFaults = {},
  st = structure,
) {
  return learnIndirectly({
    structure: polynomialRegressors(st),
    settings: settings(over),
    training: x,
    selection: fresh,
    bench,
    faults,
  });
}

describe('which pass is kept', () => {
  // Source: architecture §3: the pass with the best worst-side ACLR on the selection record, never a worse-than-uncorrected
  // one silently.
  test('the best one, not the last', () => {
    const result = learn(benchOf(soft, [30, 45, 52, 41]));
    expect([result.baseline.worstAclrDb, result.chosenPass, result.bestPass]).toEqual([30, 1, 1]);
    expect(result.passes.map(({ worstAclrDb }) => worstAclrDb)).toEqual([45, 52, 41]);
    expect(result.rejectedBecause).toBeNull();
  });

  test('none when all are worse, with the numbers and the least bad one', () => {
    const result = learn(benchOf(soft, [40, 31, 33, 29]));
    expect([result.chosenPass, result.bestPass]).toEqual([null, 1]);
    expect(result.rejectedBecause).toMatch(/best of 3 passes reaches an ACLR of 33\.0 dB.*no better than 40\.0 dB/);
  });

  test('an equal one is not used either', () => {
    expect(learn(benchOf(soft, [40, 40, 39, 38])).chosenPass).toBeNull();
  });

  test('the last one only by the mistake that a test puts in', () => {
    expect(learn(benchOf(soft, [40, 31, 33, 29]), {}, { keepLastPass: true }).chosenPass).toBe(2);
  });

  test('judged by error where no channel can be read', () => {
    const bench = { ...benchOf(soft), judge: () => ({ worstAclrDb: null, evmPercent: null }) };
    const { passes, chosenPass } = learn(bench);
    const errors = passes.map(({ selectionNmseDb }) => selectionNmseDb);
    expect(chosenPass).toBe(errors.indexOf(Math.min(...errors)));
  });
});

describe('what learning does', () => {
  // Source: indirect learning on an amplifier near its own structure: the error falls by 15 dB or more (as in DI-03), on
  // fresh data too.
  test('lowers the error at the same output power', () => {
    const bench = benchOf(soft);
    const { passes } = learn(bench);
    const before = measureNmseDb(x, soft(x));
    const wanted = -powerRatioToDb(meanPower(soft(x)));
    for (const pass of passes) {
      expect(pass.nmseDb).toBeLessThan(before - 15);
      expect(pass.selectionNmseDb).toBeLessThan(before - 15);
      expect(Math.abs(pass.outputBackoffDb - wanted)).toBeLessThan(0.01);
      // Residuals of another 600 independent samples: their highest peaks decide.
      expect(Math.abs(pass.freshResidualDb - pass.fitResidualDb)).toBeLessThan(3);
    }
  });

  // Source: the observation is scaled by one least-squares gain: an amplifier's gain and phase change nothing but the
  // scale of the output.
  test('does not depend on the amplifier’s gain and phase', () => {
    const turned: Device = (drive) => rotate(soft(drive), { re: -2, im: 1.5 });
    const plain = learn(benchOf(soft));
    const other = learn(benchOf(turned));
    plain.passes.forEach((pass, i) => {
      expect(other.passes[i].nmseDb).toBeCloseTo(pass.nmseDb, 6);
    });
    plain.coefficients[2].re.forEach((re, i) => {
      expect(other.coefficients[2].re[i]).toBeCloseTo(re, 6);
      expect(other.coefficients[2].im[i]).toBeCloseTo(plain.coefficients[2].im[i], 6);
    });
  });

  test('announces every pass and counts its samples', () => {
    const seen: number[] = [];
    const result = learnIndirectly({
      structure: polynomialRegressors(structure),
      settings: settings({ passCount: 2, trainingSampleCount: 1000 }),
      training: x,
      selection: fresh,
      bench: benchOf(soft),
      onPass: (pass) => seen.push(pass),
    });
    expect(seen).toEqual([0, 1]);
    expect(result.trainingSampleCount).toBe(1000);
    expect(result.coefficients.length).toBe(2);
  });

  // Source: pitfall P6: few samples fit their window better than a fresh record; where they lie may be chosen.
  test('a short window fits itself better than fresh data', () => {
    const window = (trainingStartSample: number) =>
      learnIndirectly({
        structure: polynomialRegressors(memoryPolynomialStructure([1, 3, 5, 7, 9], 5)),
        settings: settings({ passCount: 1, trainingSampleCount: 60 }),
        training: x,
        selection: fresh,
        bench: benchOf((drive) => rotate(soft(soft(drive)), { re: 1, im: 0 })),
        trainingStartSample,
      }).passes[0];
    expect(window(100).fitResidualDb).toBeLessThan(window(100).freshResidualDb - 5);
    expect(window(100).fitResidualDb).not.toBe(window(900).fitResidualDb);
  });
});

describe('the drive ceiling', () => {
  const ceiling = Math.sqrt(peakPower(x));

  // Source: issue and architecture §4: no drive passes the ceiling, and the held samples are counted.
  test('holds the drive and counts what it held', () => {
    const { passes } = learn(benchOf(soft), { driveCeilingRatio: ceiling });
    for (const pass of passes) {
      expect(pass.drivePeakDb).toBeLessThan(powerRatioToDb(ceiling ** 2) + 1e-9);
      expect(pass.heldSampleRatio).toBeGreaterThan(0);
      expect(pass.heldSampleRatio).toBeLessThan(0.05);
    }
    const free = learn(benchOf(soft), { driveCeilingRatio: ceiling }, { ignoreCeiling: true });
    expect(free.passes[0].drivePeakDb).toBeGreaterThan(powerRatioToDb(ceiling ** 2) + 0.5);
    expect(free.passes[0].heldSampleRatio).toBe(0);
  });

  // Source: architecture §4: the target is the drive sent, after the ceiling. Fitting the requested drive leaves a larger
  // residual: the held peaks never reached the amplifier.
  test('the fit aims at the drive that was sent', () => {
    const low = { driveCeilingRatio: 0.9 * ceiling };
    const sent = learn(benchOf(soft), low);
    const requested = learn(benchOf(soft), low, { fitRequestedDrive: true });
    expect(requested.passes[2].fitResidualDb).toBeGreaterThan(sent.passes[2].fitResidualDb + 3);
  });
});

describe('reasons', () => {
  test('a power out of reach is said before any pass', () => {
    const result = learn({ ...benchOf(soft), level: () => null });
    expect(result.rejectedBecause).toMatch(/wanted power is out of reach/);
    expect([result.passes.length, result.chosenPass, result.bestPass]).toEqual([0, null, null]);
  });

  test('a ceiling that keeps the power out of reach is said', () => {
    const result = learn(benchOf(soft), { driveCeilingRatio: 0.1 });
    expect(result.rejectedBecause).toMatch(/out of reach/);
    expect(result.chosenPass).toBeNull();
  });

  test('basis functions that cannot be told apart are said, with the remedy', () => {
    const twice = { terms: [...structure.terms, structure.terms[0]] };
    const result = learn(benchOf(soft), {}, {}, twice);
    expect(result.rejectedBecause).toMatch(
      /in pass 1 the basis functions cannot be told apart; use fewer orders or taps/,
    );
    expect(learn(benchOf(soft), { ridge: 1e-9 }, {}, twice).passes.length).toBe(3);
  });
});

// Source: pass readings are finite numbers whatever happens (architecture: NaN is never produced).
test('all readings are numbers', () => {
  const readings = (pass: object) => Object.values(pass).filter((value): value is number => value !== null);
  for (const pass of learn(benchOf(soft), { driveCeilingRatio: 0.5 }).passes) {
    for (const value of readings(pass)) expect(Number.isFinite(value)).toBe(true);
  }
  const constant: ComplexSignal = fromPairs(Array.from({ length: 512 }, () => ({ re: 0.3 })));
  const result = learnIndirectly({
    structure: polynomialRegressors(structure),
    settings: settings(),
    training: constant,
    selection: constant,
    bench: benchOf(soft, [0]),
  });
  expect(result.passes.length).toBe(0);
  expect(result.rejectedBecause).toMatch(/cannot be told apart/);
});
