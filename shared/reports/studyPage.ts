// One self-contained HTML page of a study: the answer, the pictures, the tables, the conditions, the floors, the cautions,
// and the study itself, so that it can be repeated. It loads nothing and runs nothing.

import { cautions } from '../cautions.ts';
import { studyFigures } from '../figures/studyFigures.ts';
import { escapeXml } from '../figures/svgText.ts';
import { limitName } from '../format/limitText.ts';
import { ladderPowerNote } from '../format/powerText.ts';
import type { StudyReport } from '../schema/studyReport.ts';
import { toJson } from './json.ts';
import { figure, foldedText, htmlPage, list, paragraph, section, wordTable } from './page.ts';
import { type ReadingTable, tableHtml } from './readingTable.ts';
import { floorsOf, STUDY_FLOORS_HEADING, type StudyFloor, studyFloorCells } from './studyFloors.ts';
import { studyTables } from './studyTables.ts';

/** `floors` are those of the runs, which the report itself does not hold. */
export function studyPage(report: StudyReport, floors: readonly StudyFloor[] = []): string {
  const { study, kneepoint } = report;
  return htmlPage({
    title: study.title,
    answer: report.answer,
    sections: [
      report.complete ? '' : paragraph(progressText(report), 'over'),
      paragraph(study.story),
      ...studyFigures(report).map(({ svg }) => figure(svg)),
      section('Figures', studyTables(report).map(tableOf).join('')),
      section('Conditions', list(conditionsOf(report))),
      section(STUDY_FLOORS_HEADING, wordTable(floorsOf(report, floors).map(studyFloorCells))),
      section('Warnings', list(report.warnings.map(({ message }) => message))),
      section('Cautions', list(cautions)),
      foldedText('The study: save it as a JSON file to repeat it', toJson(repeatable(report))),
      paragraph(`Kneepoint ${kneepoint.version}, study report format ${kneepoint.format}.`, 'note'),
    ],
  });
}

/** A table of many rows opens on demand; its CSV holds it as well. */
function tableOf(table: ReadingTable): string {
  const html = tableHtml(table);
  return table.rows.length <= LONG_TABLE
    ? html
    : `<details><summary>${escapeXml(table.caption)}</summary>${html}</details>`;
}

const LONG_TABLE = 30;

/** What is missing while a study goes on. */
export function progressText({ doneCount, neededCount }: StudyReport): string {
  return `Unfinished: ${doneCount} of ${neededCount} runs known to be needed are done. Figures are so far.`;
}

/** Runs that are not read with and without correction. */
const WHAT_EACH_RUN_IS: Readonly<Partial<Record<StudyReport['questionKind'], string>>> = {
  tones: '',
  burst: ', each one record, sent warm and once after every silence',
};

/** Each condition as a sentence of its own. */
export function conditionsOf({ conditions, scenario, doneCount, result }: StudyReport): string[] {
  const judged = scenario.limits.filter(
    ({ reading }) =>
      result.kind !== 'burst' && result.kind !== 'path' && (result.kind !== 'tones' || reading === 'intermodulation'),
  );
  const power = result.kind === 'ladder' ? ladderPowerNote(result) : null;
  const limits = judged.map((limit) => `Limit: ${limitName(limit)}; source: ${limit.source}.`);
  return [
    `${conditions}.`,
    `${doneCount} runs${WHAT_EACH_RUN_IS[result.kind] ?? ', each with and without correction at the same mean output power'}.`,
    ...limits,
    ...(power === null ? [] : [power]),
  ];
}

/** The study with its scenario resolved: what it was run with, even when presets change. */
export function repeatable({ study, scenario }: StudyReport): unknown {
  return { ...study, scenario };
}
