// A study as text: the answer first, then the tables, the conditions, the floors, the caution.
import { SIMULATION_CAUTION } from '../../../shared/cautions.ts';
import {
  floorsOf,
  STUDY_FLOORS_HEADING,
  type StudyFloor,
  studyFloorCells,
} from '../../../shared/reports/studyFloors.ts';
import { conditionsOf, progressText } from '../../../shared/reports/studyPage.ts';
import { studyTables } from '../../../shared/reports/studyTables.ts';
import type { StudyReport } from '../../engine/index.ts';
import { readingTableText } from './readingTableText.ts';
import { formatLines, wrap } from './table.ts';

export function studyText(report: StudyReport, allFloors: readonly StudyFloor[]): string {
  const floors = floorsOf(report, allFloors);
  const parts = [
    `${report.study.title}\n${wrap(report.answer)}\n`,
    ...(report.complete ? [] : [`${wrap(progressText(report))}\n`]),
    // Tables wider than a terminal are for files.
    ...studyTables(report)
      .filter(({ name }) => name !== 'cells' && name !== 'peaks')
      .map(readingTableText),
    conditionsOf(report)
      .map((text) => `${wrap(text)}\n`)
      .join(''),
    ...(floors.length === 0 ? [] : [`${STUDY_FLOORS_HEADING}\n${formatLines(floors.map(studyFloorCells), '  ')}`]),
    `${wrap(SIMULATION_CAUTION)}\n`,
  ];
  return parts.join('\n');
}
