// Learning a predistorter for the setup's amplifier and sending the judging record through it.
import type { NumbersReport } from '../../../shared/schema/report.ts';
import type { PredistorterSettings, StoredPredistorter } from '../../../shared/schema/scenario.ts';
import { levelDrive } from '../amplifier/levelDrive.ts';
import { outputBackoffDbOf } from '../amplifier/operatingPoint.ts';
import type { Regressors } from '../basis/regressors.ts';
import { type ComplexSignal, meanPower, peakPower, scale } from '../dsp/complex.ts';
import { dbToPowerRatio } from '../dsp/decibels.ts';
import type { Waveform } from '../dsp/waveformTypes.ts';
import { heldRatio, holdAmplitude } from '../linearization/idealLimiter.ts';
import { learn } from '../linearization/learn.ts';
import type { LearningBench, LearningResult, LearningTask } from '../linearization/learningPasses.ts';
import { quantiseDrive } from '../linearization/numbers.ts';
import { createObservation } from '../linearization/observationPath.ts';
import { measureAclr, worstAclrDb } from '../measurement/aclr.ts';
import { measureNmseDb } from '../measurement/nmse.ts';
import {
  type DrivenOutput,
  levelAt,
  maximumScaleOf,
  type Records,
  spectrumOf,
  type UncorrectedOutput,
  wantedMeanPowerOf,
} from './chain.ts';
import type { Setup } from './checkScenario.ts';
import type { RunFaults } from './faults.ts';
import { behindDriveWord, inWords, numbersReport } from './numberFormats.ts';
import { worstEvm } from './readings.ts';
import { applyStored, coefficientsOf } from './storedPredistorter.ts';
import { regressorsOf } from './structure.ts';
import { activeRatioOf, heldRatioOn, onPart } from './whileOn.ts';

export interface Linearization {
  readonly structure: Regressors;
  readonly learning: LearningResult;
  /** Coefficients of the pass shown, with the levelling gain folded in; null when there is none. */
  readonly coefficients: ComplexSignal | null;
  /** The judging record through predistorter, ceiling and amplifier. */
  readonly corrected: DrivenOutput | null;
  /** Share of the judging drive's samples held at the ceiling. */
  readonly ceilingHeldRatio: number;
  readonly rejectedBecause: string | null;
  /** True where stored coefficients are sent as they are. */
  readonly isStored?: boolean;
  /** What word lengths and tables cost; left out in double precision. */
  readonly numbers?: NumbersReport;
}

/** Learns on the training record, chooses on the selection record, applies to the judging record. */
export function linearize(
  setup: Setup,
  records: Records,
  uncorrected: UncorrectedOutput,
  faults: RunFaults,
  onPass: (passIndex: number) => void,
): Linearization | null {
  const { predistorter } = setup.scenario;
  if (predistorter === null) return null;
  const structure = regressorsOf(predistorter);
  const { stored } = predistorter;
  const judging = records.judging.waveform;
  if (stored !== null && stored.passCount === 0) {
    const ceiling = faults.ignoreCeiling ? Infinity : predistorter.learning.driveCeilingRatio;
    return inNumbers(setup, judging, stored.driveScaleRatio, structure, (chain, functions) =>
      applyStored(chain, judging.signal, uncorrected, functions, { stored, ceiling }),
    );
  }
  if (records.training === null || records.selection === null) return null;
  const [{ waveform: training }, { waveform: selection }] = [records.training, records.selection];
  const bench = benchOf(setup, selection, uncorrected.slope);
  const learnAt = (driveScale: number, changed: Partial<LearningTask>) =>
    learn({
      structure,
      settings: predistorter.learning,
      training: scale(training.signal, driveScale),
      selection: scale(selection.signal, driveScale),
      bench,
      trainingStartSample: faults.trainingStartSample ?? 0,
      faults,
      onPass,
      ...changed,
    });
  if (stored !== null) return goOn(setup, judging, { uncorrected, structure, stored, learnAt }, faults);
  const learning = learnAt(uncorrected.driveScale, {});
  if (learning.bestPass === null) return withoutPass(structure, learning);
  return inNumbers(setup, judging, uncorrected.driveScale, structure, (chain, functions) =>
    applyPass(chain, judging, uncorrected, functions, learning, faults),
  );
}

/** What learning needs to go on from stored coefficients. */
interface WarmStart {
  readonly uncorrected: UncorrectedOutput;
  readonly structure: Regressors;
  readonly stored: StoredPredistorter;
  /** Learns with the waveform at this drive scale ahead of the predistorter. */
  readonly learnAt: (driveScale: number, changed: Partial<LearningTask>) => LearningResult;
}

/**
 * Learns on from stored coefficients, at the digital level at which they give the wanted power, and sends the pass chosen,
 * or the stored coefficients where they are better on the selection or on the judging record.
 */
function goOn(
  setup: Setup,
  judging: Waveform,
  { uncorrected, structure, stored, learnAt }: WarmStart,
  faults: RunFaults,
): Linearization {
  const { learning: settings } = setup.scenario.predistorter as PredistorterSettings;
  const ceiling = faults.ignoreCeiling ? Infinity : settings.driveCeilingRatio;
  const keep = (chain: Setup, functions: Regressors) =>
    applyStored(chain, judging.signal, uncorrected, functions, { stored, ceiling });
  const first = keep(setup, structure);
  if (first.corrected === null) return first;
  const { driveScale } = first.corrected;
  const learning = learnAt(driveScale, {
    settings: { ...settings, passCount: stored.passCount },
    initialCoefficients: coefficientsOf(stored),
  });
  return inNumbers(setup, judging, driveScale, structure, (chain, functions) => {
    const before = chain === setup ? first : keep(chain, functions);
    if (learning.keepsInitial) return { ...before, learning };
    if (learning.bestPass === null) return withoutPass(functions, learning);
    const next = applyPass(chain, judging, { ...uncorrected, driveScale }, functions, learning, faults);
    if (learning.chosenPass === null || faults.keepLastPass) return next;
    const rejectedBecause = betterBefore(chain, judging, uncorrected, before, next);
    return rejectedBecause === null
      ? next
      : { ...before, learning: { ...learning, chosenPass: null, keepsInitial: true, rejectedBecause } };
  });
}

/** Why the stored coefficients are kept on the judging record's word; null where the pass is as good or better. */
function betterBefore(
  setup: Setup,
  judging: Waveform,
  uncorrected: DrivenOutput,
  before: Linearization,
  next: Linearization,
): string | null {
  const scoreOf = (sent: DrivenOutput | null) =>
    sent === null ? -Infinity : (worstFirstAclr(setup, sent.output) ?? -measureNmseDb(judging.signal, sent.output));
  const [stored, pass, plain] = [before.corrected, next.corrected, uncorrected].map(scoreOf);
  if (stored <= Math.max(pass, plain)) return null;
  return `on the judging record the best pass is worse than the stored coefficients by ${(stored - pass).toFixed(1)} dB, and they are kept`;
}

/** Sends in double precision, then in the words and tables asked for; what is sent is the second. */
function inNumbers(
  setup: Setup,
  judging: Waveform,
  driveScale: number,
  structure: Regressors,
  send: (setup: Setup, structure: Regressors) => Linearization,
): Linearization {
  const double = send(setup, structure);
  const { predistorter } = setup.scenario;
  const numbers = predistorter?.numbers ?? null;
  if (predistorter === null || numbers === null || double.corrected === null) return double;
  // Gain tables end where the waveform does.
  const reach = driveScale * Math.sqrt(peakPower(judging.signal));
  const ceiling = predistorter.learning.driveCeilingRatio;
  const words = inWords(structure, predistorter, numbers, reach);
  const rounded = send(behindDriveWord(setup, numbers, ceiling), words);
  if (rounded.corrected === null) return { ...rounded, structure };
  const readingOf = ({ drive, output }: DrivenOutput) => ({ drive, aclrDb: worstFirstAclr(setup, output) });
  const sent = { ...rounded.corrected, drive: quantiseDrive(rounded.corrected.drive, numbers, ceiling) };
  return {
    ...rounded,
    structure,
    corrected: sent,
    numbers: numbersReport(readingOf(double.corrected), readingOf(sent)),
  };
}

function withoutPass(structure: Regressors, learning: LearningResult): Linearization {
  const { rejectedBecause } = learning;
  return { structure, learning, coefficients: null, corrected: null, ceilingHeldRatio: 0, rejectedBecause };
}

/** The amplifier, and levelling to the wanted power. Each search steps with the slope that the last one found. */
export function levellingBench(setup: Setup, firstSlope = 1): Pick<LearningBench, 'amplify' | 'level' | 'observe'> {
  let startSlope = firstSlope;
  return {
    amplify: setup.amplifier.amplify,
    ...observerOf(setup),
    level: (device, input, startScale) => {
      const levelled = levelAt(setup, device, input, { startScale, startSlope });
      if (levelled.kind === 'outOfReach') return null;
      startSlope = levelled.slope;
      const { driveScale, output } = levelled;
      return {
        scale: driveScale,
        output,
        outputBackoffDb: outputBackoffDbOf(levelled.meanPower / activeRatioOf(setup)),
      };
    },
  };
}

/** Worse side of the first channel; null when it cannot be read at this sample rate. */
export function worstFirstAclr(setup: Setup, output: ComplexSignal): number | null {
  const geometries = setup.waveform.carriers.map((carrier) => carrier.geometry);
  const { readings } = measureAclr(spectrumOf(setup, output), setup.waveform.sampleRateHz, geometries, setup.channels);
  return worstAclrDb(readings, setup.channels[0]?.name);
}

function benchOf(setup: Setup, selection: Waveform, startSlope: number): LearningBench {
  return {
    ...levellingBench(setup, startSlope),
    judge: (output) => ({
      worstAclrDb: worstFirstAclr(setup, output),
      evmPercent: worstEvm(setup, selection, output)?.rmsPercent ?? null,
    }),
    measureNmseDb,
  };
}

/** What learning sees of an output; nothing stands between without an observation path. */
function observerOf(setup: Setup): Pick<LearningBench, 'observe'> {
  const observation = setup.scenario.predistorter?.observation ?? null;
  if (observation === null) return {};
  return { observe: createObservation(observation, setup.waveform.sampleRateHz, activeRatioOf(setup)) };
}

function applyPass(
  setup: Setup,
  judging: Waveform,
  uncorrected: DrivenOutput,
  structure: Regressors,
  learning: LearningResult,
  faults: RunFaults,
): Linearization {
  const pass = learning.chosenPass ?? (learning.bestPass as number);
  const learned = learning.coefficients[pass];
  const ceiling = faults.ignoreCeiling
    ? Infinity
    : (setup.scenario.predistorter?.learning.driveCeilingRatio ?? Infinity);
  const predistorted = structure.apply(learned, scale(judging.signal, uncorrected.driveScale));
  const limit = (v: ComplexSignal) => (ceiling === Infinity ? v : holdAmplitude(v, ceiling));
  const startScale = learning.scales[pass] ?? 1;
  const sent = sendCorrected(setup, predistorted, limit, startScale, uncorrected, faults);
  if (sent === null) {
    const rejectedBecause = 'behind the drive ceiling the wanted power is out of reach on the judging record';
    return { ...withoutPass(structure, learning), rejectedBecause };
  }
  const { gain, output } = sent;
  const requested = scale(predistorted, gain);
  const drive = limit(requested);
  const heldSampleRatio = heldRatioOn(setup, drive);
  return {
    structure,
    learning,
    coefficients: scale(learned, gain),
    corrected: { driveScale: uncorrected.driveScale, drive, output, heldSampleRatio },
    ceilingHeldRatio: ceiling === Infinity ? 0 : heldRatio(onPart(setup, requested), ceiling),
    rejectedBecause: learning.rejectedBecause ?? contradiction(setup, judging, uncorrected, output, faults),
  };
}

/** The judging record’s say against the choice made on the selection record, or null. */
function contradiction(
  setup: Setup,
  judging: Waveform,
  uncorrected: DrivenOutput,
  corrected: ComplexSignal,
  faults: RunFaults,
): string | null {
  if (faults.keepLastPass) return null;
  const before = worstFirstAclr(setup, uncorrected.output);
  const after = worstFirstAclr(setup, corrected);
  const onNmse = before === null || after === null;
  const [what, plain, reached] = onNmse
    ? ['an error', measureNmseDb(judging.signal, uncorrected.output), measureNmseDb(judging.signal, corrected)]
    : ['an ACLR', before, after];
  const isWorse = onNmse ? reached > plain : reached < plain;
  if (!isWorse) return null;
  return `on the judging record it reaches ${what} of ${reached.toFixed(1)} dB, worse than ${plain.toFixed(1)} dB without correction`;
}

/** The gain after the predistorter that gives the uncorrected output's mean power, and the output; null out of reach. */
function sendCorrected(
  setup: Setup,
  predistorted: ComplexSignal,
  limit: (v: ComplexSignal) => ComplexSignal,
  startScale: number,
  uncorrected: DrivenOutput,
  faults: RunFaults,
): { readonly gain: number; readonly output: ComplexSignal } | null {
  const device = (v: ComplexSignal) => setup.amplifier.amplify(limit(v));
  const fixed = fixedGain(predistorted, uncorrected, faults);
  if (fixed !== null) return { gain: fixed, output: device(scale(predistorted, fixed)) };
  const levelled = levelDrive({
    device,
    waveform: predistorted,
    wantedMeanPower: wantedMeanPowerOf(setup) * dbToPowerRatio(faults.correctedPowerOffsetDb ?? 0),
    maximumScale: maximumScaleOf(setup),
    startScale,
  });
  return levelled.kind === 'levelled' ? { gain: levelled.driveScale, output: levelled.output } : null;
}

/** For tests: the gain of a comparison that is not at equal mean output power. */
function fixedGain(predistorted: ComplexSignal, uncorrected: DrivenOutput, faults: RunFaults): number | null {
  if (faults.fixedObservationGain !== undefined) return 1;
  if (faults.equalDrivePeak) return Math.sqrt(peakPower(uncorrected.drive) / peakPower(predistorted));
  if (faults.equalDriveRms) return Math.sqrt(meanPower(uncorrected.drive) / meanPower(predistorted));
  return null;
}
