// Settings of an amplifier model from a structure and its coefficients, and what the model says of a drive.
import type { AmplifierModelSettings } from '../../../shared/schema/scenario.ts';
import type { ComplexSignal } from '../dsp/complex.ts';
import type { CandidateStructure } from '../identification/candidateStructures.ts';
import { amplifyRecord } from './amplifyRecord.ts';
import type { RecordInput } from './measureRecord.ts';

export interface ModelFacts {
  readonly modelRateHz: number;
  readonly driveRange: number;
  readonly saturatedAmplitude: number | 'peakOfRange';
}

/** A memory polynomial where the structure is one, a generalized one otherwise; in the records' own units. */
export function modelSettings(
  structure: CandidateStructure,
  coefficients: ComplexSignal,
  facts: ModelFacts,
): AmplifierModelSettings {
  const numbers = structure.terms.map((_, i) => ({ re: coefficients.re[i], im: coefficients.im[i] }));
  const { nonlinearOrders, memoryDepth, leadSamples, cross } = structure;
  if (cross === null && leadSamples === 0) {
    return {
      kind: 'memoryPolynomial',
      ...facts,
      nonlinearOrders: [...nonlinearOrders],
      memoryDepth,
      coefficients: numbers,
    };
  }
  const pairs = new Map<string, GeneralizedTerm>();
  structure.terms.forEach(({ delaySamples, envelopeDelaySamples, nonlinearOrder }, i) => {
    const key = `${delaySamples}/${envelopeDelaySamples}`;
    const pair = pairs.get(key) ?? { delaySamples, envelopeDelaySamples, nonlinearOrders: [], coefficients: [] };
    pair.nonlinearOrders.push(nonlinearOrder);
    pair.coefficients.push(numbers[i]);
    pairs.set(key, pair);
  });
  return { kind: 'generalizedMemoryPolynomial', ...facts, terms: [...pairs.values()] };
}

interface GeneralizedTerm {
  delaySamples: number;
  envelopeDelaySamples: number;
  nonlinearOrders: number[];
  coefficients: { re: number; im: number }[];
}

export interface Prediction {
  readonly output: ComplexSignal;
  readonly heldSampleRatio: number;
}

/** The model's output in the record's units. Throws RangeError for settings that a fit never gives. */
export function predict(settings: AmplifierModelSettings, drive: RecordInput): Prediction {
  const outcome = amplifyRecord(drive, settings);
  if (outcome.kind === 'invalid') {
    throw new RangeError(`identifiedModel: ${outcome.issues.map(({ path, rule }) => `${path} ${rule}`).join('; ')}`);
  }
  return { output: outcome.record.signal, heldSampleRatio: outcome.record.heldSampleRatio };
}
