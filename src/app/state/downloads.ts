// What the page gives away: the scenario, the readings, the spectrum as a table and as a figure. Text in, file out.
import type { Report } from '../../../shared/schema/report.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';

/** A file name from the scenario's title: letters, digits and dashes. */
export function fileStem(title: string): string {
  const stem = title
    .normalize('NFKD')
    .replace(/\p{Mark}/gu, '')
    .replace(/[^a-zA-Z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .toLowerCase();
  return stem === '' ? 'scenario' : stem;
}

export function scenarioText(scenario: Scenario): string {
  return `${JSON.stringify(scenario, null, 2)}\n`;
}

/** The report without its traces: the same readings, under the same names, as the command line prints. */
export function readingsText(report: Report): string {
  const { traces: _traces, ...readings } = report;
  return `${JSON.stringify(readings, (_key, value) => (ArrayBuffer.isView(value) ? Array.from(value as Float64Array) : value), 2)}\n`;
}

/** One row a bin: offset and the level of each trace. Lines end as RFC 4180 asks. */
export function spectrumTable(report: Report): string {
  const { conditions, spectra } = report.traces;
  const unit = conditions.unit === 'dBm' ? 'Dbm' : 'DbSat';
  const columns = (
    [
      ['waveform', spectra.waveform],
      ['uncorrected', spectra.uncorrected],
      ['corrected', spectra.corrected],
      ['ideal', spectra.ideal],
    ] as const
  ).filter(([, trace]) => trace !== null);
  const head = ['offsetHz', ...columns.map(([name]) => `${name}${unit}`)].join(',');
  const rows = Array.from(spectra.uncorrected.frequencyHz, (hz, bin) =>
    [hz, ...columns.map(([, trace]) => trace?.level[bin] ?? '')].join(','),
  );
  return `${[head, ...rows].join('\r\n')}\r\n`;
}

/** The emission plot as SVG text, as the command line writes it; its writer is loaded when it is first asked for. */
export async function spectrumFigure(report: Report): Promise<string> {
  const { drawSpectrum } = await import('../../../shared/figures/spectrumFigure.ts');
  return drawSpectrum(report);
}

/** Hands a text to the browser as a file. */
export function saveText(name: string, text: string, mediaType: string): void {
  const address = URL.createObjectURL(new Blob([text], { type: mediaType }));
  const link = document.createElement('a');
  link.href = address;
  link.download = name;
  link.click();
  // The download has begun by the next task; the address is of no more use.
  setTimeout(() => URL.revokeObjectURL(address), 1000);
}
