// What a new part of the correction starts from: the schema's defaults, and the few fields without one.
import * as v from 'valibot';
import { learningSchema, type PredistorterSettings, predistorterSchema } from './predistorter.ts';

export type PredistorterKind = PredistorterSettings['kind'];

/** In the order they are offered. */
export const PREDISTORTER_KINDS: readonly PredistorterKind[] = [
  'memoryPolynomial',
  'generalizedMemoryPolynomial',
  'envelopeTable',
];

/** A predistorter of a kind, with what `kept` says and the schema's defaults for the rest. */
export function startPredistorter(kind: PredistorterKind, kept: object = {}): PredistorterSettings {
  return v.parse(predistorterSchema, { ...kept, kind });
}

/**
 * The same predistorter in another structure: learning, observation and number formats stay, depth and orders as far as
 * the structure has them. Stored coefficients belong to their structure and go.
 */
export function restructured(from: PredistorterSettings, kind: PredistorterKind): PredistorterSettings {
  const { memoryDepth, learning, observation, numbers } = from;
  const common = { memoryDepth, learning, observation, numbers };
  if (kind === 'envelopeTable' || from.kind === 'envelopeTable') return startPredistorter(kind, common);
  return startPredistorter(kind, { ...common, nonlinearOrders: from.nonlinearOrders });
}

type Learning = PredistorterSettings['learning'];

export type AdaptationKind = NonNullable<Learning['adaptation']>['kind'];

/** Sample-recursive learning of a kind at its usual step. */
export function startAdaptation(kind: AdaptationKind): Learning['adaptation'] {
  return v.parse(learningSchema, { adaptation: { kind } }).adaptation;
}

/** Structure of the amplifier model of forward-model learning. */
export function startForwardModel(): Learning['forwardModel'] {
  return v.parse(learningSchema, { forwardModel: {} }).forwardModel;
}

/** Observation, number formats or transmitter that leave every effect out. */
export function startObservation(): PredistorterSettings['observation'] {
  return startPredistorter('memoryPolynomial', { observation: {} }).observation;
}

export function startNumbers(): PredistorterSettings['numbers'] {
  return startPredistorter('memoryPolynomial', { numbers: {} }).numbers;
}
