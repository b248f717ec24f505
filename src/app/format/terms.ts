// The trade's words in one sentence each, for whoever looks over the engineer's shoulder.

export const TERMS: readonly (readonly [term: string, meaning: string])[] = [
  [
    'ACLR',
    'Adjacent channel leakage ratio: power in the own channel over power in the channel beside it; larger is better.',
  ],
  ['AM/AM, AM/PM', 'Gain and phase of the amplifier against the envelope of its drive.'],
  ['Average and peak', 'Mean power over the record, and its largest envelope power.'],
  ['CCDF (exceedance)', 'Share of samples whose envelope power lies above a level.'],
  ['Crest factor (PAPR)', 'Peak over mean envelope power, at a stated probability.'],
  ['Drive', 'The signal at the amplifier’s input, after the predistorter.'],
  ['EVM', 'Error vector magnitude: rms error of the received symbols over the rms of the ideal ones.'],
  [
    'Floor',
    'A figure that no setting of the amplifier can beat: the source’s own, the estimator’s, the ideal limiter’s.',
  ],
  [
    'Ideal limiter',
    'An amplifier that is perfectly linear up to saturation and stops there: the bound for any predistorter.',
  ],
  [
    'Indirect learning',
    'The inverse of the amplifier is fitted from its output to its drive, then copied in front of it.',
  ],
  ['Knee', 'The drive at which a linear amplifier would reach saturation; its sharpness tells how suddenly it bends.'],
  ['Margin', 'Room between a reading and its limit; positive is within.'],
  ['Memory depth', 'Number of delayed samples the predistorter looks at, the present one included.'],
  ['NMSE', 'Energy of the error over energy of the signal, after one complex gain.'],
  ['Nonlinear order', 'Power of the envelope a term of the polynomial follows, plus one.'],
  ['Output back-off', 'How far the mean output power lies below saturated power.'],
  ['Predistorter', 'Digital stage in front of the amplifier that bends the signal the other way.'],
  ['Resolution bandwidth', 'Width in frequency over which each point of a spectrum collects power.'],
  ['Saturated power', 'The most the amplifier gives: 0 dB output back-off on every scale of this page.'],
];

/** Readings that can be looked up where they stand. */
export type DefinitionName =
  | 'aclr'
  | 'density'
  | 'mask'
  | 'slot'
  | 'notch'
  | 'tones'
  | 'evm'
  | 'bandwidth'
  | 'crest'
  | 'floors';

/** Definition, bandwidth and source of each kind of reading. */
export const DEFINITIONS: Readonly<Record<DefinitionName, string>> = {
  aclr: 'Mean power of the outer carrier through its channel’s filter over the power in the channel beside it, both sides (TS 38.104 clause 6.6.3, TS 36.104 clause 6.6.2). Square filters integrate the stated bandwidth; root-raised-cosine ones, of roll-off 0.22, weigh it (TS 25.104 clause 6.6.2.2). In a gap the carriers beside it stand for the own channel (CACLR).',
  density:
    'Mean power per megahertz in the measured channel, at the antenna port. Where a table gives an absolute limit beside the ratio, the easier of the two holds.',
  mask: 'The power through a filter of the measuring bandwidth is held against the limit at every distance of the filter’s centre; the worst margin of both sides and all gaps counts (TS 38.104 clause 6.6.4 for operating bands). In a gap the limits of both carriers add.',
  slot: 'Mean density of the reference carriers over the mean density in a band that should be empty; larger is better. Common practice where several carriers share an amplifier.',
  notch:
    'Density beside a notch in a noise-like carrier over the density inside it: what the amplifier fills the notch with. Common practice for noise loading; a reading near the waveform’s own ratio is the waveform’s.',
  tones:
    'Third- and fifth-order products beside two equal tones, each against the tone of its side, on exact bins of the record. An intercept takes several levels: ask “Which intercept?”.',
  evm: 'Root mean square of the error of the received symbols over that of the ideal ones, after the equalizer stated (TS 38.104 Annex B, TS 36.104 Annex E). An equalizer taught by the same few symbols hides a little of the error: the share it shows is stated.',
  bandwidth:
    'Width of the band that holds 99 % of the power, with 0.5 % beyond either end (Recommendation ITU-R SM.328; TS 38.104 clause 6.6.2).',
  crest:
    'Envelope power over its mean that is exceeded with the stated probability (CCDF). The cubic metric compares the third power of the envelope with that of a reference signal (TS 36.101 clause 6.2.2, from memory).',
  floors:
    'What each channel would read with a perfect amplifier: the waveform’s own skirts, the estimator’s leakage, rounding of numbers, the transmitter’s noise, the analyser’s own noise. A reading within 10 dB of a floor is named after it.',
};
