// What an amplifier reads by CW and two tones, as cells for terminal and pages.
import { formatFixed, formatQuantity, formatSigned, NO_READING } from '../format/numbers.ts';
import { channelSaturatedPowerDbm } from '../schema/overBand.ts';
import type { AmplifierReadBack, CwReading, SheetReading } from '../schema/readBack.ts';
import type { AmplifierReport, Report } from '../schema/report.ts';

/** Name, output, drive, compression, AM/PM of saturation and compression points, then the intercept. */
export function readBackRows(readBack: AmplifierReadBack): string[][] {
  const { saturation, atOneDbCompression, atThreeDbCompression, intercept } = readBack;
  return [
    pointRow('largest output', saturation),
    pointRow('1 dB compression', atOneDbCompression),
    pointRow('3 dB compression', atThreeDbCompression),
    [
      'intercept, per tone',
      interceptText(readBack),
      '',
      '',
      intercept.reason ?? `slope ${formatFixed(intercept.slope ?? 0, 3)}`,
    ],
  ];
}

export const READ_BACK_HEADINGS = ['', 'output', 'drive', 'compression', 'AM/PM'] as const;

function pointRow(name: string, point: CwReading | null): string[] {
  if (point === null) return [name, 'not reached', '', '', ''];
  return [
    name,
    levelText(point.outputDb, point.outputDbm),
    point.driveDbm === null
      ? `${formatSigned(point.driveDb, '', 2)} dB re the knee`
      : formatQuantity(point.driveDbm, 'dBm', 2),
    formatQuantity(point.compressionDb, 'dB', 2),
    formatQuantity(point.amPmDeg, '°', 1),
  ];
}

function levelText(db: number, dbm: number | null): string {
  return dbm === null ? `${formatSigned(db, '', 2)} dB re saturation` : formatQuantity(dbm, 'dBm', 2);
}

function interceptText({ intercept: { outputDb, outputDbm } }: AmplifierReadBack): string {
  return outputDb === null ? NO_READING : levelText(outputDb, outputDbm);
}

/** One sentence for a run. */
function readBackText(readBack: AmplifierReadBack): string {
  const { saturation, atOneDbCompression: one, atThreeDbCompression: three, intercept } = readBack;
  const point = (name: string, at: CwReading | null) =>
    at === null
      ? `${name} not reached`
      : `${name} at ${levelText(at.outputDb, at.outputDbm)} (AM/PM ${formatQuantity(at.amPmDeg, '°', 1)})`;
  const toneText =
    intercept.outputDb === null
      ? (intercept.reason ?? 'no intercept')
      : `intercept ${interceptText(readBack)} per tone`;
  return `Amplifier by CW: largest output ${levelText(saturation.outputDb, saturation.outputDbm)} (AM/PM ${formatQuantity(saturation.amPmDeg, '°', 1)}), ${point('1 dB compression', one)}, ${point('3 dB compression', three)}; two tones: ${toneText}.`;
}

/** Saturated power means little without the compression it is stated at. */
export function saturationText(
  { compressionAtSaturationDb, cwSaturationDb }: Pick<AmplifierReport, 'compressionAtSaturationDb' | 'cwSaturationDb'>,
  saturatedPowerDbm: number | null,
): string {
  const power =
    saturatedPowerDbm === null ? 'Saturated power' : `Saturated power, ${formatQuantity(saturatedPowerDbm, 'dBm')},`;
  const most = `the largest CW output is ${formatSigned(cwSaturationDb, 'dB', 2)} against it`;
  return `${power} stands at ${formatQuantity(compressionAtSaturationDb, 'dB')} of compression; ${most}.`;
}

/** Where an amplifier of the literature is printed, with its mark; null for others. */
export function sourceText({ source }: Pick<AmplifierReport, 'source'>): string | null {
  return source === null ? null : `Source of the amplifier: ${source}.`;
}

/** The amplifier of a run: its source, at which compression its saturated power stands, and what CW and tones show. */
export function amplifierText({ amplifier, scenario }: Pick<Report, 'amplifier' | 'scenario'>): string {
  const saturatedPowerDbm = channelSaturatedPowerDbm(scenario.amplifier);
  const sentences = [
    sourceText(amplifier),
    saturationText(amplifier, saturatedPowerDbm),
    readBackText(amplifier.readBack),
  ];
  return sentences.filter((sentence) => sentence !== null).join(' ');
}

/** Stated beside read, with the tolerance. */
export function sheetRows(rows: readonly SheetReading[]): string[][] {
  return rows.map(({ name, unit, stated, read, tolerance, isMet }) => [
    isMet ? '✓ met' : '✕ missed',
    name,
    formatQuantity(stated, unit, 2),
    `reads ${formatQuantity(read, unit, 2)}`,
    `within ${formatQuantity(tolerance, unit === 'dBm' ? 'dB' : unit, 2)}`,
  ]);
}
