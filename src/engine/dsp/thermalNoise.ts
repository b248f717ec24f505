// Noise of a matched source: N = k·T·B, k = 1.380649e-23 J/K (exact since CODATA 2019).
const BOLTZMANN_J_PER_K = 1.380649e-23;
/** Standard noise temperature (IEEE). */
export const STANDARD_TEMPERATURE_K = 290;

/** Thermal noise in a bandwidth, in dBm: −173.975 dBm/Hz at 290 K. */
export function thermalNoiseDbm(bandwidthHz: number, temperatureK = STANDARD_TEMPERATURE_K): number {
  return 10 * Math.log10(BOLTZMANN_J_PER_K * temperatureK * bandwidthHz * 1000);
}
