// Slots: mean density in a band against the mean density of chosen carriers.
//
//   ratio = (Σ_c P_c / Σ_c B_c) / (P_slot / B_slot)
// P_c is the power in the carrier's density band B_c about its centre: the symbol rate of a single carrier, whose
// root-raised-cosine skirts hold as much outside as they lack inside, and the occupied band of the others.
// Common practice of multi-carrier links, no source; the bands of neighbouring slots are 3.84 MHz wide there as well.
import type { CarrierGeometry } from '../../../shared/schema/geometry.ts';
import type { SlotSettings } from '../../../shared/schema/measurement.ts';
import type { SlotReading } from '../../../shared/schema/report.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { bandPower, isInsideAxis, type PowerSpectrum, ratioSpreadDb } from '../dsp/spectrum.ts';
import { densityDbmPerMHz } from './aclr.ts';

/** What of a carrier a slot needs. */
export type SlotCarrier = Pick<CarrierGeometry, 'offsetHz' | 'occupiedBandwidthHz' | 'notch'> & {
  readonly singleCarrier: Pick<NonNullable<CarrierGeometry['singleCarrier']>, 'symbolRateHz'> | null;
};

/** Band whose mean density stands for the carrier's. */
export function densityBandHz({ singleCarrier, occupiedBandwidthHz }: SlotCarrier): number {
  return singleCarrier?.symbolRateHz ?? occupiedBandwidthHz;
}

/** The carriers a slot is compared with; all of them when none is named. */
export function slotReferences<Carrier extends SlotCarrier>(
  carriers: readonly Carrier[],
  { referenceCarriers }: SlotSettings,
): Carrier[] {
  return referenceCarriers.length === 0 ? [...carriers] : referenceCarriers.map((index) => carriers[index]);
}

/** Mean density of a slot's reference carriers, linear power per Hz. */
export function referenceDensity(
  spectrum: PowerSpectrum,
  carriers: readonly SlotCarrier[],
  slot: SlotSettings,
): number {
  let power = 0;
  let bandHz = 0;
  for (const carrier of slotReferences(carriers, slot)) {
    const widthHz = densityBandHz(carrier);
    power += bandPower(spectrum, carrier.offsetHz, widthHz);
    bandHz += widthHz;
  }
  return power / bandHz;
}

/**
 * Reads every slot inside ±fs/2. `unitDbm` is the antenna port's dBm of |y|² = 1, null without a power scale: then no
 * density is given.
 */
export function measureSlots(
  spectrum: PowerSpectrum,
  sampleRateHz: number,
  carriers: readonly SlotCarrier[],
  slots: readonly SlotSettings[],
  unitDbm: number | null = null,
): SlotReading[] {
  return slots.flatMap((slot): SlotReading[] => {
    const { name, centreHz, bandwidthHz } = slot;
    if (!isInsideAxis(sampleRateHz, centreHz, bandwidthHz)) return [];
    const reference = referenceDensity(spectrum, carriers, slot);
    const densityOf = (run: PowerSpectrum) => bandPower(run, centreHz, bandwidthHz) / bandwidthHz;
    const density = densityOf(spectrum);
    const ratioDb = powerRatioToDb(reference / Math.max(density, reference * 1e-30));
    const densityDbm =
      unitDbm === null
        ? null
        : densityDbmPerMHz(unitDbm + powerRatioToDb(reference * bandwidthHz), ratioDb, bandwidthHz);
    const spreadDb = ratioSpreadDb(spectrum, (run) => densityOf(run) / referenceDensity(run, carriers, slot));
    return [{ name, centreHz, bandwidthHz, ratioDb, spreadDb, densityDbmPerMHz: densityDbm, limitedBy: null }];
  });
}

/** The first carrier in whose occupied band a slot lies, by more than `toleranceHz` and not inside its notch, or null. */
export function carrierInSlot<Carrier extends SlotCarrier>(
  carriers: readonly Carrier[],
  { centreHz, bandwidthHz }: SlotSettings,
  toleranceHz: number,
): Carrier | null {
  const cuts = ({ offsetHz, occupiedBandwidthHz, notch }: Carrier) => {
    const from = centreHz - bandwidthHz / 2 - offsetHz;
    const to = centreHz + bandwidthHz / 2 - offsetHz;
    const isInNotch = notch !== null && from >= notch.lowerHz - toleranceHz && to <= notch.upperHz + toleranceHz;
    return !isInNotch && Math.min(to, occupiedBandwidthHz / 2) - Math.max(from, -occupiedBandwidthHz / 2) > toleranceHz;
  };
  return carriers.find(cuts) ?? null;
}
