// What an identification gives away, written by the same code as on the command line.
import { drawIdentificationSpectrum, drawLoops } from '../../../shared/figures/identificationFigures.ts';
import { identificationPage } from '../../../shared/reports/identificationPage.ts';
import { identificationTitle, type PairNames } from '../../../shared/reports/identificationRows.ts';
import { toJson } from '../../../shared/reports/json.ts';
import { REPORT_FORMAT, type Report } from '../../../shared/schema/report.ts';
import { fileStem, saveText } from './downloads.ts';
import type { Identified } from './identifyState.ts';

export type IdentifyExport = 'model' | 'amplifier' | 'page' | 'report' | 'pictures';

interface SavedFile {
  readonly ending: string;
  readonly text: string;
  readonly mediaType: string;
}

const JSON_TYPE = 'application/json';
const SVG_TYPE = 'image/svg+xml';

/** The files of one form. */
export function identifiedFiles(
  form: IdentifyExport,
  { amplifier, model, report, traces }: Identified,
  names: PairNames,
  kneepoint: Report['kneepoint'],
): readonly SavedFile[] {
  switch (form) {
    case 'model':
      return [{ ending: 'model.json', text: toJson(amplifier.model), mediaType: JSON_TYPE }];
    case 'amplifier':
      return [{ ending: 'amplifier.json', text: toJson(amplifier), mediaType: JSON_TYPE }];
    case 'report':
      return [
        { ending: 'report.json', text: toJson({ kneepoint, identification: report, model }), mediaType: JSON_TYPE },
      ];
    case 'page': {
      const text = identificationPage({ names, report, traces, amplifier, kneepoint });
      return [{ ending: 'report.html', text, mediaType: 'text/html' }];
    }
    case 'pictures': {
      const spectrum = drawIdentificationSpectrum(identificationTitle(names), report, traces);
      const loops = drawLoops('Gain and phase of single samples', report, traces);
      return [
        { ending: 'spectrum.svg', text: spectrum, mediaType: SVG_TYPE },
        { ending: 'loops.svg', text: loops, mediaType: SVG_TYPE },
      ];
    }
  }
}

/** Saves one form; the answer is for the status line. `kneepoint`: null before the first run has told it. */
export function exportIdentified(
  form: IdentifyExport,
  identified: Identified,
  names: PairNames,
  kneepoint: Report['kneepoint'] | null,
): string {
  const told = kneepoint ?? { version: '', format: REPORT_FORMAT };
  if (kneepoint === null && (form === 'page' || form === 'report')) return 'wait for the first figures of the bench';
  const files = identifiedFiles(form, identified, names, told);
  for (const { ending, text, mediaType } of files) saveText(`${fileStem(names.observed)}-${ending}`, text, mediaType);
  return `${files.map(({ ending }) => ending).join(' and ')} saved`;
}
