// Runs studies to the end, and gives made-up readings of an amplifier whose answers are known by hand.
import type { OutputReport } from '../../../shared/schema/report.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { StudyInput } from '../../../shared/schema/study.ts';
import type { RunReadings, StudyReport, StudyTask, TaskOutcome } from '../../../shared/schema/studyReport.ts';
import { createRunMemory, evaluateStudy, runScenario, runTask } from '../../../src/engine/index.ts';

export type RunOne = (task: StudyTask) => TaskOutcome;

/** The engine, with one memory for the whole file. */
export function engineRunner(): RunOne {
  const memory = createRunMemory();
  return (task) => runTask(task, memory);
}

/** Evaluates, runs what is pending, and again until nothing is. `known` is added to. */
export function completeStudy(input: unknown, run: RunOne, known = new Map<string, TaskOutcome>()): StudyReport {
  for (let round = 0; round < 60; round++) {
    const { report, pending } = evaluated(input, known);
    if (pending.length === 0) return report;
    for (const task of pending) known.set(task.key, run(task));
  }
  throw new Error('the study does not come to an end');
}

/** One evaluation of a sound study. */
export function evaluated(input: unknown, known: ReadonlyMap<string, TaskOutcome>) {
  const evaluation = evaluateStudy(input, known);
  if (evaluation.kind === 'invalid') throw new Error(JSON.stringify(evaluation.issues));
  return evaluation;
}

/** The result of a study, which must be of this kind. */
export function resultOf<Kind extends StudyReport['result']['kind']>(
  report: StudyReport,
  kind: Kind,
): Extract<StudyReport['result'], { kind: Kind }> {
  const { result } = report;
  if (result.kind !== kind) throw new Error(`expected a ${kind}, got a ${result.kind}`);
  return result as Extract<StudyReport['result'], { kind: Kind }>;
}

/** A short Quarry Link as the base of studies on made-up readings. */
export const shortBase = {
  waveform: {
    carriers: [{ kind: 'ofdm', standard: 'lte', channelBandwidthHz: 10e6 }],
    symbolCount: 2,
    sampleRateHz: 122.88e6,
    crestFactorReduction: { targetPaprDb: 8 },
  },
  amplifier: { model: { kind: 'filterNonlinearityFilter', kneeSharpness: 1.1, amPmDeg: 12 }, saturatedPowerDbm: 45.5 },
  operatingPoint: { meanPowerDbm: 36.5 },
  predistorter: { kind: 'memoryPolynomial', nonlinearOrders: [1, 3, 5], memoryDepth: 2 },
  limits: [
    { reading: 'aclr', requiredDb: 45 },
    { reading: 'evm', requiredPercent: 5 },
  ],
} as const;

export function studyOf(question: StudyInput['question'], change: Record<string, unknown> = {}): StudyInput {
  return { scenario: { ...shortBase, ...change }, question };
}

/** What the made-up amplifier reads. */
export interface MadeUpReadings {
  readonly uncorrectedAclrDb: number;
  readonly correctedAclrDb: number;
  readonly idealAclrDb: number;
  readonly uncorrectedEvmPercent: number;
  readonly correctedEvmPercent: number;
  readonly crestEvmPercent: number | null;
  readonly correctionUsed: boolean;
}

/** Output back-off a task's scenario asks for. */
export function backoffOf({ operatingPoint, amplifier }: Scenario): number {
  const { outputBackoffDb, meanPowerDbm } = operatingPoint;
  if (outputBackoffDb !== undefined) return outputBackoffDb;
  if (meanPowerDbm === undefined || amplifier.saturatedPowerDbm === null) throw new Error('no power');
  return amplifier.saturatedPowerDbm - meanPowerDbm;
}

let sample: RunReadings | null = null;

/** A real run of the short base: the shape of the readings, whose figures are then replaced. */
function sampleReadings(): RunReadings {
  if (sample !== null) return sample;
  const outcome = runScenario(shortBase);
  if (outcome.kind === 'invalid' || outcome.report.corrected === null) throw new Error('the short base does not run');
  const { traces: _traces, cautions: _cautions, scenario: _scenario, ...readings } = outcome.report;
  sample = readings;
  return readings;
}

/** A runner whose figures come from `figures`; null: the wanted power is out of reach. */
export function madeUpRunner(figures: (scenario: Scenario) => MadeUpReadings | null): RunOne {
  const base = sampleReadings();
  const { corrected, uncorrected } = base;
  if (corrected === null || uncorrected.evm === null) throw new Error('the short base reads no EVM');
  const { evm } = uncorrected;
  return ({ scenario, wantsSpectrum }) => {
    const made = figures(scenario);
    if (made === null) return { kind: 'invalid', issues: [] };
    const outputBackoffDb = backoffOf(scenario);
    const { saturatedPowerDbm, outputLossDb } = scenario.amplifier;
    const meanPowerDbm = saturatedPowerDbm === null ? null : saturatedPowerDbm - outputBackoffDb;
    const output = (aclrDb: number, rmsPercent: number): OutputReport => ({
      ...uncorrected,
      outputBackoffDb,
      meanPowerDbm,
      meanPowerW: meanPowerDbm === null ? null : 10 ** (meanPowerDbm / 10 - 3),
      antennaMeanDbm: meanPowerDbm === null ? null : meanPowerDbm - outputLossDb,
      dcPowerW: 10,
      aclr: uncorrected.aclr.map((reading) => ({ ...reading, aclrDb })),
      evm: { ...evm, rmsPercent },
    });
    const readings: RunReadings = {
      ...base,
      waveform: { ...base.waveform, crestReductionEvmPercent: made.crestEvmPercent },
      uncorrected: output(made.uncorrectedAclrDb, made.uncorrectedEvmPercent),
      corrected: scenario.predistorter && output(made.correctedAclrDb, made.correctedEvmPercent),
      ideal: output(made.idealAclrDb, made.correctedEvmPercent),
      correctionUsed: scenario.predistorter !== null && made.correctionUsed,
    };
    return { kind: 'readings', readings, spectrum: wantsSpectrum ? { frequencyHz: [0], level: [0] } : null };
  };
}

/**
 * A soft amplifier in straight lines. Uncorrected ACLR 16 + 1.7·b dB at b dB of output back-off: 45 dB at 17.06 dB.
 * Corrected 45 + 8·(b − wall), with the wall 0.1 dB under the crest-factor target (9.6 dB without), 0.05 dB lower for each
 * order above 5. Reduction spends 1.6 % at 8 dB and twice as much for each dB less.
 */
export function straightAmplifier(scenario: Scenario): MadeUpReadings {
  const backoffDb = backoffOf(scenario);
  const target = scenario.waveform.crestFactorReduction?.targetPaprDb ?? null;
  const order = ordersOf(scenario).at(-1) ?? 5;
  const wallDb = (target ?? 9.6) - 0.1 - 0.05 * (order - 5);
  const crestEvmPercent = target === null ? null : 1.6 * 2 ** (8 - target);
  const shaping = crestEvmPercent ?? 0;
  return {
    uncorrectedAclrDb: 16 + 1.7 * backoffDb,
    correctedAclrDb: 45 + 8 * (backoffDb - wallDb),
    idealAclrDb: 45 + 12 * (backoffDb - wallDb + 0.6),
    uncorrectedEvmPercent: Math.hypot(shaping, 30 * 10 ** (-backoffDb / 14)),
    correctedEvmPercent: Math.hypot(shaping, 0.2),
    crestEvmPercent,
    correctionUsed: true,
  };
}

/** Orders of a polynomial predistorter; none without one. */
export function ordersOf({ predistorter }: Pick<Scenario, 'predistorter'>): readonly number[] {
  return predistorter === null || predistorter.kind === 'envelopeTable' ? [] : predistorter.nonlinearOrders;
}
