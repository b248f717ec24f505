// Studies small enough for tests: short OFDM records, narrow ranges, one learning pass.
import { evaluateStudy, runTask, type StudyReport, type TaskOutcome } from '../../src/engine/index.ts';

/** A 5 MHz carrier of three symbols at twice its base rate: some 30 ms a run. */
export const SMALL_BENCH = {
  title: 'Small bench',
  story: 'Three symbols & a <soft> amplifier.',
  waveform: {
    carriers: [
      { kind: 'ofdm', standard: 'lte', channelBandwidthHz: 5e6, subcarrierSpacingHz: 15e3, modulation: 'QPSK' },
    ],
    symbolCount: 3,
    sampleRateHz: 30.72e6,
    crestFactorReduction: { targetPaprDb: 8, probability: 1e-3, roundCount: 4, evmBudgetPercent: 5 },
  },
  amplifier: {
    model: { kind: 'filterNonlinearityFilter', kneeSharpness: 1.5, amPmDeg: 8, modelRateHz: 30.72e6 },
    saturatedPowerDbm: 40,
    gainDb: 30,
    outputLossDb: 1,
  },
  operatingPoint: { outputBackoffDb: 9 },
  measurement: { spectrum: { segmentLength: 1024 } },
  predistorter: { nonlinearOrders: [1, 3, 5], memoryDepth: 1, learning: { passCount: 1 } },
  limits: [
    { reading: 'aclr', requiredDb: 40, source: 'made up' },
    { reading: 'evm', requiredPercent: 8, source: 'made up' },
  ],
};

const range = { fromDb: 6, toDb: 15, stepDb: 3 };

export const SMALL_QUESTIONS = {
  ladder: { kind: 'ladder', outputBackoff: range },
  shape: { kind: 'shape', targetPaprDb: [7, 8], withoutReduction: false, outputBackoff: range },
  map: { kind: 'map', highestOrders: [1, 3, 5], memoryDepths: [1, 2] },
  ask: {
    kind: 'ask',
    wantedAntennaMeanDbm: 30,
    targetPaprDb: [8],
    structures: [{ highestOrder: 5, memoryDepth: 1 }],
    outputBackoff: range,
  },
  spread: { kind: 'spread', seedCount: 3, unitCount: 3 },
  burst: { kind: 'burst', silencesS: [1e-3, 5e-3], recordCount: 3 },
  path: { kind: 'path', parameter: 'observationBandwidthHz', values: [6e6, 9e6, 15e6] },
  hold: { kind: 'hold', axis: 'level', values: [-3, 2] },
  tones: { kind: 'tones', toneBackoff: { fromDb: 20, toDb: 28, stepDb: 4 }, spacingsHz: [5e5, 1e6] },
} as const;

export type SmallKind = keyof typeof SMALL_QUESTIONS;
export const SMALL_KINDS = Object.keys(SMALL_QUESTIONS) as SmallKind[];

/** Bursts need an amplifier that relaxes between them, and some room to settle in. */
export const BURST_BENCH = {
  ...SMALL_BENCH,
  waveform: { ...SMALL_BENCH.waveform, symbolCount: 6 },
  amplifier: { ...SMALL_BENCH.amplifier, slowStates: { heatDepthRatio: 0.15, heatTimeConstantS: 100e-6 } },
};

export const smallStudy = (kind: SmallKind, scenario: object = kind === 'burst' ? BURST_BENCH : SMALL_BENCH) => ({
  title: `Small ${kind}`,
  scenario,
  question: SMALL_QUESTIONS[kind],
});

export interface Answered {
  readonly report: StudyReport;
  readonly known: ReadonlyMap<string, TaskOutcome>;
}

/** A study by the library: run whatever is pending until nothing is, or until `mostRuns` are done. */
export function answerStudy(study: unknown, mostRuns = Number.POSITIVE_INFINITY): Answered {
  const known = new Map<string, TaskOutcome>();
  for (;;) {
    const evaluation = evaluateStudy(study, known);
    if (evaluation.kind === 'invalid') throw new Error(JSON.stringify(evaluation.issues));
    if (evaluation.pending.length === 0 || known.size >= mostRuns) return { report: evaluation.report, known };
    for (const task of evaluation.pending.slice(0, mostRuns - known.size)) known.set(task.key, runTask(task));
  }
}
