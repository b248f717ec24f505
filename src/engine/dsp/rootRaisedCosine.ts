// The root-raised-cosine response of a pulse and of its matched filter.
//
//   H(f) = 1                                       |f| ≤ (1 − α)/2        f in symbol rates
//        = cos(π/(2α)·(|f| − (1 − α)/2))           between
//        = 0                                       |f| ≥ (1 + α)/2
// H² is the raised cosine: H²(f) + H²(1 − f) = 1 (Nyquist's first criterion).

/** Amplitude response at a frequency in symbol rates, 1 in the middle; roll-off α above 0 and up to 1. */
export function rootRaisedCosine(frequencyRatio: number, rollOffRatio: number): number {
  const beyond = Math.abs(frequencyRatio) - (1 - rollOffRatio) / 2;
  if (beyond <= 0) return 1;
  if (beyond >= rollOffRatio) return 0;
  // √(½(1 + cos x)) = cos(x/2).
  return Math.cos((Math.PI / 2) * (beyond / rollOffRatio));
}
