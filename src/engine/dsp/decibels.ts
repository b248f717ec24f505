// Every conversion between ratios, decibels and powers.

/** No ratio is shown below this; −300 dB is far under double precision's own floor. */
export const FLOOR_DB = -300;

/** 10·log10(ratio), floored. */
export function powerRatioToDb(ratio: number): number {
  return ratio > 1e-30 ? 10 * Math.log10(ratio) : FLOOR_DB;
}

/** 20·log10(ratio), floored. */
export function amplitudeRatioToDb(ratio: number): number {
  return powerRatioToDb(ratio * ratio);
}

export function dbToPowerRatio(db: number): number {
  return 10 ** (db / 10);
}

export function dbToAmplitudeRatio(db: number): number {
  return 10 ** (db / 20);
}

/** dBm to W: 30 dBm = 1 W. */
export function dbmToW(dbm: number): number {
  return 10 ** ((dbm - 30) / 10);
}

/** W to dBm. */
export function wToDbm(w: number): number {
  return 30 + powerRatioToDb(w);
}

/** 10·log10(power/mean power) of the largest sample. */
export function peakToAverageDb(peak: number, mean: number): number {
  return powerRatioToDb(peak / mean);
}
