// The emission limit of 47 CFR 101.111(a)(2) for digital modulation of fixed microwave links, as a mask for one
// authorized bandwidth B. P is the distance from the assigned frequency in per cent of B.
//
//   below 15 GHz, any 4 kHz, 50 < P ≤ 250:  A = 35 + 0.8·(P − 50) + 10·log10(B/MHz) dB below the mean power,
//       at least 50 dB, never more than 80 dB nor below −13 dBm/MHz                          (read, October 2006)
//   above 15 GHz, any 1 MHz, 50 < P ≤ 250:  A = 11 + 0.4·(P − 50) + 10·log10(B/MHz), at least 11 dB,
//       never more than 56 dB nor below −13 dBm/MHz                                          (from memory)
//   beyond 250 %:  43 + 10·log10(P/W) dB, which is −13 dBm, or 80 dB, whichever is less      (read; the bandwidths of
//       4 kHz and 1 MHz are from memory)
import type { MaskLimitSettings, MaskPiece } from '../schema/measurement.ts';

interface FccRule {
  readonly startDb: number;
  readonly slopeDb: number;
  readonly leastDb: number;
  readonly mostDb: number;
  readonly measuringBandwidthHz: number;
  readonly paragraph: string;
  readonly status: MaskLimitSettings['status'];
}

const BELOW_15_GHZ: FccRule = {
  startDb: 35,
  slopeDb: 0.8,
  leastDb: 50,
  mostDb: 80,
  measuringBandwidthHz: 4e3,
  paragraph: '101.111(a)(2)(i), below 15 GHz',
  status: 'read+recalled',
};
const ABOVE_15_GHZ: FccRule = {
  startDb: 11,
  slopeDb: 0.4,
  leastDb: 11,
  mostDb: 56,
  measuringBandwidthHz: 1e6,
  paragraph: '101.111(a)(2)(ii), above 15 GHz',
  status: 'recalled',
};

/** Far out: attenuation need not pass 80 dB, nor the level fall below this. */
const FAR_DBM = -13;
const FAR_MOST_DB = 80;
/** Share of B where the near rule ends. */
const NEAR_END_RATIO = 2.5;

/** Attenuation A in dB at P per cent of the authorized bandwidth, 50 < P ≤ 250, without its absolute alternative. */
export function fccAttenuationDb(percent: number, authorizedBandwidthHz: number, carrierFrequencyHz: number): number {
  const { startDb, slopeDb, leastDb, mostDb } = ruleAt(carrierFrequencyHz);
  const asked = startDb + slopeDb * (percent - 50) + 10 * Math.log10(authorizedBandwidthHz / 1e6);
  return Math.min(mostDb, Math.max(leastDb, asked));
}

function ruleAt(carrierFrequencyHz: number): FccRule {
  return carrierFrequencyHz < 15e9 ? BELOW_15_GHZ : ABOVE_15_GHZ;
}

/** The rule as a mask in dB below the mean power, counted from the assigned frequency. */
export function fccMaskLimit(authorizedBandwidthHz: number, carrierFrequencyHz: number): MaskLimitSettings {
  const rule = ruleAt(carrierFrequencyHz);
  const { startDb, slopeDb, leastDb, mostDb, measuringBandwidthHz } = rule;
  const percentAt = (db: number) => 50 + (db - startDb - 10 * Math.log10(authorizedBandwidthHz / 1e6)) / slopeDb;
  const inside = (percent: number) => Math.min(100 * NEAR_END_RATIO, Math.max(50, percent));
  // Level, slope, level: the corners of A, kept inside the near rule's range.
  const corners = [50, inside(percentAt(leastDb)), inside(percentAt(mostDb)), 100 * NEAR_END_RATIO];
  const attenuation = (percent: number) => fccAttenuationDb(percent, authorizedBandwidthHz, carrierFrequencyHz);
  const atLeastDbm = FAR_DBM + 10 * Math.log10(measuringBandwidthHz / 1e6);
  const near = corners.slice(1).flatMap((to, i): MaskPiece[] => {
    const from = corners[i] ?? 50;
    if (to <= from) return [];
    return [
      {
        fromHz: (from / 100) * authorizedBandwidthHz,
        toHz: (to / 100) * authorizedBandwidthHz,
        startLevel: -attenuation(from),
        endLevel: -attenuation(to),
        measuringBandwidthHz,
        atMostDbm: null,
        atLeastDbm,
      },
    ];
  });
  const far: MaskPiece = {
    fromHz: NEAR_END_RATIO * authorizedBandwidthHz,
    toHz: 'end',
    startLevel: -FAR_MOST_DB,
    endLevel: -FAR_MOST_DB,
    measuringBandwidthHz,
    atMostDbm: null,
    atLeastDbm: FAR_DBM,
  };
  return {
    reading: 'mask',
    name: '47 CFR 101.111',
    unit: 'dBr',
    measuredFrom: 'carrierCentre',
    ratedPowerDbm: null,
    pieces: [...near, far],
    source: `47 CFR ${rule.paragraph}, October 2006, authorized bandwidth ${authorizedBandwidthHz / 1e6} MHz`,
    status: rule.status,
  };
}
