// What each effect of the transmitter or of the observation costs by itself.

/** A copy of the clean signal behind one effect (or all), after one least-squares gain. */
export interface PathError {
  /** Error power over the signal's, over the whole sample rate; negative. */
  readonly errorDb: number;
  /** The same in percent of the rms: the EVM that the error would be if all of it fell on the carrier. */
  readonly errorPercent: number;
  /** Worse side of the first channel of the signal behind the effect; null when it cannot be read. */
  readonly aclrDb: number | null;
}

export interface PathEffectReport extends PathError {
  readonly effect: string;
  /** With its setting, such as "image −30 dB". */
  readonly label: string;
}

export interface SignalPathReport {
  /** In the order they act; only those that are set. */
  readonly rows: readonly PathEffectReport[];
  readonly together: PathError;
}
