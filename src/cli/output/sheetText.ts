// An amplifier read back, as text: the sheet's figures first, then what CW and two tones show, then the polynomial.
import {
  formatConditionNumber,
  formatFixed,
  formatQuantity,
  formatSignificant,
} from '../../../shared/format/numbers.ts';
import { loadNote, powerNote, saturatedText } from '../../../shared/format/powerText.ts';
import {
  READ_BACK_HEADINGS,
  readBackRows,
  saturationText,
  sheetRows,
  sourceText,
} from '../../../shared/reports/readBackRows.ts';
import type { AmplifierReading } from '../../engine/index.ts';
import { overBandPart } from './overBandText.ts';
import { formatLines, wrap } from './table.ts';

type Read = Extract<AmplifierReading, { kind: 'amplifier' }>;

export function sheetText(reading: Read): string {
  const { label, readBack, outputBound, driveRange, polynomial } = reading;
  const bound =
    outputBound === null
      ? 'not bounded'
      : `at most ${formatQuantity(20 * Math.log10(outputBound), 'dB', 2)} re saturated power`;
  const range = driveRange === null ? 'any drive' : `drive held at ${formatSignificant(driveRange, 4)} of the knee’s`;
  const lines = [
    sourceText(reading),
    `Gain ${formatQuantity(readBack.gainDb, 'dB', 2)}; output ${bound}, ${range}.`,
    saturationText(reading, reading.settings.saturatedPowerDbm),
  ];
  const parts = [
    `${label}\n${lines.flatMap((line) => (line === null ? [] : [`${wrap(line)}\n`])).join('')}`,
    ...(readBack.sheet.length === 0
      ? []
      : [`Data sheet, beside what the model reads\n${formatLines(sheetRows(readBack.sheet), '  ')}`]),
    `CW and two tones\n${formatLines([[...READ_BACK_HEADINGS], ...readBackRows(readBack)], '  ')}`,
    ...overBandPart(reading.overBand),
    powerPart(reading),
    ...(polynomial === null ? [] : [polynomialPart(polynomial)]),
  ];
  return parts.join('\n');
}

/** The ideal power model, a constant carrier at saturated power, and the load. */
function powerPart({ power, saturated, load }: Read): string {
  const lines = [powerNote(power), saturated && saturatedText(saturated), loadNote(load)];
  return lines.flatMap((line) => (line === null ? [] : [`${wrap(line)}\n`])).join('');
}

function polynomialPart({
  settings,
  fitNmseDb,
  heldOutNmseDb,
  driveRange,
  conditionNumber,
}: NonNullable<Read['polynomial']>): string {
  const { nonlinearOrders, memoryDepth } = settings;
  const error = `error ${formatFixed(fitNmseDb, 1)} dB on what it was fitted to, ${formatFixed(heldOutNmseDb, 1)} dB held out`;
  return `${wrap(`As a memory polynomial, orders 1 to ${nonlinearOrders.at(-1)} odd, memory ${memoryDepth}: ${error}; drive range ${formatSignificant(driveRange, 4)}; condition number ${formatConditionNumber(conditionNumber)}.`)}\n`;
}
