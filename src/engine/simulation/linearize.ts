// Learning a predistorter for the setup's amplifier and sending the judging record through it.

import { levelDrive } from '../amplifier/levelDrive.ts';
import { meanPowerOfBackoff, outputBackoffDbOf } from '../amplifier/operatingPoint.ts';
import { applyBasis, type BasisStructure } from '../basis/memoryPolynomial.ts';
import { type ComplexSignal, meanPower, peakPower, scale } from '../dsp/complex.ts';
import { dbToPowerRatio } from '../dsp/decibels.ts';
import type { Waveform } from '../dsp/waveformTypes.ts';
import { heldRatio, holdAmplitude } from '../linearization/idealLimiter.ts';
import { type LearningBench, type LearningResult, learnIndirectly } from '../linearization/indirectLearning.ts';
import { measureAclr, worstAclrDb } from '../measurement/aclr.ts';
import { measureNmseDb } from '../measurement/nmse.ts';
import { type DrivenOutput, levelAt, maximumScaleOf, type Records, spectrumOf } from './chain.ts';
import type { Setup } from './checkScenario.ts';
import type { RunFaults } from './faults.ts';
import { worstEvm } from './readings.ts';
import { structureOf } from './structure.ts';

export interface Linearization {
  readonly structure: BasisStructure;
  readonly learning: LearningResult;
  /** Coefficients of the pass shown, with the levelling gain folded in; null when there is none. */
  readonly coefficients: ComplexSignal | null;
  /** The judging record through predistorter, ceiling and amplifier. */
  readonly corrected: DrivenOutput | null;
  /** Share of the judging drive's samples held at the ceiling. */
  readonly ceilingHeldRatio: number;
  readonly rejectedBecause: string | null;
}

/** Learns on the training record, chooses on the selection record, applies to the judging record. */
export function linearize(
  setup: Setup,
  records: Records,
  uncorrected: DrivenOutput,
  faults: RunFaults,
  onPass: (passIndex: number) => void,
): Linearization | null {
  const { predistorter } = setup.scenario;
  if (predistorter === null || records.training === null || records.selection === null) return null;
  const structure = structureOf(predistorter);
  const learning = learnIndirectly({
    structure,
    settings: predistorter.learning,
    training: scale(records.training.waveform.signal, uncorrected.driveScale),
    selection: scale(records.selection.waveform.signal, uncorrected.driveScale),
    bench: benchOf(setup, records.selection.waveform),
    trainingStartSample: faults.trainingStartSample ?? 0,
    faults,
    onPass,
  });
  if (learning.bestPass === null) return withoutPass(structure, learning);
  return applyPass(setup, records.judging.waveform, uncorrected, structure, learning, faults);
}

function withoutPass(structure: BasisStructure, learning: LearningResult): Linearization {
  const { rejectedBecause } = learning;
  return { structure, learning, coefficients: null, corrected: null, ceilingHeldRatio: 0, rejectedBecause };
}

/** The amplifier, and levelling to the wanted power. */
export function levellingBench(setup: Setup): Pick<LearningBench, 'amplify' | 'level'> {
  return {
    amplify: setup.amplifier.amplify,
    level: (device, input, startScale) => {
      const levelled = levelAt(setup, device, input, startScale);
      if (levelled.kind === 'outOfReach') return null;
      const { driveScale, output } = levelled;
      return { scale: driveScale, output, outputBackoffDb: outputBackoffDbOf(levelled.meanPower) };
    },
  };
}

function benchOf(setup: Setup, selection: Waveform): LearningBench {
  const geometries = setup.waveform.carriers.map((carrier) => carrier.geometry);
  return {
    ...levellingBench(setup),
    judge: (output) => {
      const spectrum = spectrumOf(setup, output);
      const { readings } = measureAclr(spectrum, setup.waveform.sampleRateHz, geometries, setup.channels);
      const evm = worstEvm(setup, selection, output)?.rmsPercent ?? null;
      return { worstAclrDb: worstAclrDb(readings, setup.channels[0]?.name), evmPercent: evm };
    },
    measureNmseDb,
  };
}

function applyPass(
  setup: Setup,
  judging: Waveform,
  uncorrected: DrivenOutput,
  structure: BasisStructure,
  learning: LearningResult,
  faults: RunFaults,
): Linearization {
  const pass = learning.chosenPass ?? (learning.bestPass as number);
  const learned = learning.coefficients[pass];
  const ceiling = faults.ignoreCeiling
    ? Infinity
    : (setup.scenario.predistorter?.learning.driveCeilingRatio ?? Infinity);
  const predistorted = applyBasis(structure, learned, scale(judging.signal, uncorrected.driveScale));
  const limit = (v: ComplexSignal) => (ceiling === Infinity ? v : holdAmplitude(v, ceiling));
  const gain = correctedGain(setup, predistorted, limit, uncorrected, faults);
  if (gain === null) {
    const rejectedBecause = 'behind the drive ceiling the wanted power is out of reach on the judging record';
    return { ...withoutPass(structure, learning), rejectedBecause };
  }
  const requested = scale(predistorted, gain);
  const drive = limit(requested);
  return {
    structure,
    learning,
    coefficients: scale(learned, gain),
    corrected: { driveScale: uncorrected.driveScale, drive, output: setup.amplifier.amplify(drive) },
    ceilingHeldRatio: ceiling === Infinity ? 0 : heldRatio(requested, ceiling),
    rejectedBecause: learning.chosenPass === null ? learning.rejectedBecause : null,
  };
}

/** The gain after the predistorter that gives the uncorrected output's mean power; null when out of reach. */
function correctedGain(
  setup: Setup,
  predistorted: ComplexSignal,
  limit: (v: ComplexSignal) => ComplexSignal,
  uncorrected: DrivenOutput,
  faults: RunFaults,
): number | null {
  if (faults.fixedObservationGain !== undefined) return 1;
  if (faults.equalDrivePeak) return Math.sqrt(peakPower(uncorrected.drive) / peakPower(predistorted));
  if (faults.equalDriveRms) return Math.sqrt(meanPower(uncorrected.drive) / meanPower(predistorted));
  const levelled = levelDrive({
    device: (v) => setup.amplifier.amplify(limit(v)),
    waveform: predistorted,
    wantedMeanPower: meanPowerOfBackoff(setup.outputBackoffDb) * dbToPowerRatio(faults.correctedPowerOffsetDb ?? 0),
    maximumScale: maximumScaleOf(setup),
    startScale: 1,
  });
  return levelled.kind === 'levelled' ? levelled.driveScale : null;
}
