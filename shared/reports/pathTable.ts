// The path study as a table: one line a value, the effect left out last.
import { PATH_PARAMETERS, type PathParameter } from '../schema/study.ts';
import type { PathPoint, PathResult } from '../schema/studyReport.ts';
import { type ColumnOf, fillTable, type ReadingTable } from './readingTable.ts';

/** Unit and divisor in which the values of a parameter are listed. */
export function listedIn(parameter: PathParameter): { readonly unit: string; readonly divisor: number } {
  const { unit } = PATH_PARAMETERS[parameter];
  if (unit === 'Hz') return { unit: 'MHz', divisor: 1e6 };
  return unit === 's' ? { unit: 'ns', divisor: 1e-9 } : { unit, divisor: 1 };
}

export function pathTable(result: PathResult): ReadingTable {
  const { parameter, points, without } = result;
  const { unit, divisor } = listedIn(parameter);
  const { label } = PATH_PARAMETERS[parameter];
  const columns: ColumnOf<PathPoint>[] = [
    {
      heading: `${label.toLowerCase()}, ${unit}`,
      decimals: unit === 'MHz' || unit === 'ns' ? 2 : 0,
      keep: true,
      value: ({ value }) => (value === null ? 'left out' : Number((value / divisor).toPrecision(12))),
    },
    { group: 'worse side, dB', heading: 'first', decimals: 1, keep: true, value: ({ worstAclrDb }) => worstAclrDb },
    { group: 'worse side, dB', heading: 'second', decimals: 1, value: ({ alternateAclrDb }) => alternateAclrDb },
    { heading: 'EVM, %', decimals: 2, value: ({ evmPercent }) => evmPercent },
    { heading: 'NMSE, dB', decimals: 1, value: ({ nmseDb }) => nmseDb },
    { heading: 'note', value: (point) => noteOf(result, point) },
  ];
  const caption = `${label} against the corrected output; knee: within ${result.withinDb} dB of the best`;
  return fillTable('path', caption, without === null ? points : [...points, without], columns);
}

function noteOf({ knee }: PathResult, { value, correctionUsed }: PathPoint): string {
  const notes = [
    ...(value !== null && knee !== null && (value === knee.from || value === knee.to) ? ['knee'] : []),
    ...(correctionUsed ? [] : ['no better than no correction']),
  ];
  return notes.join(', ');
}
