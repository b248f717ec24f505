// The masks of a scenario against one output: readings, the floor that speaks in each, and the lines on the picture.
// Spectra hold the mean power while on, so that every level does.
import type { MaskLimitSettings } from '../../../shared/schema/measurement.ts';
import type { FloorName, MaskReading, Traces } from '../../../shared/schema/report.ts';
import { antennaPowerDbm } from '../amplifier/operatingPoint.ts';
import { dbToPowerRatio, powerRatioToDb } from '../dsp/decibels.ts';
import { bandPower, type PowerSpectrum } from '../dsp/spectrum.ts';
import { measureMask } from '../measurement/emissionMask.ts';
import { carriersFloorDb, ROUNDING_FLOOR_DB, speakingFloor } from '../measurement/floors.ts';
import { levelPieces, maskReference } from '../measurement/maskGeometry.ts';
import { maskLines } from '../measurement/maskLines.ts';
import type { Setup } from './checkScenario.ts';
import type { NoiseTerms } from './noiseTerms.ts';

function masksAmong({ scenario }: Setup): MaskLimitSettings[] {
  return scenario.limits.filter((limit) => limit.reading === 'mask');
}

/** Every mask of the scenario held against one output of mean power `mean`, |y|² while on. */
export function masksOf(setup: Setup, spectrum: PowerSpectrum, mean: number): MaskReading[] {
  const { amplifier } = setup.scenario;
  const unitDbm = antennaPowerDbm(1, amplifier);
  const meanDbm = antennaPowerDbm(mean, amplifier);
  if (unitDbm === null || meanDbm === null) return [];
  const carriers = setup.waveform.carriers.map((carrier) => carrier.geometry);
  return masksAmong(setup).flatMap((mask) => {
    const { sampleRateHz } = setup.waveform;
    const { reading } = measureMask(spectrum, sampleRateHz, carriers, mask, { unitDbm, meanDbm });
    return reading === null ? [] : [reading];
  });
}

/** Spectra and densities that stand below a reading whatever the amplifier does. */
export interface MaskFloorViews {
  readonly waveform: PowerSpectrum;
  readonly ideal: PowerSpectrum;
  /** The output's own spectrum, and the noise in it. */
  readonly output: PowerSpectrum;
  readonly noise: NoiseTerms;
}

/** Names, at the worst place of each mask, the floor within 10 dB that speaks loudest. */
export function nameMaskLimits(setup: Setup, masks: readonly MaskReading[], views: MaskFloorViews): MaskReading[] {
  return masks.map((mask) => {
    const level = floorRatiosOf(setup, mask, views);
    const shown = meanOverBand(views.output, mask);
    return { ...mask, limitedBy: speakingFloor(shown, (name) => level[name] ?? null) };
  });
}

type Place = Pick<MaskReading, 'atHz' | 'measuringBandwidthHz'>;

/** Mean power of all over the power in the measuring bandwidth, dB. */
function meanOverBand(spectrum: PowerSpectrum, { atHz, measuringBandwidthHz }: Place): number {
  let total = 0;
  for (const power of spectrum.power) total += power;
  return powerRatioToDb(total / Math.max(total * 1e-30, bandPower(spectrum, atHz, measuringBandwidthHz)));
}

function floorRatiosOf(setup: Setup, mask: Place, views: MaskFloorViews): Partial<Record<FloorName, number>> {
  const { method, window, segmentLength } = setup.scenario.measurement.spectrum;
  const settings = { method, window, segmentLength, sampleRateHz: setup.waveform.sampleRateHz };
  const carriers = setup.waveform.carriers.map(({ geometry }) => ({
    ...geometry,
    power: dbToPowerRatio(geometry.relativePowerDb),
  }));
  const all = { ...carriers[0], power: carriers.reduce((sum, { power }) => sum + power, 0) };
  let total = 0;
  for (const power of views.output.power) total += power;
  const white = (perHz: number) => powerRatioToDb(total / (perHz * mask.measuringBandwidthHz));
  return {
    numbers: ROUNDING_FLOOR_DB,
    estimator: carriersFloorDb(settings, carriers, all, mask.atHz, mask.measuringBandwidthHz),
    source: meanOverBand(views.waveform, mask),
    idealLimiter: meanOverBand(views.ideal, mask),
    ...(views.noise.transmitterPerHz === 0 ? {} : { transmitterNoise: white(views.noise.transmitterPerHz) }),
    ...(views.noise.analyserPerHz === 0 ? {} : { analyser: white(views.noise.analyserPerHz) }),
  };
}

/** The masks as lines in the picture's resolution bandwidth; `mean` as for the readings. */
export function maskLimitLines(setup: Setup, spectrum: PowerSpectrum, mean: number): Traces['limitLines'][number][] {
  const meanDbm = antennaPowerDbm(mean, setup.scenario.amplifier);
  if (meanDbm === null) return [];
  const carriers = setup.waveform.carriers.map((carrier) => carrier.geometry);
  return masksAmong(setup).flatMap((mask) => {
    const reference = maskReference(carriers, mask.measuredFrom);
    const { sampleRateHz } = setup.waveform;
    const lines = maskLines(levelPieces(mask, meanDbm), reference, sampleRateHz, spectrum.resolutionBandwidthHz);
    return lines.map((line) => ({ kind: 'mask' as const, label: mask.name, ...line }));
  });
}
