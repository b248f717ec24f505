// The averaged spectrum of a record that arrives in pieces: the segments of `estimateSpectrum` with `periodic: false`,
// in the same order and with the same sums, in memory that does not grow with the record.
import { type ComplexSignal, zeros } from './complex.ts';
import { createSegmentSums, type PowerSpectrum, type SpectrumOptions, segmentPlan } from './spectrum.ts';

export interface SegmentAverager {
  /** The record's next samples; they may be overwritten afterwards. */
  readonly push: (samples: ComplexSignal) => void;
  readonly finish: () => PowerSpectrum;
}

/**
 * @param length samples of the whole record, which must be known: it says how many segments there are.
 * @throws RangeError when a segment is longer than the record.
 */
export function createSegmentAverager(length: number, options: SpectrumOptions): SegmentAverager {
  const size = options.segmentLength;
  if (size > length) throw new RangeError(`createSegmentAverager: segment of ${size} in a record of ${length} samples`);
  const { hop, segmentCount } = segmentPlan(length, { ...options, periodic: false });
  const sums = createSegmentSums(options, segmentCount);
  // The last `size` samples in a ring; the oldest stands at `head`.
  const ring = zeros(size);
  let head = 0;
  let untilFull = size;
  let addedCount = 0;
  const push = ({ re, im }: ComplexSignal) => {
    for (let at = 0; at < re.length && addedCount < segmentCount; ) {
      const count = Math.min(re.length - at, untilFull, size - head);
      ring.re.set(re.subarray(at, at + count), head);
      ring.im.set(im.subarray(at, at + count), head);
      at += count;
      head = head + count === size ? 0 : head + count;
      untilFull -= count;
      if (untilFull > 0) continue;
      sums.add(ring, head);
      addedCount++;
      untilFull = hop;
    }
  };
  const finish = () => {
    if (addedCount !== segmentCount) {
      throw new RangeError(`createSegmentAverager: ${addedCount} of ${segmentCount} segments came`);
    }
    return sums.finish();
  };
  return { push, finish };
}
