// One change of the nearest structure of an order map, the same in its answer and its table.
import type { MapTrial } from '../schema/studyReport.ts';
import { structureName } from './structureName.ts';

/** Such as "11th order × 1 tap", "1 dB more output back-off", "1 dB less crest factor". */
export function mapChangeText({
  change,
  highestOrder,
  memoryDepth,
  stepDb,
}: Pick<MapTrial, 'change' | 'highestOrder' | 'memoryDepth' | 'stepDb'>): string {
  const step = Math.abs(stepDb ?? 0);
  switch (change) {
    case 'higherOrder':
    case 'moreTaps':
      return structureName(highestOrder, memoryDepth);
    case 'moreBackoff':
      return `${step} dB more output back-off`;
    case 'crestFactor':
      return `${step} dB ${(stepDb ?? 0) < 0 ? 'less' : 'more'} crest factor`;
  }
}
