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
