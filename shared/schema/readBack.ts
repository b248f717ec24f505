// What an amplifier model reads under a CW sweep and two tones: the page of a data sheet, read back from the model itself.

export interface AmplifierReadBack {
  /** Small-signal gain in dB: amplifier.gainDb. */
  readonly gainDb: number;
  /** Largest gain of the sweep over small-signal gain. */
  readonly highestGainDb: number;
  /** Largest CW output, within the drive range. */
  readonly saturation: CwReading;
  /** Where the gain has first fallen this far below small-signal gain; null when it does not. */
  readonly atOneDbCompression: CwReading | null;
  readonly atThreeDbCompression: CwReading | null;
  readonly intercept: InterceptReading;
  /** For a data sheet: each stated figure beside the model's own reading. */
  readonly sheet: readonly SheetReading[];
}

export interface CwReading {
  /** 0 dB: the drive that would reach saturated power at small-signal gain. */
  readonly driveDb: number;
  /** Null when the saturated power is not known. */
  readonly driveDbm: number | null;
  /** Re saturated power. */
  readonly outputDb: number;
  readonly outputDbm: number | null;
  readonly compressionDb: number;
  /** Against the phase at small signal, −180 … 180. */
  readonly amPmDeg: number;
}

/** Third-order output intercept, per tone, from two equal tones with a vanishing spacing. */
export interface InterceptReading {
  /** Re saturated power; null with a reason when products do not rise 3 dB per dB at low power. */
  readonly outputDb: number | null;
  readonly outputDbm: number | null;
  /** Rise of the third-order product over the rise of the tones, dB per dB; null when there is no product. */
  readonly slope: number | null;
  /** Output per tone at which it is read, below saturated power. */
  readonly toneBackoffDb: number;
  readonly reason: string | null;
}

export interface SheetReading {
  /** Dotted path in the scenario of the stated figure. */
  readonly path: string;
  readonly name: string;
  readonly unit: 'dB' | 'dBm' | '°';
  readonly stated: number;
  /** Null when the model never gets there. */
  readonly read: number | null;
  readonly tolerance: number;
  readonly isMet: boolean;
}

/** Output and phase of a constant carrier (CW) over its drive, slow states at rest; one value per drive, rising. */
export interface AmplifierCurve {
  /** 0 dB: the drive that would reach saturated power at small-signal gain. */
  readonly driveDb: Float64Array;
  /** Null when the saturated power is not known. */
  readonly driveDbm: Float64Array | null;
  /** Re saturated power. */
  readonly outputDb: Float64Array;
  readonly outputDbm: Float64Array | null;
  /** Re small-signal gain. */
  readonly gainDb: Float64Array;
  /** Re small signal, continuous along the curve. */
  readonly phaseDeg: Float64Array;
}
