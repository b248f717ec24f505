// What a question gives away, written by the same code as on the command line.
import { studyFigures } from '../../../shared/figures/studyFigures.ts';
import { toJson } from '../../../shared/reports/json.ts';
import { tableCsv } from '../../../shared/reports/readingTable.ts';
import { studyFloors } from '../../../shared/reports/studyFloors.ts';
import { repeatable, studyPage } from '../../../shared/reports/studyPage.ts';
import { MAIN_TABLES, studyTables } from '../../../shared/reports/studyTables.ts';
import type { StudyReport, TaskOutcome } from '../../../shared/schema/studyReport.ts';
import { fileStem, saveText } from './downloads.ts';
import { outcomeLines } from './outcomeLines.ts';

export const STUDY_EXPORTS = ['page', 'table', 'pictures', 'report', 'study', 'outcomes'] as const;
export type StudyExport = (typeof STUDY_EXPORTS)[number];

/** Saves one form of a report; the answer is for the status line. */
export function exportStudy(form: StudyExport, report: StudyReport, known: ReadonlyMap<string, TaskOutcome>): string {
  const stem = `${fileStem(report.study.title)}-${report.questionKind}`;
  switch (form) {
    case 'page':
      saveText(`${stem}.html`, studyPage(report, studyFloors(known.values())), 'text/html');
      return 'report saved';
    case 'table':
      return saveTable(stem, report);
    case 'pictures': {
      const figures = studyFigures(report);
      for (const { name, svg } of figures) saveText(`${stem}-${name}.svg`, svg, 'image/svg+xml');
      return figures.length === 0 ? 'there is nothing to draw yet' : 'pictures saved';
    }
    case 'report':
      saveText(`${stem}.json`, toJson(report), 'application/json');
      return 'figures saved';
    case 'study':
      saveText(`${stem}-study.json`, toJson(repeatable(report)), 'application/json');
      return 'study saved';
    case 'outcomes':
      saveText(`${stem}-outcomes.jsonl`, outcomeLines(known, report.kneepoint.version), 'application/jsonl');
      return `${known.size} outcomes saved`;
  }
}

function saveTable(stem: string, report: StudyReport): string {
  const table = studyTables(report).find(({ name }) => name === MAIN_TABLES[report.questionKind]);
  if (table === undefined) return 'there is no table yet';
  saveText(`${stem}.csv`, tableCsv(table), 'text/csv');
  return 'table saved';
}
