// The join test of foreign records is that of records used as waveforms.
export { isOnePeriod, joinSigns } from '../dsp/recordPeriod.ts';
