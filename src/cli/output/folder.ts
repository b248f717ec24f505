// What `--out DIR` writes.
import { drawCcdf } from '../../../shared/figures/ccdfFigure.ts';
import { drawSpectrum } from '../../../shared/figures/spectrumFigure.ts';
import { formatEngineering } from '../../../shared/format/numbers.ts';
import { checklistPage } from '../../../shared/reports/checklistPage.ts';
import { type CsvColumn, toCsv } from '../../../shared/reports/csv.ts';
import { reportJson, toJson } from '../../../shared/reports/json.ts';
import { runPage } from '../../../shared/reports/runPage.ts';
import { predistorterToKeep } from '../../../shared/schema/storedPredistorter.ts';
import type { RecordReport, Report } from '../../engine/index.ts';
import { writeOut } from '../input/files.ts';
import type { Session } from '../session.ts';
import { recordCcdfFigure, recordSpectrumFigure } from './recordFigures.ts';

/**
 * report.json, spectrum.csv, spectrum.svg, ccdf.svg, report.html, checklist.html and, with a predistorter,
 * predistorter.json; all are made before the first is written.
 */
export function writeRunFolder(session: Session, folder: string, report: Report, withTraces: boolean): void {
  const predistorter = predistorterToKeep(report);
  writeAll(session, folder, {
    'report.json': reportJson(report, withTraces),
    'spectrum.csv': toCsv(spectrumColumns(report)),
    'spectrum.svg': drawSpectrum(report),
    'ccdf.svg': drawCcdf(report),
    'report.html': runPage(report),
    'checklist.html': checklistPage(report),
    ...(predistorter === null ? {} : { 'predistorter.json': toJson(predistorter) }),
  });
}

/** report.json as printed with `--json`, spectrum.csv, spectrum.svg and ccdf.svg. */
export function writeRecordFolder(session: Session, folder: string, title: string, record: RecordReport, json: string) {
  const { frequencyHz, level } = record.traces.spectrum;
  const bandwidth = formatEngineering(record.conditions.resolutionBandwidthHz, 'Hz');
  writeAll(session, folder, {
    'report.json': json,
    'spectrum.csv': toCsv([
      { heading: 'offset (Hz)', values: frequencyHz },
      { heading: `record (dBfs per ${bandwidth})`, values: level },
    ]),
    'spectrum.svg': recordSpectrumFigure(title, record),
    'ccdf.svg': recordCcdfFigure(title, record),
  });
}

/** Writes all files and says so. */
export function writeAll(session: Session, folder: string, files: Readonly<Record<string, string>>): void {
  for (const [name, content] of Object.entries(files)) writeOut(session, `${folder}/${name}`, content);
  session.stderr(`wrote ${Object.keys(files).join(', ')} in ${folder}\n`);
}

function spectrumColumns({ traces: { spectra, conditions } }: Report): CsvColumn[] {
  const unit = conditions.unit === 'dBm' ? 'dBm' : 'dB re saturation';
  const per = `${unit} per ${formatEngineering(conditions.resolutionBandwidthHz, 'Hz')}`;
  const columns: CsvColumn[] = [{ heading: 'offset (Hz)', values: spectra.uncorrected.frequencyHz }];
  for (const [name, trace] of Object.entries(spectra)) {
    if (trace !== null) columns.push({ heading: `${name} (${per})`, values: trace.level });
  }
  return columns;
}
