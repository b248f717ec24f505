// How far a reading lies from what is stated.
import { formatQuantity } from '../../../../shared/format/numbers.ts';
import type { SheetReading } from '../../../../shared/schema/readBack.ts';

/** "✕ 0.31 dB low", or that the model never gets there. */
export function missText(read: number | null, stated: number, unit: SheetReading['unit']): string {
  if (read === null) return '✕ never reached';
  const by = formatQuantity(Math.abs(read - stated), unit === 'dBm' ? 'dB' : unit, 2);
  return `✕ ${by} ${read < stated ? 'low' : 'high'}`;
}
