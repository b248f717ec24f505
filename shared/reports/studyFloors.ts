// What bounds the ACLR readings of a study: the range of each floor over its runs.
import { formatFixed } from '../format/numbers.ts';
import type { FloorName } from '../schema/report.ts';
import type { StudyReport, TaskOutcome } from '../schema/studyReport.ts';
import { FLOOR_NAMES } from './runParts.ts';

export interface StudyFloor {
  readonly name: FloorName;
  readonly lowestAclrDb: number;
  readonly highestAclrDb: number;
  readonly meaning: string;
}

/** Floors over all runs known, in the order the runs name them; a floor that was never read is left out. */
export function studyFloors(outcomes: Iterable<TaskOutcome>): StudyFloor[] {
  const found = new Map<FloorName, StudyFloor>();
  for (const outcome of outcomes) {
    if (outcome.kind !== 'readings') continue;
    for (const { name, aclrDb, meaning } of outcome.readings.floors) {
      if (aclrDb === null) continue;
      const { lowestAclrDb, highestAclrDb } = found.get(name) ?? { lowestAclrDb: aclrDb, highestAclrDb: aclrDb };
      const range = { lowestAclrDb: Math.min(lowestAclrDb, aclrDb), highestAclrDb: Math.max(highestAclrDb, aclrDb) };
      found.set(name, { name, meaning, ...range });
    }
  }
  return [...found.values()];
}

/** Those a reader of this study needs: tones are lines on exact bins, which no channel’s floor bounds. */
export function floorsOf({ result }: StudyReport, floors: readonly StudyFloor[]): readonly StudyFloor[] {
  return result.kind === 'tones' ? [] : floors;
}

/** Name, range, meaning. */
export function studyFloorCells({ name, lowestAclrDb, highestAclrDb, meaning }: StudyFloor): string[] {
  const [low, high] = [formatFixed(lowestAclrDb, 1), formatFixed(highestAclrDb, 1)];
  return [FLOOR_NAMES[name], low === high ? `${low} dB` : `${low} to ${high} dB`, meaning];
}

export const STUDY_FLOORS_HEADING = 'What bounds the first channel’s ACLR, worse side, over the runs';
