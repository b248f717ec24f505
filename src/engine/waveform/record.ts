// Sample rate and length of a periodic record that holds whole symbols.
//
// Every subcarrier spacing is a power of two times the smallest one, so one rate, a power of two times a spacing, gives
// each carrier a power-of-two transform. The cyclic prefix is 9/128 of the transform for every symbol (144 of 2048,
// TS 38.211 clause 5.3.1; the longer first symbol of a half subframe is left out so that the record is periodic).
// Without OFDM the record is a power of two long, and symbol rates and tones move to it (wholeCycles.ts).
import type { Issue } from '../../../shared/schema/issue.ts';
import { printValue } from '../../../shared/schema/issue.ts';
import type { WaveformSettings } from '../../../shared/schema/scenario.ts';
import { isPowerOfTwo } from '../dsp/fft.ts';
import { formatHz } from '../dsp/frequencyText.ts';
import { MOST_SAMPLES } from '../dsp/waveformTypes.ts';
import type { Band } from './carrierBand.ts';

/** Range of the field `sampleRateHz`. */
const LOWEST_RATE_HZ = 1e4;
const HIGHEST_RATE_HZ = 20e9;
/** The prefix of a symbol is this many 128ths of its transform. */
const PREFIX_PER_128 = 9;
const LEAST_FFT_LENGTH = 128;
/** Noise and tones have no rate of their own; automatic rates are powers of two times this (rates of the OFDM rows). */
const RATE_UNIT_HZ = 15e3;

export interface RecordLayout {
  readonly sampleRateHz: number;
  readonly sampleCount: number;
  readonly symbolCount: number | null;
}

/**
 * Lowest rate at which fifth-order products of the whole carrier set (2·width beyond either edge) and the adjacent and
 * alternate channels fit into ±fs/2.
 */
export function roomyRateHz(bands: readonly Band[]): number {
  const lower = Math.min(...bands.map((band) => band.offsetHz - band.occupiedBandwidthHz / 2));
  const upper = Math.max(...bands.map((band) => band.offsetHz + band.occupiedBandwidthHz / 2));
  const width = upper - lower;
  const products = Math.max(Math.abs(lower - 2 * width), Math.abs(upper + 2 * width));
  const channels = Math.max(
    ...bands.map((band) => Math.abs(band.offsetHz) + 2 * band.channelBandwidthHz + band.occupiedBandwidthHz / 2),
  );
  return 2 * Math.max(products, channels);
}

/** Chooses or checks rate and length; adds every fault to `issues` and then returns null. */
export function layOutRecord(settings: WaveformSettings, bands: readonly Band[], issues: Issue[]): RecordLayout | null {
  const spacings = bands.flatMap((band) => (band.subcarrierSpacingHz === null ? [] : [band.subcarrierSpacingHz]));
  const sampleRateHz =
    spacings.length === 0 ? freeRateHz(settings, bands) : spacedRateHz(settings, bands, spacings, issues);
  if (sampleRateHz === null) return null;
  if (sampleRateHz > HIGHEST_RATE_HZ) {
    issues.push({
      path: 'waveform.carriers',
      rule: `must fit into a sample rate of ${HIGHEST_RATE_HZ / 1e9} GHz with its fifth-order products`,
      value: `a need of ${formatHz(sampleRateHz)}`,
      remedy: 'narrow the carriers, move them together or set waveform.sampleRateHz',
    });
    return null;
  }
  return spacings.length === 0
    ? powerOfTwoRecord(settings, sampleRateHz, issues)
    : symbolRecord(settings, sampleRateHz, Math.min(...spacings), issues);
}

/** Any rate set by hand; "auto" is a power of two times the largest symbol rate, if there is one. */
function freeRateHz(settings: WaveformSettings, bands: readonly Band[]): number {
  if (settings.sampleRateHz !== 'auto') return settings.sampleRateHz;
  const largest = Math.max(...bands.map((band) => band.symbolRateHz ?? 0));
  return powerOfTwoTimes(largest > 0 ? largest : RATE_UNIT_HZ, Math.max(LOWEST_RATE_HZ, roomyRateHz(bands)));
}

function powerOfTwoRecord(settings: WaveformSettings, sampleRateHz: number, issues: Issue[]): RecordLayout | null {
  const { sampleCount } = settings;
  if (isPowerOfTwo(sampleCount)) return { sampleRateHz, sampleCount, symbolCount: null };
  const below = 2 ** Math.floor(Math.log2(sampleCount));
  issues.push({
    path: 'waveform.sampleCount',
    rule: 'must be a power of two',
    value: printValue(sampleCount),
    remedy: `use ${below} or ${2 * below}`,
  });
  return null;
}

function spacedRateHz(
  settings: WaveformSettings,
  bands: readonly Band[],
  spacings: readonly number[],
  issues: Issue[],
): number | null {
  const largest = Math.max(...spacings);
  const least = LEAST_FFT_LENGTH * largest;
  if (settings.sampleRateHz === 'auto') return Math.max(least, powerOfTwoTimes(largest, roomyRateHz(bands)));
  const exponent = Math.log2(settings.sampleRateHz / largest);
  const nearest = largest * 2 ** Math.round(exponent);
  if (Math.abs(nearest - settings.sampleRateHz) <= 1e-9 * nearest && nearest >= least) return nearest;
  const below = Math.max(least, largest * 2 ** Math.floor(exponent));
  const remedy = settings.sampleRateHz < least ? formatHz(least) : `${formatHz(below)} or ${formatHz(2 * below)}`;
  issues.push({
    path: 'waveform.sampleRateHz',
    rule: `must be a power of two (${LEAST_FFT_LENGTH} or more) times the largest subcarrier spacing, ${formatHz(largest)}`,
    value: printValue(settings.sampleRateHz),
    remedy: `use ${remedy}, or "auto" (${formatHz(Math.max(least, powerOfTwoTimes(largest, roomyRateHz(bands))))})`,
  });
  return null;
}

function symbolRecord(
  settings: WaveformSettings,
  sampleRateHz: number,
  smallestSpacingHz: number,
  issues: Issue[],
): RecordLayout | null {
  const fftLength = Math.round(sampleRateHz / smallestSpacingHz);
  const symbolSamples = fftLength + prefixSamples(fftLength);
  const { symbolCount } = settings;
  const sampleCount = symbolCount * symbolSamples;
  if (sampleCount <= MOST_SAMPLES) return { sampleRateHz, sampleCount, symbolCount };
  issues.push({
    path: 'waveform.symbolCount',
    rule: `must keep the record within ${MOST_SAMPLES} samples (one symbol has ${symbolSamples} at ${formatHz(sampleRateHz)})`,
    value: printValue(symbolCount),
    remedy: `use at most ${Math.floor(MOST_SAMPLES / symbolSamples)} symbols`,
  });
  return null;
}

/** Normal cyclic prefix, 9/128 of the transform; whole for transforms of 128 and more. */
export function prefixSamples(fftLength: number): number {
  return (fftLength * PREFIX_PER_128) / 128;
}

/** Smallest power of two times `unit` that is at least `least`. */
function powerOfTwoTimes(unit: number, least: number): number {
  let value = unit;
  while (value < least) value *= 2;
  return value;
}
