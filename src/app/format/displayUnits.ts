// The unit a control speaks in. Scenario files keep SI; people type megahertz and nanoseconds.

export interface DisplayUnit {
  readonly unit: string;
  /** Stored value over shown value. */
  readonly factor: number;
}

const BY_FIELD: Readonly<Record<string, DisplayUnit>> = {
  carrierFrequencyHz: { unit: 'GHz', factor: 1e9 },
  subcarrierSpacingHz: { unit: 'kHz', factor: 1e3 },
  symbolRateHz: { unit: 'Msym/s', factor: 1e6 },
  toneSpacingHz: { unit: 'kHz', factor: 1e3 },
  overlapS: { unit: 'µs', factor: 1e-6 },
  periodS: { unit: 'ms', factor: 1e-3 },
  biasTimeConstantS: { unit: 'ns', factor: 1e-9 },
  delayErrorS: { unit: 'ns', factor: 1e-9 },
  clockJitterS: { unit: 'ps', factor: 1e-12 },
  phaseNoiseBandwidthHz: { unit: 'kHz', factor: 1e3 },
};
const BY_UNIT: Readonly<Record<string, DisplayUnit>> = {
  Hz: { unit: 'MHz', factor: 1e6 },
  s: { unit: 'µs', factor: 1e-6 },
};

/** The unit for a field by its name and stored unit. */
export function displayUnitOf(fieldName: string, storedUnit: string | null): DisplayUnit {
  return BY_FIELD[fieldName] ?? BY_UNIT[storedUnit ?? ''] ?? { unit: storedUnit ?? '', factor: 1 };
}

/** Twelve digits: removes the noise of the scaling and keeps every figure a person types. */
const DIGITS = 12;

export function toShown(stored: number, { factor }: DisplayUnit): number {
  return Number((stored / factor).toPrecision(DIGITS));
}

export function toStored(shown: number, { factor }: DisplayUnit): number {
  return Number((shown * factor).toPrecision(DIGITS));
}
