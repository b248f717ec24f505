// Carries out what the "Export" menu offers and says in a few words what happened.
import type { SpreadResult } from '../../../shared/schema/studyReport.ts';
import type { ActionName } from '../elements/events.ts';
import { encodeFragment } from './addressBar.ts';
import type { AppState } from './appState.ts';
import { fileStem, readingsText, saveText, scenarioText, spectrumFigure, spectrumTable } from './downloads.ts';

async function copyLink({ draft }: AppState): Promise<string> {
  const address = `${location.href.split('#')[0]}${await encodeFragment(draft)}`;
  try {
    await navigator.clipboard.writeText(address);
    return 'link copied';
  } catch {
    return 'the browser refused; copy the address bar';
  }
}

/**
 * Does one of the menu's actions; the answer is for the status line. `spread`: of the present scenario over other seeds,
 * when that question was answered.
 */
export async function exportAs(action: ActionName, state: AppState, spread: SpreadResult | null): Promise<string> {
  const stem = fileStem(state.draft.title);
  if (action === 'copy-link') return copyLink(state);
  if (action === 'save-scenario') {
    saveText(`${stem}.json`, scenarioText(state.draft), 'application/json');
    return 'scenario saved';
  }
  const report = state.shown?.report;
  if (report === undefined) return 'there is no result yet';
  // What is shown answers the settings before until the run for those on the page has ended.
  if (state.isPending || state.shown?.detail === 'coarse') return 'the full record is not ready yet';
  switch (action) {
    case 'save-readings':
      saveText(`${stem}-readings.json`, readingsText(report), 'application/json');
      return 'readings saved';
    case 'save-spectrum-table':
      saveText(`${stem}-spectrum.csv`, spectrumTable(report), 'text/csv');
      return 'spectrum saved';
    case 'save-spectrum-figure':
      saveText(`${stem}-spectrum.svg`, await spectrumFigure(report), 'image/svg+xml');
      return 'emission plot saved';
    case 'save-report':
    case 'save-claim':
    case 'save-check-list': {
      const { saveRunPaper } = await import('./runPapers.ts');
      return saveRunPaper(action, report, spread);
    }
    default:
      throw new RangeError(`exportAs: ${action} is nothing to export`);
  }
}
