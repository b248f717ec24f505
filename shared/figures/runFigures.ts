// The pictures of a run, in the order a report shows them.
import type { Report } from '../schema/report.ts';
import { drawCcdf } from './ccdfFigure.ts';
import { drawSpectrum } from './spectrumFigure.ts';

/** Emission plot, then exceedance curve. */
export function runFigures(report: Report): string[] {
  return [drawSpectrum(report), drawCcdf(report)];
}
