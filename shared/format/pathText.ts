// How values of a varied path figure are written.
import { PATH_PARAMETERS, type PathParameter } from '../schema/study.ts';
import { formatEngineering, formatSignificant, withUnit } from './numbers.ts';

/** Such as "20 MHz", "35 dB", "10 bits", "−8.14 ns". */
export function pathValueText(parameter: PathParameter, value: number): string {
  const { unit } = PATH_PARAMETERS[parameter];
  if (unit === 'Hz' || unit === 's') return value === 0 ? withUnit('0', unit) : formatEngineering(value, unit, 4);
  return withUnit(formatSignificant(value, 4), unit);
}
