// What an identification gives away, written as the command line writes it.
import { toJson } from '../../../shared/reports/json.ts';
import type { Report } from '../../../shared/schema/report.ts';
import { fileStem, saveText } from './downloads.ts';
import type { Identified } from './identifyState.ts';

export type IdentifyExport = 'model' | 'amplifier' | 'report';

/** The text of one form. `kneepoint`: version and format of the report; null while no run has told them. */
export function identifyText(
  form: IdentifyExport,
  identified: Identified,
  kneepoint: Report['kneepoint'] | null,
): string {
  const { model, amplifier, report } = identified;
  switch (form) {
    case 'model':
      return toJson(model);
    case 'amplifier':
      return toJson(amplifier);
    case 'report':
      return toJson({ ...(kneepoint === null ? {} : { kneepoint }), identification: report, model });
  }
}

/** Saves one form; the answer is for the status line. `name`: of the observation. */
export function exportIdentified(
  form: IdentifyExport,
  identified: Identified,
  name: string,
  kneepoint: Report['kneepoint'] | null,
): string {
  saveText(`${fileStem(name)}-${form}.json`, identifyText(form, identified, kneepoint), 'application/json');
  return `${form} saved`;
}
