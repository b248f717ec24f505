// What `--out DIR` writes of a study.
import { studyFigures } from '../../../shared/figures/studyFigures.ts';
import { toJson } from '../../../shared/reports/json.ts';
import { tableCsv } from '../../../shared/reports/readingTable.ts';
import type { StudyFloor } from '../../../shared/reports/studyFloors.ts';
import { repeatable, studyPage } from '../../../shared/reports/studyPage.ts';
import { MAIN_TABLES, studyTables } from '../../../shared/reports/studyTables.ts';
import type { StudyReport } from '../../engine/index.ts';
import type { Session } from '../session.ts';
import { writeAll } from './folder.ts';

/** report.json, report.html, study.json, table.csv, the other tables and the pictures. */
export function writeStudyFolder(
  session: Session,
  folder: string,
  report: StudyReport,
  floors: readonly StudyFloor[],
): void {
  const main = MAIN_TABLES[report.questionKind];
  const tables = studyTables(report).map((table) => [
    table.name === main ? 'table.csv' : `${table.name}.csv`,
    tableCsv(table),
  ]);
  const figures = studyFigures(report).map(({ name, svg }) => [`${name}.svg`, svg]);
  writeAll(session, folder, {
    'report.json': toJson(report),
    'report.html': studyPage(report, floors),
    'study.json': toJson(repeatable(report)),
    ...Object.fromEntries([...tables, ...figures]),
  });
}
