// Occupied bandwidth: the band that holds 99 % of the power, 0.5 % below and 0.5 % above it.
// Source: ITU-R SM.328; TS 38.104 clause 6.6.2 (read).
import type { PowerSpectrum } from './spectrum.ts';

export interface OccupiedBandwidth {
  readonly occupiedBandwidthHz: number;
  readonly lowerHz: number;
  readonly upperHz: number;
}

/** Interpolates inside the bins in which the cumulative power crosses the two shares. */
export function measureOccupiedBandwidth(spectrum: PowerSpectrum, shareRatio = 0.99): OccupiedBandwidth {
  const { power, frequencyHz, binWidthHz } = spectrum;
  let total = 0;
  for (let i = 0; i < power.length; i++) total += power[i];
  const tail = ((1 - shareRatio) / 2) * total;
  const crossing = (wanted: number): number => {
    let sum = 0;
    for (let i = 0; i < power.length; i++) {
      if (sum + power[i] >= wanted && power[i] > 0) {
        return frequencyHz[i] + ((wanted - sum) / power[i] - 0.5) * binWidthHz;
      }
      sum += power[i];
    }
    return frequencyHz[power.length - 1] + binWidthHz / 2;
  };
  const lowerHz = crossing(tail);
  const upperHz = crossing(total - tail);
  return { occupiedBandwidthHz: upperHz - lowerHz, lowerHz, upperHz };
}
