// Floors of the slots: the best ratio each slot could show whatever the amplifier does, and which of them speaks.
import type { FloorName, SlotReading } from '../../../shared/schema/report.ts';
import { dbToPowerRatio, powerRatioToDb } from '../dsp/decibels.ts';
import type { PowerSpectrum } from '../dsp/spectrum.ts';
import { carriersFloorDb, ROUNDING_FLOOR_DB, speakingFloor } from '../measurement/floors.ts';
import { densityBandHz, referenceDensity, slotReferences } from '../measurement/slots.ts';
import type { Setup } from './checkScenario.ts';
import { type OutputViews, slotsOf } from './readings.ts';

/** Ratio of every floor in one slot, under the slot's name; a floor that is left out is missing. */
export type SlotFloors = ReadonlyMap<string, Partial<Readonly<Record<FloorName, number>>>>;

/** The floors of every slot of a scenario. */
export function slotFloorsOf(
  setup: Setup,
  waveform: PowerSpectrum,
  ideal: readonly SlotReading[],
  { spectrum, noise }: OutputViews,
): SlotFloors {
  const carriers = setup.waveform.carriers.map(({ geometry }) => ({
    ...geometry,
    power: dbToPowerRatio(geometry.relativePowerDb),
  }));
  const { method, window, segmentLength } = setup.scenario.measurement.spectrum;
  const settings = { method, window, segmentLength, sampleRateHz: setup.waveform.sampleRateHz };
  const source = slotsOf(setup, waveform);
  return new Map(
    setup.scenario.measurement.slots.map((slot) => {
      const { name, centreHz, bandwidthHz } = slot;
      const references = slotReferences(carriers, slot);
      const bandHz = references.reduce((sum, carrier) => sum + densityBandHz(carrier), 0);
      const density = references.reduce((sum, carrier) => sum + carrier.power, 0) / bandHz;
      const own = { ...references[0], power: density * bandwidthHz };
      const white = (perHz: number) => powerRatioToDb(referenceDensity(spectrum, carriers, slot) / perHz);
      const levels = {
        ...ratioOf('source', source, name),
        estimator: carriersFloorDb(settings, carriers, own, centreHz, bandwidthHz),
        numbers: ROUNDING_FLOOR_DB,
        ...(noise.transmitterPerHz === 0 ? {} : { transmitterNoise: white(noise.transmitterPerHz) }),
        ...(noise.analyserPerHz === 0 ? {} : { analyser: white(noise.analyserPerHz) }),
        ...ratioOf('idealLimiter', ideal, name),
      };
      return [name, levels];
    }),
  );
}

function ratioOf(floor: FloorName, readings: readonly SlotReading[], name: string): Partial<Record<FloorName, number>> {
  const reading = readings.find((one) => one.name === name);
  return reading === undefined ? {} : { [floor]: reading.ratioDb };
}

/** Names, in each slot, the floor within 10 dB that speaks loudest. */
export function nameSlotLimits(slots: readonly SlotReading[], floors: SlotFloors): SlotReading[] {
  return slots.map((slot) => ({
    ...slot,
    limitedBy: speakingFloor(slot.ratioDb, (name) => floors.get(slot.name)?.[name] ?? null),
  }));
}
