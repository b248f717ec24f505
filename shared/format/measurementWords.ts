// Settings of the measurements in the words of the trade, the same on every face.
import type { EvmReading } from '../schema/report.ts';

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

export const WINDOW_NAMES: Readonly<Record<string, string>> = {
  blackmanHarris: 'Blackman–Harris window',
  hann: 'Hann window',
  rectangular: 'rectangular window',
  flatTop: 'flat-top window',
};
