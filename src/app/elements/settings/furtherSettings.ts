// The blocks that are not open on the first screen, loaded right after it.
export { amplifierSettings } from './amplifierSettings.ts';
export { antennaSettings } from './antennaSettings.ts';
export { crestSettings } from './crestSettings.ts';
export { dataSettings } from './dataSettings.ts';
export { observationSettings } from './observationSettings.ts';
export { predistorterSettings } from './predistorterSettings.ts';
