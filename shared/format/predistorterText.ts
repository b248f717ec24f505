// A predistorter's structure in words, the same on every face.
import type { CrossTermsReport, NumbersReport } from '../schema/report.ts';
import type { CrossTermSettings, PredistorterSettings } from '../schema/scenario.ts';
import { formatFixed } from './numbers.ts';

/** "orders 1, 3, 5, memory depth 3", and the cross terms of a generalized memory polynomial. */
export function structureText(settings: PredistorterSettings): string {
  return [ownText(settings), ...numbersText(settings.numbers)].join('; ');
}

function ownText(settings: PredistorterSettings): string {
  const { memoryDepth } = settings;
  if (settings.kind === 'envelopeTable') {
    const between = settings.interpolation === 'linear' ? 'straight lines between' : 'the nearest taken';
    return `table of ${settings.entryCount} entries, ${between}, memory depth ${memoryDepth}`;
  }
  const byOrder = settings.kind === 'memoryPolynomial' ? settings.memoryDepthByOrder : null;
  const own = `orders ${settings.nonlinearOrders.join(', ')}, memory depth ${byOrder?.join(', ') ?? memoryDepth}`;
  return settings.kind === 'memoryPolynomial' ? own : `${own}; ${crossTermsText(settings.crossTerms)}`;
}

/** "12-bit coefficients", "10-bit drive", "gain tables of 32 entries"; nothing in double precision. */
function numbersText(numbers: PredistorterSettings['numbers']): string[] {
  if (!numbers) return [];
  const { coefficientBitCount, dataBitCount, tableEntryCount } = numbers;
  return [
    ...(coefficientBitCount === 'double' ? [] : [`${coefficientBitCount}-bit coefficients`]),
    ...(dataBitCount === 'double' ? [] : [`${dataBitCount}-bit drive`]),
    ...(tableEntryCount === 'none' ? [] : [`gain tables of ${tableEntryCount} entries`]),
  ];
}

/** "Number format costs 7.9 dB of ACLR (52.9 dB in double precision); drive error −44.6 dB."; empty in double precision. */
export function numbersLossText(numbers: NumbersReport | null): string {
  if (numbers === null) return '';
  const error = `drive error ${formatFixed(numbers.errorDb, 1)} dB`;
  if (numbers.lossDb === null || numbers.aclrDoubleDb === null) return `Number format: ${error}.`;
  const loss = `costs ${formatFixed(numbers.lossDb, 1)} dB of ACLR`;
  return `Number format ${loss} (${formatFixed(numbers.aclrDoubleDb, 1)} dB in double precision); ${error}.`;
}

/** "cross terms of orders 3, 5 with 1 lagging and 1 leading envelope delay". */
export function crossTermsText(cross: CrossTermSettings | CrossTermsReport): string {
  const { nonlinearOrders, laggingEnvelopeDelays, leadingEnvelopeDelays, memoryDepth } = cross;
  const depth = memoryDepth === 'same' ? '' : `, memory depth ${memoryDepth}`;
  const delays = leadingEnvelopeDelays === 1 ? 'delay' : 'delays';
  return `cross terms of orders ${nonlinearOrders.join(', ')}${depth} with ${laggingEnvelopeDelays} lagging and ${leadingEnvelopeDelays} leading envelope ${delays}`;
}
