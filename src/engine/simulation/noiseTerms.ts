// White noise that a reading contains beside the signal: the transmitter's own at the antenna port, and the analyser's.
//
// Both are densities added in power to the spectrum of an amplifier output, before anything is read from it:
//   transmitter   10^((N − P₁)/10), N in dBm/Hz, P₁ the antenna port's dBm of |y|² = 1
//   analyser      D·10^(−F/10), D the density of the strongest carrier, F the ratio the analyser itself would show
// A true ratio of F then reads F − 3.01 dB. The waveform and the ideal limiter are shown without them.
import type { CarrierGeometry } from '../../../shared/schema/geometry.ts';
import type { EvmReading, OutputReport } from '../../../shared/schema/report.ts';
import { antennaPowerDbm } from '../amplifier/operatingPoint.ts';
import { dbToPowerRatio, powerRatioToDb } from '../dsp/decibels.ts';
import { bandPower, type PowerSpectrum, withWhiteNoise } from '../dsp/spectrum.ts';
import { channelPlaces, referencePower } from '../measurement/aclr.ts';
import type { Setup } from './checkScenario.ts';

export interface NoiseTerms {
  /** In |y|² per Hz; 0 when left out. */
  readonly transmitterPerHz: number;
  readonly analyserPerHz: number;
}

export const NO_NOISE: NoiseTerms = { transmitterPerHz: 0, analyserPerHz: 0 };

/** The noise terms of a scenario beside one output, whose spectrum is given without them. */
export function noiseTermsOf(setup: Setup, spectrum: PowerSpectrum): NoiseTerms {
  const { transmitterNoiseDbmPerHz, analyserFloorDb } = setup.scenario.measurement.noise;
  const unitDbm = antennaPowerDbm(1, setup.scenario.amplifier);
  const densities = setup.waveform.carriers.map(
    ({ geometry }) =>
      bandPower(spectrum, geometry.offsetHz, geometry.occupiedBandwidthHz) / geometry.occupiedBandwidthHz,
  );
  return {
    transmitterPerHz:
      transmitterNoiseDbmPerHz === null || unitDbm === null ? 0 : dbToPowerRatio(transmitterNoiseDbmPerHz - unitDbm),
    analyserPerHz: analyserFloorDb === null ? 0 : Math.max(...densities) * dbToPowerRatio(-analyserFloorDb),
  };
}

export function withNoiseTerms(spectrum: PowerSpectrum, noise: NoiseTerms): PowerSpectrum {
  return withWhiteNoise(spectrum, noise.transmitterPerHz + noise.analyserPerHz);
}

/**
 * EVM with the noise that the receiver lets through: EVM² grows by N₀·B over the carrier's power, B what its filter or
 * transform passes for each symbol sent: the symbol rate behind a matched filter, the carrying subcarriers of OFDM.
 */
export function evmWithNoise(
  setup: Setup,
  spectrum: PowerSpectrum,
  noise: NoiseTerms,
  reading: EvmReading,
): EvmReading {
  const density = noise.transmitterPerHz + noise.analyserPerHz;
  if (density === 0) return reading;
  const { geometry } = setup.waveform.carriers[reading.carrierIndex];
  const own = bandPower(spectrum, geometry.offsetHz, geometry.occupiedBandwidthHz);
  const added = (density * receiverBandHz(geometry)) / own;
  return { ...reading, rmsPercent: 100 * Math.sqrt((reading.rmsPercent / 100) ** 2 + added) };
}

function receiverBandHz({ ofdm, singleCarrier, occupiedBandwidthHz }: CarrierGeometry): number {
  if (singleCarrier !== null) return singleCarrier.symbolRateHz;
  return ofdm === null ? occupiedBandwidthHz : ofdm.subcarriers.length * ofdm.subcarrierSpacingHz;
}

/** ACLR that one white density alone would show, for every reading of an output; empty when it is left out. */
export function noiseFloorReadings(
  setup: Setup,
  spectrum: PowerSpectrum,
  densityPerHz: number,
  readings: OutputReport['aclr'],
): OutputReport['aclr'] {
  if (densityPerHz === 0) return [];
  const places = placesOf(setup);
  const carriers = setup.waveform.carriers.map((carrier) => carrier.geometry);
  return readings.map((reading, i) => {
    const own = referencePower(spectrum, carriers, places[i].channel, places[i].side);
    return { ...reading, aclrDb: powerRatioToDb(own / (densityPerHz * reading.bandwidthHz)) };
  });
}

/** The channels a scenario reads, side by side, in the order of the readings. */
export function placesOf({ waveform, channels }: Setup): ReturnType<typeof channelPlaces> {
  const carriers = waveform.carriers.map((carrier) => carrier.geometry);
  return channelPlaces(waveform.sampleRateHz, carriers, channels).filter(({ isInside }) => isInside);
}
