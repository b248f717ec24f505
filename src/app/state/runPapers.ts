// Papers of one run, written by the same code as on the command line; loaded when the first is asked for.
import { runFigures } from '../../../shared/figures/runFigures.ts';
import { checklistPage } from '../../../shared/reports/checklistPage.ts';
import { buildClaim } from '../../../shared/reports/claim.ts';
import { claimCard } from '../../../shared/reports/claimCard.ts';
import { runPage } from '../../../shared/reports/runPage.ts';
import type { Report } from '../../../shared/schema/report.ts';
import type { SpreadResult } from '../../../shared/schema/studyReport.ts';
import { fileStem, saveText } from './downloads.ts';

export type RunPaper = 'save-report' | 'save-claim' | 'save-check-list';

/** `spread`: over other seeds of the same scenario, for the claim; null when it was not asked for. */
export function saveRunPaper(paper: RunPaper, report: Report, spread: SpreadResult | null): string {
  const stem = fileStem(report.scenario.title);
  switch (paper) {
    case 'save-report':
      saveText(`${stem}-report.html`, runPage(report), 'text/html');
      return 'report saved';
    case 'save-claim':
      saveText(`${stem}-claim.html`, claimCard(buildClaim(report, spread), runFigures(report)), 'text/html');
      return spread === null ? 'claim card saved, without a spread' : 'claim card saved, with its spread';
    case 'save-check-list':
      saveText(`${stem}-check-list.html`, checklistPage(report), 'text/html');
      return 'check list saved';
  }
}
