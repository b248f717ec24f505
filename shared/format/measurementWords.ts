// Settings of the measurements in the words of the trade, the same on every face.
import type { EvmReading } from '../schema/report.ts';
import { formatQuantity } from './numbers.ts';

export const EQUALIZER_NAMES: Readonly<Record<EvmReading['equalizer'], string>> = {
  none: 'no equalizer (scaled to the reference’s rms)',
  oneGain: 'one complex gain',
  perSubcarrier: 'equalizer per subcarrier',
  smoothed: 'equalizer smoothed over 19 subcarriers (TS 38.104 Annex B)',
};

export const REFERENCE_NAMES: Readonly<Record<EvmReading['reference'], string>> = {
  data: 'the data before crest-factor reduction',
  shaped: 'the shaped waveform',
};

const WINDOW_POSITION_WORDS: Readonly<Record<EvmReading['windowPosition'], string>> = {
  centre: 'window in the middle of the prefix',
  early: 'worse of the standard’s two windows: the early one',
  late: 'worse of the standard’s two windows: the late one',
  matchedFilter: 'after the matched filter',
};

/** How one carrier's EVM was read, such as "one complex gain, 24 symbols, after the matched filter, against …". */
export function evmCondition({ equalizer, windowPosition, symbolCount, biasRatio, reference }: EvmReading): string {
  const bias =
    biasRatio > 0.9995 ? '' : `; the equalizer shows ${formatQuantity(100 * biasRatio, '%')} of the true EVM`;
  return `${EQUALIZER_NAMES[equalizer]}, ${symbolCount} symbols, ${WINDOW_POSITION_WORDS[windowPosition]}, against ${REFERENCE_NAMES[reference]}${bias}`;
}

export const WINDOW_NAMES: Readonly<Record<string, string>> = {
  blackmanHarris: 'Blackman–Harris window',
  hann: 'Hann window',
  rectangular: 'rectangular window',
  flatTop: 'flat-top window',
};
