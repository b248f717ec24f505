// Power spectra made of flat pieces, for closed forms. A bin that a piece's edge cuts holds the share inside, spread over
// the bin: a band that ends on such an edge misses half of it, so pieces reach one bin or more beyond what is measured.
import type { PowerSpectrum } from '../../../src/engine/dsp/spectrum.ts';

/** [from, to, density per Hz], in Hz. Pieces may overlap; their densities add. */
export type FlatPiece = readonly [number, number, number];

export function flatSpectrum(sampleRateHz: number, binWidthHz: number, pieces: readonly FlatPiece[]): PowerSpectrum {
  const size = Math.round(sampleRateHz / binWidthHz);
  const half = Math.floor(size / 2);
  const frequencyHz = Float64Array.from({ length: size }, (_, i) => (i - half) * binWidthHz);
  const power = frequencyHz.map((f) =>
    pieces.reduce((sum, [from, to, density]) => {
      const inside = Math.min(to, f + binWidthHz / 2) - Math.max(from, f - binWidthHz / 2);
      return sum + density * Math.max(0, inside);
    }, 0),
  );
  return {
    frequencyHz,
    power,
    binWidthHz,
    resolutionBandwidthHz: binWidthHz,
    segmentLength: size,
    segmentCount: 1,
    runs: [],
  };
}
