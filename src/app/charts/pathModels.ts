// A path study as a picture: the corrected output against the one figure of the path that is varied, the stretch within
// the stated distance of the best, and the uncorrected output. Every figure is the report's.

import { formatFixed, formatQuantity } from '../../../shared/format/numbers.ts';
import { pathValueText } from '../../../shared/format/pathText.ts';
import { listedIn } from '../../../shared/reports/pathTable.ts';
import { PATH_PARAMETERS } from '../../../shared/schema/study.ts';
import type { PathPoint, PathResult } from '../../../shared/schema/studyReport.ts';
import { BARE_MODEL, type LineCurve, type LineModel, roundedRange } from './lineModel.ts';
import { TRACE_STYLES } from './traceStyles.ts';

const PLAIN = (value: number) => formatFixed(value, Number.isInteger(value) ? 0 : 1);
const STEP_DB = 5;

/** Where a value stands on the axis, in the unit it is listed in. */
export function pathPlace({ parameter }: PathResult, value: number): number {
  return Number((value / listedIn(parameter).divisor).toPrecision(12));
}

export function pathPointAt(result: PathResult, place: number | null): PathPoint | null {
  return result.points.find(({ value }) => value !== null && place === pathPlace(result, value)) ?? null;
}

/** "20 MHz: first channel 49.0 dB, second 60.2 dB; EVM 1.05 %, error −41.2 dB". */
export function pathPointText({ parameter }: PathResult, point: PathPoint): string {
  const { value, worstAclrDb, alternateAclrDb, evmPercent, nmseDb, correctionUsed } = point;
  const parts = [
    ...(worstAclrDb === null ? [] : [`first channel ${formatQuantity(worstAclrDb, 'dB')}`]),
    ...(alternateAclrDb === null ? [] : [`second ${formatQuantity(alternateAclrDb, 'dB')}`]),
    ...(evmPercent === null ? [] : [`EVM ${formatQuantity(evmPercent, '%', 2)}`]),
    `error ${formatQuantity(nmseDb, 'dB')}`,
    ...(correctionUsed ? [] : ['no better than no correction']),
  ];
  return `${value === null ? 'Left out' : pathValueText(parameter, value)}: ${parts.join(', ')}`;
}

/** One curve for what is judged, another for the second channel; points that are not read are left out. */
function curvesOf(result: PathResult): LineCurve[] {
  const { corrected, waveform } = TRACE_STYLES;
  const lines = [
    result.judgedBy === 'aclr'
      ? { ...corrected, pick: (one: PathPoint) => one.worstAclrDb }
      : { ...corrected, name: 'Corrected', pick: (one: PathPoint) => -one.nmseDb },
    { ...waveform, name: 'Alternate', pick: (one: PathPoint) => one.alternateAclrDb },
  ];
  return lines.flatMap(({ pick, name, variable, dash }) => {
    const known = result.points.flatMap((point) => {
      const y = pick(point);
      return y === null || point.value === null ? [] : [{ x: pathPlace(result, point.value), y }];
    });
    const curve = { name, variable, dash, hasPoints: true, x: known.map(({ x }) => x), y: known.map(({ y }) => y) };
    return known.length === 0 ? [] : [curve];
  });
}

/** The uncorrected output does not depend on what the predistorter sees: a level line. */
function uncorrectedCurve({ uncorrectedAclrDb, judgedBy }: PathResult, ends: readonly number[]): LineCurve[] {
  if (uncorrectedAclrDb === null || judgedBy !== 'aclr' || ends.length < 2) return [];
  const { name, variable, dash } = TRACE_STYLES.uncorrected;
  return [{ name, variable, dash, x: [...ends], y: ends.map(() => uncorrectedAclrDb) }];
}

/** Ends of the axis: the values themselves, a little apart where there is one only. */
function ends(places: readonly number[]): { minimum: number; maximum: number } {
  const [minimum, maximum] = [Math.min(...places), Math.max(...places)];
  return maximum > minimum ? { minimum, maximum } : { minimum: minimum - 1, maximum: maximum + 1 };
}

export function pathModel(result: PathResult): LineModel | null {
  const { parameter, knee, points, withinDb, judgedBy } = result;
  const places = points.flatMap(({ value }) => (value === null ? [] : [pathPlace(result, value)]));
  if (places.length === 0) return null;
  const x = ends(places);
  const curves = [...uncorrectedCurve(result, [x.minimum, x.maximum]), ...curvesOf(result)];
  const y = roundedRange(
    curves.flatMap((curve) => Array.from(curve.y)).flatMap((level) => [level - 1, level + 2]),
    STEP_DB,
  );
  const { label } = PATH_PARAMETERS[parameter];
  return {
    ...BARE_MODEL,
    x: { label: `${label.toLowerCase()}, ${listedIn(parameter).unit}`, format: PLAIN, ...x },
    y: { label: judgedBy === 'aclr' ? 'ACLR, worse side, dB' : 'error below the signal, dB', format: PLAIN, ...y },
    curves,
    regions:
      knee === null
        ? []
        : [
            {
              fromX: pathPlace(result, knee.from),
              toX: pathPlace(result, knee.to),
              variable: '--trace-corrected',
              label: `within ${formatQuantity(withinDb, 'dB')} of the best`,
            },
          ],
    stops: places,
    description: `Cursor on the corrected output against ${label.toLowerCase()}; the same figures follow as a table`,
  };
}
