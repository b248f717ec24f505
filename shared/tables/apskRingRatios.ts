// Ring ratios of amplitude-phase keying per code rate: second over first radius, and third over first for 32APSK.
// EN 302 307-1 Tables 9 and 10, from memory.

export interface ApskRingRatios {
  readonly codeRate: string;
  /** Radii over the innermost one, without it. */
  readonly ratios: readonly number[];
}

export const APSK_RING_RATIO_SOURCE = 'EN 302 307-1 Tables 9 and 10 (from memory)';

export const apskRingRatios: Readonly<Record<'16APSK' | '32APSK', readonly ApskRingRatios[]>> = {
  '16APSK': [
    { codeRate: '2/3', ratios: [3.15] },
    { codeRate: '3/4', ratios: [2.85] },
    { codeRate: '4/5', ratios: [2.75] },
    { codeRate: '5/6', ratios: [2.7] },
    { codeRate: '8/9', ratios: [2.6] },
    { codeRate: '9/10', ratios: [2.57] },
  ],
  '32APSK': [
    { codeRate: '3/4', ratios: [2.84, 5.27] },
    { codeRate: '4/5', ratios: [2.72, 4.87] },
    { codeRate: '5/6', ratios: [2.64, 4.64] },
    { codeRate: '8/9', ratios: [2.54, 4.33] },
    { codeRate: '9/10', ratios: [2.53, 4.3] },
  ],
};

/** The code rate whose ratios stand for "auto". */
export const DEFAULT_APSK_CODE_RATE = '5/6';

/** Ratios of a code rate of the table. @throws RangeError when the table has no such rate. */
export function ringRatiosAtCodeRate(modulation: '16APSK' | '32APSK', codeRate: string): readonly number[] {
  const row = apskRingRatios[modulation].find((entry) => entry.codeRate === codeRate);
  if (row !== undefined) return row.ratios;
  throw new RangeError(`ringRatiosAtCodeRate: ${modulation} has no code rate "${codeRate}"`);
}
