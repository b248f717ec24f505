// Learning a predistorter pass by pass, whatever the method.
//
//   pass k:  method ─▶ c_k,   z = P(x; c_k),   u = ceiling(a·z) with a levelling the output power,   y = PA(u)
//
// x is the unit waveform at the uncorrected drive scale. Each pass is judged on a second record; the best pass is
// kept, and none at all when every pass is worse than no correction. Levelling and judging on fresh data: architecture
// of this project.
import type { LearningConvergence as Convergence, LearningPass } from '../../../shared/schema/report.ts';
import type { LearningSettings } from '../../../shared/schema/scenario.ts';
import type { SampleWindow } from '../basis/gram.ts';
import type { Regressors } from '../basis/regressors.ts';
import { type Complex, type ComplexSignal, leastSquaresGain, peakPower, rotate, scale } from '../dsp/complex.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import type { Device } from '../dsp/waveformTypes.ts';
import { heldRatio, holdAmplitude } from './idealLimiter.ts';
import { choosePass, divergenceOf, type PassJudgement, scoreOf } from './passChoice.ts';
import type { PostInverseFit } from './postInverse.ts';

export { divergenceOf, LEAST_HELP_DB, type PassJudgement } from './passChoice.ts';

/** A drive levelled to the wanted output power. */
export interface Levelled {
  readonly scale: number;
  readonly output: ComplexSignal;
  readonly outputBackoffDb: number;
}

/** The amplifier and the instruments around it, as functions. */
export interface LearningBench {
  readonly amplify: Device;
  /** Scales the input of a device until its output has the wanted mean power; null when out of reach. */
  readonly level: (device: Device, input: ComplexSignal, startScale: number) => Levelled | null;
  readonly judge: (output: ComplexSignal) => PassJudgement;
  /**
   * The amplifier output as the observation path hands it to learning. Acts on the training record alone: nothing that
   * judges sees it. Absent: the output itself.
   */
  readonly observe?: (output: ComplexSignal) => ComplexSignal;
  readonly measureNmseDb: (reference: ComplexSignal, output: ComplexSignal) => number;
}

/** Mistakes a test may put in; never reachable from a scenario. */
export interface LearningFaults {
  readonly keepLastPass?: boolean;
  readonly fitRequestedDrive?: boolean;
  readonly ignoreCeiling?: boolean;
  /** Scales the observation by this gain in place of the least-squares gain and leaves the level alone. */
  readonly fixedObservationGain?: number;
}

export interface LearningTask {
  readonly structure: Regressors;
  readonly settings: LearningSettings;
  /** Waveforms at the uncorrected drive scale. */
  readonly training: ComplexSignal;
  readonly selection: ComplexSignal;
  readonly bench: LearningBench;
  /** Learned before, for the structure: the first pass goes on from them in place of the plain waveform. */
  readonly initialCoefficients?: ComplexSignal;
  readonly trainingStartSample?: number;
  readonly faults?: LearningFaults;
  readonly onPass?: (passIndex: number) => void;
}

/** What one fit sees. */
export interface FitInput {
  /** Amplifier output over its least-squares gain. */
  readonly observation: ComplexSignal;
  /** Drive to be found from it. */
  readonly target: ComplexSignal;
  readonly window: SampleWindow | 'whole';
}

/** What a task needs for its first fit: nothing of it depends on the structure. */
export type FirstFitTask = Pick<LearningTask, 'settings' | 'training' | 'trainingStartSample' | 'faults'> & {
  readonly bench: Pick<LearningBench, 'amplify' | 'level' | 'observe'>;
};

export interface LearningResult {
  readonly passes: readonly LearningPass[];
  /** One per pass. */
  readonly coefficients: readonly ComplexSignal[];
  /** The gain behind each pass's predistorter that levelled the selection record. */
  readonly scales: readonly number[];
  readonly chosenPass: number | null;
  /** The pass to show when none is used: the least bad. */
  readonly bestPass: number | null;
  readonly baseline: PassJudgement;
  readonly rejectedBecause: string | null;
  /** True where the coefficients that learning went on from are better than every pass and than no correction. */
  readonly keepsInitial?: boolean;
  /** Why fewer passes were made than asked for, or null. */
  readonly stoppedBecause: string | null;
  readonly trainingSampleCount: number;
  /** Worst (largest) solver difference seen, or null. */
  readonly solverDifferenceDb: number | null;
  /** Error while coefficients move sample by sample, over all passes; null with batch fits. */
  readonly convergence?: Convergence | null;
}

/** What one pass of a method found. */
export interface PassFit extends Omit<PostInverseFit, 'residualDb'> {
  /** On the samples it was fitted to. */
  readonly residualDb: number;
  /** The same residual on the selection record. */
  readonly freshResidualDb: number;
  readonly convergence?: Convergence | undefined;
}

/** What a pass starts from. */
export interface PassStart {
  readonly task: LearningTask;
  readonly window: SampleWindow;
  readonly ceiling: number;
  /** What was sent last, behind the coefficients of the last pass, or of those gone on from; null where nothing was. */
  readonly sent: SentPair;
  readonly coefficients: ComplexSignal | null;
}

/** One pass of a method, or why it found nothing. */
export type LearningMethod = (start: PassStart) => PassFit | string;

/** A record behind predistorter and ceiling, levelled. */
export interface Sent {
  readonly scale: number;
  readonly drive: ComplexSignal;
  /** Share of the drive's samples held at the ceiling. */
  readonly heldSampleRatio: number;
  /** The drive ahead of the ceiling, for a test's mistake alone. */
  readonly requested?: ComplexSignal | undefined;
  readonly output: ComplexSignal;
  readonly outputBackoffDb: number;
}

/** Learns by a method. */
export function learnByPasses(task: LearningTask, method: LearningMethod): LearningResult {
  const { settings, selection, bench, faults = {} } = task;
  const ceiling = faults.ignoreCeiling ? Infinity : settings.driveCeilingRatio;
  const window = trainingWindow(task);
  const last: LastSent = { pair: sendBoth(task, (x) => x, ceiling) };
  if (last.pair === null) return nothingLearned(task, 'the wanted power is out of reach');
  const { baseline, withoutScore } = judgePlain(bench, selection, last.pair.selection);
  const initialScore = sendInitial(task, last, ceiling);
  if (last.pair === null) return nothingLearned(task, 'with the stored coefficients the wanted power is out of reach');
  const made = makePasses(task, method, last, window, ceiling);
  return {
    ...made,
    ...choosePass(made, { baseline, without: withoutScore, initial: initialScore }, faults),
    baseline,
    trainingSampleCount: window.sampleCount,
  };
}

/** The training and the selection record behind the same predistorter. */
export interface SentPair {
  readonly training: Sent;
  readonly selection: Sent;
}

/** Emptied as soon as a pass has its fit: records are long, and the next pair comes to be before the pass ends. */
interface LastSent {
  pair: SentPair | null;
}

function sendBoth(
  { bench, training, selection, faults = {} }: LearningTask,
  predistort: (x: ComplexSignal) => ComplexSignal,
  ceiling: number,
): SentPair | null {
  const onTraining = send(bench, predistort(training), ceiling, faults, 1);
  // Two records of the same waveform need nearly the same scale.
  const onSelection = onTraining && send(bench, predistort(selection), ceiling, faults, onTraining.scale);
  return onTraining && onSelection && { training: onTraining, selection: onSelection };
}

/** Sends both records behind the initial coefficients, if there are any, and gives their score. */
function sendInitial(task: LearningTask, last: LastSent, ceiling: number): number | null {
  const { initialCoefficients: initial, bench, selection, structure } = task;
  if (initial === undefined) return null;
  last.pair = null;
  last.pair = sendBoth(task, (x) => structure.apply(initial, x), ceiling);
  if (last.pair === null) return null;
  const { output } = last.pair.selection;
  return scoreOf(bench.judge(output), bench.measureNmseDb(selection, output));
}

type PassesMade = Pick<
  LearningResult,
  'passes' | 'coefficients' | 'scales' | 'solverDifferenceDb' | 'stoppedBecause' | 'convergence'
>;

function makePasses(
  task: LearningTask,
  method: LearningMethod,
  last: LastSent,
  window: SampleWindow,
  ceiling: number,
): PassesMade {
  const passes: LearningPass[] = [];
  const coefficients: ComplexSignal[] = [];
  const scales: number[] = [];
  let solverDifferenceDb: number | null = null;
  let stoppedBecause: string | null = null;
  let convergence: Convergence | null = null;
  for (let pass = 0; pass < task.settings.passCount; pass++) {
    task.onPass?.(pass);
    const before = coefficients.at(-1) ?? task.initialCoefficients ?? null;
    const fit = fitPass(method, last, { task, window, ceiling, coefficients: before });
    if (typeof fit === 'string') {
      stoppedBecause = `in pass ${pass + 1} ${fit}`;
      break;
    }
    const next = sendPass(task, fit, last, ceiling);
    if (next === null) {
      stoppedBecause = `after pass ${pass + 1} the wanted power is out of reach behind the drive ceiling; raise the output back-off or the ceiling`;
      break;
    }
    solverDifferenceDb = larger(solverDifferenceDb, fit.solverDifferenceDb);
    coefficients.push(fit.coefficients);
    scales.push(next.scale);
    convergence = joined(convergence, fit.convergence ?? null, pass * window.sampleCount);
    passes.push(next.pass);
    const fallen = task.faults?.keepLastPass ? null : divergenceOf(passes);
    if (fallen !== null && pass + 1 < task.settings.passCount) {
      stoppedBecause = fallen;
      break;
    }
  }
  return { passes, coefficients, scales, solverDifferenceDb, stoppedBecause, convergence };
}

function sendPass(task: LearningTask, fit: PassFit, last: LastSent, ceiling: number) {
  const pair = sendBoth(task, (x) => task.structure.apply(fit.coefficients, x), ceiling);
  last.pair = pair;
  return pair && { scale: pair.selection.scale, pass: describePass(task, fit, pair) };
}

/** A method's fit to what was sent last, which is let go. */
function fitPass(method: LearningMethod, last: LastSent, start: Omit<PassStart, 'sent'>): PassFit | string {
  const { pair: sent } = last;
  if (sent === null) throw new RangeError('learning: nothing was sent ahead of a pass');
  const fit = method({ ...start, sent });
  last.pair = null;
  return fit;
}

/** The first pass's fit, before any structure is chosen; null when the wanted power is out of reach. */
export function firstFitInput(task: FirstFitTask): FitInput | null {
  const { settings, training, bench, faults = {} } = task;
  const ceiling = faults.ignoreCeiling ? Infinity : settings.driveCeilingRatio;
  const sent = send(bench, training, ceiling, faults, 1);
  return sent && fitInput(task, sent, trainingWindow(task));
}

/** Without correction there is no ceiling: where it would act, the output is taken again without it. */
function judgePlain(bench: LearningBench, selection: ComplexSignal, sent: Sent) {
  const again = sent.heldSampleRatio === 0 ? null : bench.level(bench.amplify, selection, 1);
  const plain = again?.output ?? sent.output;
  const baseline = bench.judge(plain);
  return { baseline, withoutScore: scoreOf(baseline, bench.measureNmseDb(selection, plain)) };
}

function trainingWindow(task: FirstFitTask): SampleWindow {
  const length = task.training.re.length;
  const wanted = task.settings.trainingSampleCount;
  const sampleCount = wanted === 'all' ? length : Math.min(wanted, length);
  return { startSample: task.trainingStartSample ?? 0, sampleCount };
}

/** Sends a predistorter's output through ceiling and amplifier at the wanted power. */
function send(
  bench: FirstFitTask['bench'],
  input: ComplexSignal,
  ceiling: number,
  faults: LearningFaults,
  startScale: number,
): Sent | null {
  const limited = (v: ComplexSignal) => (ceiling === Infinity ? v : holdAmplitude(v, ceiling));
  if (faults.fixedObservationGain !== undefined) {
    const drive = limited(input);
    const heldSampleRatio = heldRatio(input, ceiling);
    return { scale: 1, drive, heldSampleRatio, requested: input, output: bench.amplify(drive), outputBackoffDb: 0 };
  }
  const levelled = bench.level((v) => bench.amplify(limited(v)), input, startScale);
  if (levelled === null) return null;
  const requested = scale(input, levelled.scale);
  const heldSampleRatio = heldRatio(requested, ceiling);
  const kept = faults.fitRequestedDrive ? requested : undefined;
  return { ...levelled, drive: limited(requested), heldSampleRatio, requested: kept };
}

/** What divides an output so that it compares with the wanted record: the least-squares gain. */
export function observationGain(task: FirstFitTask, wanted: ComplexSignal, output: ComplexSignal): Complex {
  const fixed = task.faults?.fixedObservationGain;
  return fixed === undefined ? leastSquaresGain(wanted, output) : { re: fixed, im: 0 };
}

/** output/g. */
export function overGain(output: ComplexSignal, g: Complex): ComplexSignal {
  const power = g.re * g.re + g.im * g.im;
  return rotate(output, { re: g.re / power, im: -g.im / power });
}

/** The training output as the observation path hands it over. */
export function observedOutput(task: FirstFitTask, sent: Sent): ComplexSignal {
  return task.bench.observe?.(sent.output) ?? sent.output;
}

/** The samples a fit sees. */
export function fitWindow(task: FirstFitTask, window: SampleWindow): SampleWindow | 'whole' {
  return window.sampleCount === task.training.re.length ? 'whole' : window;
}

/** Observation and target of an indirect fit. */
export function fitInput(task: FirstFitTask, sent: Sent, window: SampleWindow): FitInput {
  const output = observedOutput(task, sent);
  return {
    observation: overGain(output, observationGain(task, task.training, output)),
    target: (task.faults?.fitRequestedDrive ? sent.requested : undefined) ?? sent.drive,
    window: fitWindow(task, window),
  };
}

function describePass(
  task: LearningTask,
  fit: PassFit,
  { training: onTraining, selection: onSelection }: SentPair,
): LearningPass {
  const judged = task.bench.judge(onSelection.output);
  return {
    nmseDb: task.bench.measureNmseDb(task.training, onTraining.output),
    fitResidualDb: fit.residualDb,
    freshResidualDb: fit.freshResidualDb,
    worstAclrDb: judged.worstAclrDb,
    evmPercent: judged.evmPercent,
    selectionNmseDb: task.bench.measureNmseDb(task.selection, onSelection.output),
    drivePeakDb: powerRatioToDb(peakPower(onSelection.drive)),
    heldSampleRatio: onSelection.heldSampleRatio,
    conditionNumber: fit.conditionNumber,
    rawConditionNumber: fit.rawConditionNumber,
    outputBackoffDb: onSelection.outputBackoffDb,
  };
}

function joined(before: Convergence | null, next: Convergence | null, startSample: number): Convergence | null {
  if (next === null) return before;
  const sampleIndex = next.sampleIndex.map((n) => n + startSample);
  return {
    sampleIndex: [...(before?.sampleIndex ?? []), ...sampleIndex],
    errorDb: [...(before?.errorDb ?? []), ...next.errorDb],
  };
}

function larger(a: number | null, b: number | null): number | null {
  if (a === null || b === null) return a ?? b;
  return Math.max(a, b);
}

function nothingLearned(task: LearningTask, rejectedBecause: string): LearningResult {
  return {
    passes: [],
    coefficients: [],
    scales: [],
    chosenPass: null,
    bestPass: null,
    baseline: { worstAclrDb: null, evmPercent: null },
    rejectedBecause,
    stoppedBecause: rejectedBecause,
    trainingSampleCount: trainingWindow(task).sampleCount,
    solverDifferenceDb: null,
    convergence: null,
  };
}
