// Frequencies in words, for issues and warnings.

/** "122.88 MHz", "312.5 Hz": at most six decimals, no trailing zeros. */
export function formatHz(hz: number): string {
  const size = Math.abs(hz);
  if (size >= 1e9) return `${Number((hz / 1e9).toFixed(6))} GHz`;
  if (size >= 1e6) return `${Number((hz / 1e6).toFixed(6))} MHz`;
  if (size >= 1e3) return `${Number((hz / 1e3).toFixed(6))} kHz`;
  return `${Number(hz.toFixed(3))} Hz`;
}

/** The number of MHz alone, to six digits, where several share one unit. */
export function megahertz(hz: number): string {
  return String(Number((hz / 1e6).toPrecision(6)));
}
