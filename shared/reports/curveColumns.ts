// The CW curve of an amplifier as columns of a table file.
import type { AmplifierCurve } from '../schema/readBack.ts';
import type { CsvColumn } from './csv.ts';

/** Drive, output, gain and phase; powers in dBm too where the scale is known. */
export function curveColumns({
  driveDb,
  driveDbm,
  outputDb,
  outputDbm,
  gainDb,
  phaseDeg,
}: AmplifierCurve): CsvColumn[] {
  const dbm = (heading: string, values: Float64Array | null) => (values === null ? [] : [{ heading, values }]);
  return [
    { heading: 'drive (dB re knee)', values: driveDb },
    ...dbm('drive (dBm)', driveDbm),
    { heading: 'output (dB re saturation)', values: outputDb },
    ...dbm('output (dBm)', outputDbm),
    { heading: 'gain (dB re small signal)', values: gainDb },
    { heading: 'phase (deg re small signal)', values: phaseDeg },
  ];
}
