// Limit lines of a spectrum: levels at the antenna port in the displayed resolution bandwidth.
import { formatQuantity } from '../../../shared/format/numbers.ts';
import type { Traces } from '../../../shared/schema/report.ts';
import type { LimitSettings } from '../../../shared/schema/scenario.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import type { PowerSpectrum } from '../dsp/spectrum.ts';
import { referencePower } from '../measurement/aclr.ts';
import { referenceDensity } from '../measurement/slots.ts';
import type { Setup } from './checkScenario.ts';
import { placesOf } from './noiseTerms.ts';

export type LimitLine = Traces['limitLines'][number];

/**
 * The level a flat channel just at the limit would have, in the resolution bandwidth; where a density may stand in for the
 * ratio, the higher of the two.
 */
export function limitLinesOf(setup: Setup, spectrum: PowerSpectrum, level: number): LimitLine[] {
  const geometries = setup.waveform.carriers.map((carrier) => carrier.geometry);
  const { resolutionBandwidthHz } = spectrum;
  return setup.scenario.limits.flatMap((limit) => {
    if (limit.reading === 'slot') return slotLines(setup, spectrum, level, limit);
    if (limit.reading !== 'aclr') return [];
    const { requiredDb, absoluteDbmPerMHz: absolute } = limit;
    const density = absolute === null ? null : absolute + powerRatioToDb(resolutionBandwidthHz / 1e6);
    return placesOf(setup)
      .filter(({ channel }) => limit.channel === 'all' || limit.channel === channel.name)
      .map(({ channel, side, centreHz }) => {
        const own = referencePower(spectrum, geometries, channel, side);
        const ratio = level + powerRatioToDb((own * resolutionBandwidthHz) / channel.bandwidthHz) - requiredDb;
        const limitLevel = density === null ? ratio : Math.max(ratio, density);
        return {
          kind: 'aclr' as const,
          label: `ACLR ${requiredDb} dB${absolute === null ? '' : ` or ${formatQuantity(absolute, 'dBm/MHz')}`}`,
          fromHz: centreHz - channel.bandwidthHz / 2,
          toHz: centreHz + channel.bandwidthHz / 2,
          level: limitLevel,
          toLevel: limitLevel,
        };
      });
  });
}

/** Density of the slot's reference carriers, the required ratio lower, over the slot. */
function slotLines(
  setup: Setup,
  spectrum: PowerSpectrum,
  level: number,
  { name, requiredDb }: Extract<LimitSettings, { reading: 'slot' }>,
): LimitLine[] {
  const carriers = setup.waveform.carriers.map((carrier) => carrier.geometry);
  return setup.scenario.measurement.slots
    .filter((slot) => slot.name === name)
    .map((slot) => {
      const { centreHz, bandwidthHz } = slot;
      const density = referenceDensity(spectrum, carriers, slot);
      const limitLevel = level + powerRatioToDb(density * spectrum.resolutionBandwidthHz) - requiredDb;
      return {
        kind: 'aclr' as const,
        label: `${name} ${requiredDb} dB`,
        fromHz: centreHz - bandwidthHz / 2,
        toHz: centreHz + bandwidthHz / 2,
        level: limitLevel,
        toLevel: limitLevel,
      };
    });
}
