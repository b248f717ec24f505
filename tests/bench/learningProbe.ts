// Learning on a long record, for the bench: what it holds at once is measured in a process of its own.
import { USUAL_LEARNING } from '../../shared/schema/predistorter.ts';
import { levelDrive } from '../../src/engine/amplifier/levelDrive.ts';
import { applyBasis, memoryPolynomialStructure } from '../../src/engine/basis/memoryPolynomial.ts';
import { polynomialRegressors } from '../../src/engine/basis/regressors.ts';
import { type ComplexSignal, meanPower, zeros } from '../../src/engine/dsp/complex.ts';
import { createRandom } from '../../src/engine/dsp/random.ts';
import { learn } from '../../src/engine/linearization/learn.ts';
import { measureNmseDb } from '../../src/engine/measurement/nmse.ts';

/** A gentle amplifier with one tap of memory: y = x − 0.08x|x|² + …; nothing here depends on which. */
const AMPLIFIER = memoryPolynomialStructure([1, 3], 2);
const COEFFICIENTS: ComplexSignal = {
  re: Float64Array.of(1, -0.08, 0.05, -0.01),
  im: Float64Array.of(0, 0.03, 0.02, 0),
};

/** Noise in about a tenth of the rate, as large as the amplifier likes it. */
export function longRecord(sampleCount: number, seed: number): ComplexSignal {
  const random = createRandom(seed);
  const x = zeros(sampleCount);
  for (const part of [x.re, x.im]) {
    let [first, second] = [0, 0];
    for (let n = 0; n < sampleCount; n++) {
      first += 0.2 * (random.uniform() - 0.5 - first);
      second += 0.2 * (first - second);
      part[n] = 2 * second;
    }
  }
  return x;
}

/** Three indirect passes of 20 terms (5 orders × 4 taps); `look` is called wherever much is held. */
export function learnOn(training: ComplexSignal, selection: ComplexSignal, look: () => void): readonly number[] {
  const wantedMeanPower = meanPower(training);
  const result = learn({
    structure: polynomialRegressors(memoryPolynomialStructure([1, 3, 5, 7, 9], 4)),
    settings: { ...USUAL_LEARNING, passCount: 3, trainingSampleCount: 'all' },
    training,
    selection,
    bench: {
      amplify: (drive) => {
        const output = applyBasis(AMPLIFIER, COEFFICIENTS, drive);
        look();
        return output;
      },
      level: (device, waveform, startScale) => {
        const levelled = levelDrive({ device, waveform, wantedMeanPower, maximumScale: 10, startScale });
        look();
        if (levelled.kind === 'outOfReach') return null;
        return { scale: levelled.driveScale, output: levelled.output, outputBackoffDb: 0 };
      },
      judge: () => {
        look();
        return { worstAclrDb: null, evmPercent: null };
      },
      measureNmseDb,
    },
  });
  return result.passes.map(({ nmseDb }) => nmseDb);
}
