// The ladder as two pictures over one axis: ACLR above, EVM below. And what correction buys, as one picture with a gap.
import { ALL_LIMITS, limitName } from '../../../shared/format/limitText.ts';
import { formatFixed, formatQuantity } from '../../../shared/format/numbers.ts';
import { channelSaturatedPowerDbm } from '../../../shared/schema/overBand.ts';
import type { Subject } from '../../../shared/schema/report.ts';
import type { LimitSettings, Scenario } from '../../../shared/schema/scenario.ts';
import type { LadderPoint, LadderResult, LimitCrossing } from '../../../shared/schema/studyReport.ts';
import {
  BARE_MODEL,
  type LineArrow,
  type LineAxis,
  type LineCurve,
  type LineLimit,
  type LineMark,
  type LineModel,
  type LineRegion,
  roundedRange,
} from './lineModel.ts';
import { TRACE_STYLES } from './traceStyles.ts';

export type LadderReading = 'aclr' | 'evm';

const SUBJECTS: readonly Subject[] = ['ideal', 'uncorrected', 'corrected'];
const WHOLE = (value: number) => formatFixed(value, 0);
/** Room above the highest limit and curve; the ideal limiter may leave the picture at the top. */
const HEADROOM_DB = 8;
const GRID_DB = 10;

export interface LadderShown {
  readonly result: LadderResult;
  readonly scenario: Scenario;
  /** The axis is whole from the start, whatever is known. */
  readonly range: { readonly fromDb: number; readonly toDb: number };
  /** The limits as they stand under the hand. */
  readonly limits: readonly LimitSettings[];
}

/** The output that answers: corrected where there is a predistorter. */
export function answeringSubject({ scenario }: Pick<LadderShown, 'scenario'>): Subject {
  return scenario.predistorter === null ? 'uncorrected' : 'corrected';
}

/** One reading of one output against output back-off; points without it are left out. */
function curveOf(points: readonly LadderPoint[], of: Subject, reading: LadderReading): LineCurve {
  const found = points.flatMap(({ outputBackoffDb, subjects }) => {
    const one = subjects.find((subject) => subject.of === of);
    const value = (reading === 'aclr' ? one?.worstAclrDb : one?.evmPercent) ?? null;
    return value === null ? [] : [[outputBackoffDb, value] as const];
  });
  const { name, variable, dash } = TRACE_STYLES[of];
  return { name, variable, dash, hasPoints: true, x: found.map(([x]) => x), y: found.map(([, y]) => y) };
}

function curvesOf({ result, scenario }: LadderShown, reading: LadderReading): LineCurve[] {
  const subjects = SUBJECTS.filter((of) => of !== 'corrected' || scenario.predistorter !== null);
  return subjects.map((of) => curveOf(result.points, of, reading)).filter(({ x }) => x.length > 0);
}

/** The limits a picture of this reading shows, each with the path of its number. */
function shownLimits(limits: readonly LimitSettings[], reading: LadderReading, canMove: boolean): LineLimit[] {
  return limits.flatMap((limit, index): LineLimit[] => {
    if (limit.reading !== reading) return [];
    if (limit.reading === 'aclr') {
      // The curves are the adjacent channel's.
      if (limit.channel === 'alternate') return [];
      return [
        {
          path: `limits.${index}.requiredDb`,
          name: `at least ${formatQuantity(limit.requiredDb, 'dB')}`,
          level: limit.requiredDb,
          unit: 'dB',
          forbidden: 'below',
          range: canMove ? { minimum: 15, maximum: 80, step: 0.5 } : null,
        },
      ];
    }
    return [
      {
        path: `limits.${index}.requiredPercent`,
        name: `at most ${formatQuantity(limit.requiredPercent, '%')}`,
        level: limit.requiredPercent,
        unit: '%',
        forbidden: 'above',
        range: canMove ? { minimum: 0.5, maximum: 20, step: 0.1 } : null,
      },
    ];
  });
}

function backoffAxis({ scenario, range }: LadderShown, isUpper: boolean): LineAxis {
  const saturatedPowerDbm = channelSaturatedPowerDbm(scenario.amplifier);
  const power = (x: number) => (saturatedPowerDbm === null ? '' : `\n${formatFixed(saturatedPowerDbm - x, 1)}`);
  const hasPower = saturatedPowerDbm !== null;
  return {
    label: hasPower ? 'output back-off, dB, over mean power, dBm' : 'output back-off, dB',
    format: (x) => `${formatFixed(x, Number.isInteger(x) ? 0 : 1)}${isUpper ? '' : power(x)}`,
    minimum: range.fromDb,
    maximum: range.toDb,
    hasTwoLines: hasPower,
  };
}

function aclrAxis(curves: readonly LineCurve[], limits: readonly LineLimit[]): LineAxis {
  const driven = curves.filter(({ name }) => name !== TRACE_STYLES.ideal.name);
  const values = [...driven.flatMap(({ y }) => Array.from(y)), ...limits.map(({ level }) => level)];
  const highest = values.length === 0 ? 50 : Math.max(...values) + HEADROOM_DB;
  return { label: 'ACLR, worse side, dB', format: WHOLE, ...roundedRange([...values, highest, 30], GRID_DB) };
}

function evmAxis(curves: readonly LineCurve[], limits: readonly LineLimit[]): LineAxis {
  const values = [...curves.flatMap(({ y }) => Array.from(y)), ...limits.map(({ level }) => level)];
  const highest = values.length === 0 ? 6 : 1.06 * Math.max(...values);
  return { label: 'EVM, rms, %', format: WHOLE, ...roundedRange([0, highest], 2) };
}

function crossingLabel({ outputBackoffDb, meanPowerDbm, isEstimate, bracketed }: LimitCrossing): string {
  const sign = isEstimate ? '≈ ' : bracketed ? '' : 'below ';
  const power = meanPowerDbm === null ? '' : ` · ${formatQuantity(meanPowerDbm, 'dBm')}`;
  return `${sign}${formatQuantity(outputBackoffDb, 'dB')}${power}`;
}

/** Where each output meets each limit of this reading; the answering one first, so that its label finds room. */
function crossingMarks({ result, scenario }: LadderShown, reading: LadderReading): LineMark[] {
  const order: readonly Subject[] = ['corrected', 'uncorrected', 'ideal'];
  const found = scenario.limits.flatMap((limit) => {
    if (limit.reading !== reading || (limit.reading === 'aclr' && limit.channel === 'alternate')) return [];
    const y = limit.reading === 'aclr' ? limit.requiredDb : limit.requiredPercent;
    return result.crossings
      .filter((crossing) => crossing.limit === limitName(limit) && crossing.bracketed)
      .map((crossing) => ({ crossing, y }));
  });
  return found
    .sort((a, b) => order.indexOf(a.crossing.of) - order.indexOf(b.crossing.of))
    .map(({ crossing, y }) => ({
      x: crossing.outputBackoffDb,
      y,
      variable: TRACE_STYLES[crossing.of].variable,
      shape: 'ring',
      label: crossingLabel(crossing),
      isMinor: crossing.of === 'ideal',
    }));
}

/** Where all limits hold for the answering output. */
function passRegion(shown: LadderShown, label: string): LineRegion[] {
  const crossing = crossingFor(shown.result, answeringSubject(shown));
  if (crossing === null) return [];
  const { toDb: toX } = shown.range;
  return [{ fromX: crossing.outputBackoffDb, toX, variable: '--within', label }];
}

/** Where one output meets all limits, or its only limit. */
export function crossingFor(result: LadderResult, of: Subject): LimitCrossing | null {
  const own = result.crossings.filter((one) => one.of === of);
  return own.find(({ limit }) => limit === ALL_LIMITS) ?? null;
}

export function ladderModel(shown: LadderShown, reading: LadderReading): LineModel {
  const isUpper = reading === 'aclr';
  const curves = curvesOf(shown, reading);
  const limits = shownLimits(shown.limits, reading, true);
  return {
    ...BARE_MODEL,
    x: backoffAxis(shown, isUpper),
    y: isUpper ? aclrAxis(curves, limits) : evmAxis(curves, limits),
    curves,
    limits,
    marks: crossingMarks(shown, reading),
    regions: passRegion(shown, isUpper ? '✓ all limits met' : ''),
    stops: [...new Set(shown.result.points.map(({ outputBackoffDb }) => outputBackoffDb))].sort((a, b) => a - b),
    isUpper,
    description: isUpper
      ? 'Cursor on ACLR against output back-off; the same figures follow as a table'
      : 'Cursor on EVM against output back-off; the same figures follow as a table',
  };
}

/** ACLR of both outputs with the gap between the back-offs that meet all limits. */
export function worthModel(shown: LadderShown): LineModel {
  const curves = curvesOf(shown, 'aclr').filter(({ name }) => name !== TRACE_STYLES.ideal.name);
  // Left of the gap there is no room for the name on a phone; the number stands above the picture.
  const limits = shownLimits(shown.limits, 'aclr', true).map((limit) => ({ ...limit, showsName: false }));
  const y = aclrAxis(curves, limits);
  const arrows = gapArrow(shown, limits[0]?.level ?? (y.minimum + y.maximum) / 2);
  return {
    ...BARE_MODEL,
    x: backoffAxis(shown, false),
    y,
    curves,
    limits,
    marks: gapEnds(shown, limits[0]?.level ?? (y.minimum + y.maximum) / 2),
    regions: [],
    arrows,
    stops: shown.result.points.map(({ outputBackoffDb }) => outputBackoffDb).sort((a, b) => a - b),
    description: 'Cursor on ACLR with and without correction against output back-off; the figures follow as a table',
  };
}

function gapEnds({ result }: LadderShown, y: number): LineMark[] {
  return (['corrected', 'uncorrected'] as const).flatMap((of) => {
    const crossing = crossingFor(result, of);
    if (crossing === null) return [];
    return [
      {
        x: crossing.outputBackoffDb,
        y,
        variable: TRACE_STYLES[of].variable,
        shape: 'ring' as const,
        label: crossingLabel(crossing),
      },
    ];
  });
}

function gapArrow({ result }: LadderShown, y: number): LineArrow[] {
  const corrected = crossingFor(result, 'corrected');
  const without = crossingFor(result, 'uncorrected');
  if (result.gain === null || corrected === null || without === null) return [];
  const about = corrected.isEstimate || without.isEstimate ? '≈ ' : '';
  return [
    {
      fromX: without.outputBackoffDb,
      toX: corrected.outputBackoffDb,
      y,
      label: `${about}${formatQuantity(result.gain.backoffDb, 'dB')} bought`,
    },
  ];
}
