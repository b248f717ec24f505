// A predistorter's structure in words, the same on every face.
import type { CrossTermsReport } from '../schema/report.ts';
import type { CrossTermSettings, PredistorterSettings } from '../schema/scenario.ts';

/** "orders 1, 3, 5, memory depth 3", and the cross terms of a generalized memory polynomial. */
export function structureText(settings: PredistorterSettings): string {
  if (settings.kind === 'envelopeTable') {
    return `table of ${settings.entryCount} entries, memory depth ${settings.memoryDepth}`;
  }
  const { nonlinearOrders, memoryDepth } = settings;
  const own = `orders ${nonlinearOrders.join(', ')}, memory depth ${memoryDepth}`;
  return settings.kind === 'memoryPolynomial' ? own : `${own}; ${crossTermsText(settings.crossTerms)}`;
}

/** "cross terms of orders 3, 5 with 1 lagging and 1 leading envelope delay". */
export function crossTermsText(cross: CrossTermSettings | CrossTermsReport): string {
  const { nonlinearOrders, laggingEnvelopeDelays, leadingEnvelopeDelays, memoryDepth } = cross;
  const depth = memoryDepth === 'same' ? '' : `, memory depth ${memoryDepth}`;
  const delays = leadingEnvelopeDelays === 1 ? 'delay' : 'delays';
  return `cross terms of orders ${nonlinearOrders.join(', ')}${depth} with ${laggingEnvelopeDelays} lagging and ${leadingEnvelopeDelays} leading envelope ${delays}`;
}
