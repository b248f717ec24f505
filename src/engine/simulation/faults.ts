// Mistakes that a test puts into a run to prove that the run would show them. Never reachable from a scenario.
import type { LearningFaults } from '../linearization/indirectLearning.ts';

export interface RunFaults extends LearningFaults {
  /** Raises the corrected output above the uncorrected one by this much. */
  readonly correctedPowerOffsetDb?: number;
  /** Levels the corrected drive to the uncorrected drive's peak in place of equal output power. */
  readonly equalDrivePeak?: boolean;
  /** Levels the corrected drive to the uncorrected drive's rms in place of equal output power. */
  readonly equalDriveRms?: boolean;
  /** Reads all figures from the training record. */
  readonly judgeOnTraining?: boolean;
  readonly trainingStartSample?: number;
}
