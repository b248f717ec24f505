// Soft saturation of Rapp 1991 (ECSC): amplitude r → r·(1 + r^2p)^(−1/2p), saturated amplitude 1, knee sharpness p.
// Written in u = r² so that neither a root nor a power is taken per sample: u^p = exp(p·ln u).

/** ln of the largest t for which 1 + t still differs from t in double precision: 2^53. */
const LARGEST_KNEE_EXPONENT = 37;

/** Gain (1 + u^p)^(−1/2p) at envelope power u ≥ 0, sharpness p > 0; 1 at u = 0, u^(−1/2) far above the knee. */
export function kneeGain(envelopePower: number, sharpness: number): number {
  const logPower = Math.log(envelopePower);
  const exponent = sharpness * logPower;
  // Far above the knee u^p would overflow, and the gain is 1/r to the last digit.
  if (exponent > LARGEST_KNEE_EXPONENT) return Math.exp(-0.5 * logPower);
  return Math.exp((-0.5 / sharpness) * Math.log1p(Math.exp(exponent)));
}
