// Occupied bandwidth: records used as waveforms need it before any measurement.
export { measureOccupiedBandwidth, type OccupiedBandwidth } from '../dsp/occupiedBandwidth.ts';
