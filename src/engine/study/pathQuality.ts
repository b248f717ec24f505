// How good a path: one figure of the observation or the transmitter varied, the correction judged at each value.
//
// The knee is stated, not fitted: values are walked from the best one to either side for as long as the worse side of
// the first channel stays within `withinDb` of it. What lies beyond buys less than that.
import type { CarrierGeometry } from '../../../shared/schema/geometry.ts';
import type { Issue } from '../../../shared/schema/issue.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import {
  CLEAR_OBSERVATION,
  CLEAR_TRANSMITTER,
  type ObservationSettings,
  type TransmitterSettings,
} from '../../../shared/schema/signalPaths.ts';
import { PATH_PARAMETERS, type PathParameter, type PathQuestion } from '../../../shared/schema/study.ts';
import type { PathPoint, PathResult, RunReadings } from '../../../shared/schema/studyReport.ts';
import { conditionsOf } from './conditions.ts';
import type { Lookup } from './lookup.ts';

export function evaluatePath(base: Scenario, question: PathQuestion, lookup: Lookup, signalSpanHz: number): PathResult {
  const { parameter, withinDb } = question;
  const values = valuesOf(base, question, signalSpanHz);
  const outcomes = values.map((value) => lookup.outcome(withValue(base, parameter, value), false));
  const read = outcomes.map((outcome) => (outcome?.kind === 'readings' ? outcome.readings : null));
  const points = read.flatMap((readings, i) => (readings === null ? [] : [pointOf(values[i], readings)]));
  const clear = withoutEffect(base, parameter);
  const clearReadings = clear === null ? null : lookup.readings(clear);
  const first = read.find((readings) => readings !== null && sideOf(readings.uncorrected.aclr, 0) !== null) ?? null;
  const judgedBy = points.every(({ worstAclrDb }) => worstAclrDb === null) ? 'nmse' : 'aclr';
  return {
    kind: 'path',
    parameter,
    points,
    without: clearReadings && pointOf(null, clearReadings),
    uncorrectedAclrDb: first && sideOf(first.uncorrected.aclr, 0),
    judgedBy,
    withinDb,
    ...kneeOf(points, judgedBy, withinDb),
    refused: values.flatMap((value, i) => {
      const outcome = outcomes[i];
      return outcome?.kind === 'invalid' ? [{ value, reason: reasonOf(outcome.issues) }] : [];
    }),
  };
}

function reasonOf([first]: readonly Issue[]): string {
  return first === undefined ? 'cannot be run' : `${first.path} ${first.rule}`;
}

/** The better sides differ; the worse one counts. */
function sideOf(aclr: RunReadings['uncorrected']['aclr'], channelIndex: 0 | 1): number | null {
  const channel = [...new Set(aclr.map((reading) => reading.channel))][channelIndex];
  const sides = aclr.filter((reading) => reading.channel === channel).map(({ aclrDb }) => aclrDb);
  return channel === undefined || sides.length === 0 ? null : Math.min(...sides);
}

function pointOf(value: number | null, readings: RunReadings): PathPoint {
  const output = readings.corrected ?? readings.uncorrected;
  return {
    value,
    worstAclrDb: sideOf(output.aclr, 0),
    alternateAclrDb: sideOf(output.aclr, 1),
    evmPercent: output.evm?.rmsPercent ?? null,
    nmseDb: output.nmseDb,
    correctionUsed: readings.correctionUsed,
  };
}

/** Larger is better. */
export function kneeOf(
  points: readonly PathPoint[],
  judgedBy: PathResult['judgedBy'],
  withinDb: number,
): Pick<PathResult, 'bestDb' | 'knee'> {
  const scores = points.map((point) => (judgedBy === 'nmse' ? -point.nmseDb : point.worstAclrDb) ?? -Infinity);
  const bestDb = Math.max(...scores);
  if (!Number.isFinite(bestDb)) return { bestDb: null, knee: null };
  let from = scores.indexOf(bestDb);
  let to = from;
  while (from > 0 && scores[from - 1] >= bestDb - withinDb) from--;
  while (to < scores.length - 1 && scores[to + 1] >= bestDb - withinDb) to++;
  return { bestDb, knee: { from: points[from].value ?? 0, to: points[to].value ?? 0 } };
}

/** The scenario with one value of the varied figure. */
export function withValue(base: Scenario, parameter: PathParameter, value: number): Scenario {
  switch (parameter) {
    case 'observationBandwidthHz':
      return observing(base, { bandwidthHz: value });
    case 'observationSnrDb':
      return observing(base, { snrDb: value });
    case 'observationBits':
      return observing(base, { converterBitCount: value });
    case 'observationDelayS':
      return observing(base, { delayErrorS: value });
    case 'transmitBandwidthHz':
      return transmitting(base, { bandwidthHz: value });
    case 'transmitBits':
      return transmitting(base, { converterBitCount: value });
    case 'sampleRateHz':
      return atRate(base, value);
  }
}

/** The varied effect left out; null where there is no such thing. */
function withoutEffect(base: Scenario, parameter: PathParameter): Scenario | null {
  switch (parameter) {
    case 'observationBandwidthHz':
      return observing(base, { bandwidthHz: 'full' });
    case 'observationSnrDb':
      return observing(base, { snrDb: null });
    case 'observationBits':
      return observing(base, { converterBitCount: null });
    case 'observationDelayS':
      return observing(base, { delayErrorS: 0 });
    case 'transmitBandwidthHz':
      return transmitting(base, { bandwidthHz: 'full' });
    case 'transmitBits':
      return transmitting(base, { converterBitCount: null });
    case 'sampleRateHz':
      return null;
  }
}

function observing(base: Scenario, change: Partial<ObservationSettings>): Scenario {
  const { predistorter } = base;
  if (predistorter === null) return base;
  const observation = { ...(predistorter.observation ?? CLEAR_OBSERVATION), ...change };
  return { ...base, predistorter: { ...predistorter, observation } };
}

function transmitting(base: Scenario, change: Partial<TransmitterSettings>): Scenario {
  return { ...base, transmitter: { ...(base.transmitter ?? CLEAR_TRANSMITTER), ...change } };
}

/** Least segment of the estimator at a low rate. */
const LEAST_SEGMENT = 256;

/** Another rate with the same spectral edge and resolution: filter and segments keep their length in time. */
function atRate(base: Scenario, sampleRateHz: number): Scenario {
  const { waveform, measurement } = base;
  const ratio = typeof waveform.sampleRateHz === 'number' ? sampleRateHz / waveform.sampleRateHz : 1;
  const edge = waveform.spectralEdge;
  const spectralEdge =
    edge.kind === 'channelFilter' && typeof edge.tapCount === 'number'
      ? { ...edge, tapCount: Math.max(15, 2 * Math.round(((edge.tapCount - 1) * ratio) / 2) + 1) }
      : edge;
  const segmentLength = Math.max(LEAST_SEGMENT, 2 ** Math.round(Math.log2(measurement.spectrum.segmentLength * ratio)));
  return {
    ...base,
    waveform: { ...waveform, sampleRateHz, spectralEdge },
    measurement: { ...measurement, spectrum: { ...measurement.spectrum, segmentLength } },
  };
}

/** From edge to edge of all carriers. */
export function signalSpanHzOf(
  carriers: readonly { readonly geometry: Pick<CarrierGeometry, 'offsetHz' | 'occupiedBandwidthHz'> }[],
): number {
  const edges = carriers.flatMap(({ geometry }) => [
    geometry.offsetHz - geometry.occupiedBandwidthHz / 2,
    geometry.offsetHz + geometry.occupiedBandwidthHz / 2,
  ]);
  return Math.max(...edges) - Math.min(...edges);
}

/** The question's values, or the usual ones: each once, rising. */
export function valuesOf(base: Scenario, question: PathQuestion, signalSpanHz: number): number[] {
  const values = question.values ?? usualValues(base, question.parameter, signalSpanHz);
  return [...new Set(values)].sort((a, b) => a - b);
}

/** Bandwidths as multiples of the signal's. */
const SPANS = [1.1, 1.7, 2.2, 2.8, 3.4, 4.5, 6, 8];
const SNRS_DB = [15, 20, 25, 30, 35, 40, 50, 60];
const BITS = [5, 6, 7, 8, 9, 10, 11, 12, 14];
/** Delays in samples of the scenario's rate. */
const DELAYS = [-4, -2, -1, -0.5, -0.25, -0.1, 0, 0.1, 0.25, 0.5, 1, 2, 4];
/** Rates over the scenario's. */
const RATES = [1 / 8, 1 / 4, 1 / 2, 1, 2];

function usualValues({ waveform }: Scenario, parameter: PathParameter, signalSpanHz: number): number[] {
  const rate = typeof waveform.sampleRateHz === 'number' ? waveform.sampleRateHz : 8 * signalSpanHz;
  const short = (value: number) => Number(value.toPrecision(4));
  switch (parameter) {
    case 'observationBandwidthHz':
    case 'transmitBandwidthHz':
      return SPANS.map((span) => short(span * signalSpanHz)).filter((value) => value < rate);
    case 'observationSnrDb':
      return SNRS_DB;
    case 'observationBits':
    case 'transmitBits':
      return BITS;
    case 'observationDelayS':
      return DELAYS.map((delay) => short(delay / rate));
    case 'sampleRateHz':
      return RATES.map((factor) => factor * rate).filter((value) => value > signalSpanHz);
  }
}

export function pathIssues(scenario: Scenario, { parameter, values }: PathQuestion): Issue[] {
  const { predistorter } = scenario;
  const ofObservation = PATH_PARAMETERS[parameter].place.startsWith('predistorter.');
  const issues: Issue[] = [];
  if (predistorter === null) {
    const rule = 'must be present: the question is what correction needs of its paths';
    issues.push({ path: 'scenario.predistorter', rule, value: 'null', remedy: 'write "predistorter": {}' });
  } else if (predistorter.stored !== null && ofObservation) {
    const rule = 'must be null: stored coefficients are not learned, so they need no observation';
    const value = predistorter.stored.name || 'stored coefficients';
    issues.push({ path: 'scenario.predistorter.stored', rule, value, remedy: 'take the stored coefficients out' });
  }
  const unit = PATH_PARAMETERS[parameter].unit;
  const wrong = (values ?? []).filter((value) => !fits(unit, value));
  if (wrong.length > 0) {
    const rule = unit === 'bits' ? 'must hold whole numbers of bits, 3 to 24' : `must fit a figure in ${unit}`;
    issues.push({ path: 'question.values', rule, value: wrong.join(', '), remedy: `write values in ${unit}` });
  }
  return issues;
}

function fits(unit: string, value: number): boolean {
  if (unit === 'bits') return Number.isInteger(value) && value >= 3 && value <= 24;
  if (unit === 'Hz') return value >= 1e3 && value <= 20e9;
  return unit === 's' ? Math.abs(value) <= 1e-6 : value >= 0 && value <= 160;
}

/** The one line under every picture. */
export function pathConditions(scenario: Scenario, { parameter, withinDb }: PathQuestion): string {
  const { label } = PATH_PARAMETERS[parameter];
  const own = scenario.predistorter?.observation == null ? '' : '; other effects of the observation as set';
  const sent = scenario.transmitter === null ? '' : '; other effects of the transmitter as set';
  return `${label} varied, all else equal${own}${sent}; knee: within ${withinDb} dB of the best value’s worse side; ${conditionsOf(scenario)}`;
}
