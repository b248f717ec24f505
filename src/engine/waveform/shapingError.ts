// What shaping a record costs: the error of each carrier against the same record before shaping.
//
// OFDM carriers: symbols of both records, one least-squares gain, rms error over rms. All others: the same over the bins
// of the whole record that the carrier fills.

import { blockTransform } from '../dsp/blockTransform.ts';
import { type ComplexSignal, zeros } from '../dsp/complex.ts';
import { fft } from '../dsp/fft.ts';
import { shiftByCycles } from '../dsp/frequencyShift.ts';
import { occupiedBins } from './reductionFilter.ts';
import type { ResolvedCarrier, ResolvedWaveform } from './resolvedWaveform.ts';

/** A function that gives every carrier's error of a shaped record against `before`, in percent. */
export function createShapingError(
  before: ComplexSignal,
  { carriers, sampleRateHz }: Pick<ResolvedWaveform, 'carriers' | 'sampleRateHz'>,
): (shaped: ComplexSignal) => number[] {
  const bins = carriers.map((carrier) =>
    carrier.geometry.ofdm === null ? occupiedBins(carrier, before.re.length, sampleRateHz) : null,
  );
  const views = (x: ComplexSignal): ComplexSignal[] => {
    const spectrum = bins.some((list) => list !== null) ? fft(x) : null;
    return carriers.map((carrier, i) => {
      const list = bins[i];
      return spectrum === null || list === null ? symbolsOf(x, carrier) : pick(spectrum, list);
    });
  };
  const references = views(before);
  return (shaped) => {
    const measured = views(shaped);
    return references.map((reference, i) => 100 * relativeError(reference, measured[i]));
  };
}

function symbolsOf(x: ComplexSignal, { geometry, cyclesPerRecord }: ResolvedCarrier): ComplexSignal {
  const { ofdm } = geometry;
  if (ofdm === null) throw new RangeError(`symbolsOf: carrier "${geometry.label}" has no symbols`);
  return blockTransform(cyclesPerRecord === 0 ? x : shiftByCycles(x, -cyclesPerRecord), {
    blockLength: ofdm.fftLength,
    start: Math.floor(ofdm.cyclicPrefixSamples / 2),
    spacing: ofdm.symbolSamples,
    blockCount: ofdm.symbolCount,
    bins: ofdm.subcarriers,
    phaseOrigin: 0,
  });
}

function pick(spectrum: ComplexSignal, bins: readonly number[]): ComplexSignal {
  const out = zeros(bins.length);
  for (let i = 0; i < bins.length; i++) {
    out.re[i] = spectrum.re[bins[i]];
    out.im[i] = spectrum.im[bins[i]];
  }
  return out;
}

/** rms of y − g·x over rms of g·x, g the complex least-squares gain: √(1/ρ² − 1), ρ the correlation. */
function relativeError(x: ComplexSignal, y: ComplexSignal): number {
  let xx = 0;
  let yy = 0;
  let re = 0;
  let im = 0;
  for (let n = 0; n < x.re.length; n++) {
    xx += x.re[n] * x.re[n] + x.im[n] * x.im[n];
    yy += y.re[n] * y.re[n] + y.im[n] * y.im[n];
    re += x.re[n] * y.re[n] + x.im[n] * y.im[n];
    im += x.re[n] * y.im[n] - x.im[n] * y.re[n];
  }
  const linear = (re * re + im * im) / xx;
  return Math.sqrt(Math.max(0, yy / linear - 1));
}
