// Frozen corrections as pictures: ACLR against what changes, the worst cell's spectrum beside the retrained one, and the
// words of a cell. Every figure is the report's.
import { formatFixed, formatQuantity, formatSigned } from '../../../shared/format/numbers.ts';
import type { HoldCell, HoldCondition, HoldReading, HoldResult } from '../../../shared/schema/holdReport.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import { BARE_MODEL, type LineCurve, type LineModel, roundedRange } from './lineModel.ts';
import { offsetRange } from './orderModels.ts';
import { TRACE_STYLES } from './traceStyles.ts';

const PLAIN = (value: number) => formatFixed(value, Number.isInteger(value) ? 0 : 1);
const WHOLE = (value: number) => formatFixed(value, 0);
const STEP_DB = 5;
const SHOWN_RANGE_DB = 90;

export const AXIS_TEXTS: Readonly<Record<HoldResult['axis'], string>> = {
  level: 'digital level ahead of the predistorter',
  analogueGain: 'analogue gain behind the predistorter',
  saturatedPower: 'drift of saturated power',
  amPm: 'drift of AM/PM',
  load: 'load VSWR',
  channel: 'channel',
  carriers: 'signal',
};

/** Where a condition stands on the axis: channels in MHz, everything else in its unit; null of signals. */
export function holdPlace({ unit }: HoldResult, { value }: HoldCondition): number | null {
  return value === null ? null : Number((unit === 'Hz' ? value / 1e6 : value).toPrecision(12));
}

export function cellOf({ cells }: HoldResult, trainedOn: number, usedOn: number): HoldCell | null {
  return cells.find((cell) => cell.trainedOn === trainedOn && cell.usedOn === usedOn) ?? null;
}

export function isWorst({ worst }: HoldResult, cell: HoldCell): boolean {
  return worst !== null && worst.trainedOn === cell.trainedOn && worst.usedOn === cell.usedOn;
}

/** Of the first channel where it is read, else the EVM's. */
export function readingText({ worstAclrDb, evmPercent }: HoldReading): string {
  return worstAclrDb === null ? formatQuantity(evmPercent, '%', 2) : formatQuantity(worstAclrDb, 'dB');
}

/** "Learned at +0 dB, used at +2 dB: ACLR 37.7 dB, 14.2 dB lost; EVM 2.10 %; 0.2 % of the drive held". */
export function cellText({ conditions }: HoldResult, { trainedOn, usedOn, reading, lossDb }: HoldCell): string {
  const label = (index: number) => conditions[index]?.label ?? '';
  const place =
    trainedOn === usedOn
      ? `Learned and used at ${label(usedOn)}`
      : `Learned at ${label(trainedOn)}, used at ${label(usedOn)}`;
  if (reading === null) return `${place}: not read`;
  const { worstAclrDb, evmPercent, heldRatio } = reading;
  const parts = [
    ...(worstAclrDb === null ? [] : [`ACLR ${formatQuantity(worstAclrDb, 'dB')}`]),
    ...(lossDb === null || trainedOn === usedOn ? [] : [`${formatQuantity(lossDb, 'dB')} lost by not retraining`]),
    ...(evmPercent === null ? [] : [`EVM ${formatQuantity(evmPercent, '%', 2)}`]),
    ...(heldRatio === null || heldRatio === 0 ? [] : [`${formatQuantity(100 * heldRatio, '%', 2)} of the drive held`]),
  ];
  return `${place}: ${parts.join('; ')}`;
}

type Pick = (condition: HoldCondition, index: number) => HoldReading | null;

/** Uncorrected, retrained, and frozen as learned under the scenario's own condition. */
function curvesOf(result: HoldResult): LineCurve[] {
  const own = result.conditions.findIndex(({ isOwn }) => isOwn);
  const { uncorrected, corrected, waveform } = TRACE_STYLES;
  const lines: (readonly [string, { variable: string; dash: readonly number[] }, Pick])[] = [
    [uncorrected.name, uncorrected, (condition) => condition.uncorrected],
    ['Retrained', waveform, (condition) => condition.retrained],
    ['Frozen', corrected, (_condition, usedOn) => cellOf(result, own, usedOn)?.reading ?? null],
  ];
  return lines.flatMap(([name, { variable, dash }, pick]) => {
    const known = result.conditions
      .flatMap((condition, index) => {
        const [x, y] = [holdPlace(result, condition), pick(condition, index)?.worstAclrDb ?? null];
        return x === null || y === null ? [] : [{ x, y }];
      })
      .sort((a, b) => a.x - b.x);
    const curve = { name, variable, dash, hasPoints: true, x: known.map(({ x }) => x), y: known.map(({ y }) => y) };
    return known.length === 0 ? [] : [curve];
  });
}

/** ACLR against what changes; null of signals, which have no axis, and while nothing is read. */
export function holdModel(result: HoldResult): LineModel | null {
  const places = result.conditions.flatMap((condition) => holdPlace(result, condition) ?? []).sort((a, b) => a - b);
  const curves = curvesOf(result);
  const [first, last] = [places[0], places.at(-1)];
  if (first === undefined || last === undefined || last === first || curves.length === 0) return null;
  const { requiredAclrDb, unit, axis } = result;
  const shownUnit = unit === 'Hz' ? ', MHz' : unit === '' ? '' : `, ${unit}`;
  const levels = [...curves.flatMap(({ y }) => Array.from(y)), ...(requiredAclrDb === null ? [] : [requiredAclrDb])];
  return {
    ...BARE_MODEL,
    x: { label: `${AXIS_TEXTS[axis]}${shownUnit}`, format: PLAIN, minimum: first, maximum: last },
    y: {
      label: 'ACLR, worse side, dB',
      format: PLAIN,
      ...roundedRange(
        levels.flatMap((y) => [y - 1, y + 2]),
        STEP_DB,
      ),
    },
    curves,
    limits:
      requiredAclrDb === null
        ? []
        : [{ path: '', name: 'required', level: requiredAclrDb, unit: 'dB', forbidden: 'below', range: null }],
    stops: places,
    description: `Cursor on ACLR against ${AXIS_TEXTS[axis]}; the same figures follow as a table`,
  };
}

/** The worst frozen cell's spectrum, and what learning under that condition gives. */
export function worstModel({ worst }: HoldResult, scenario: Scenario): LineModel | null {
  if (worst?.spectrum == null) return null;
  const { corrected, waveform } = TRACE_STYLES;
  const traces = [
    { name: 'Retrained', variable: waveform.variable, dash: waveform.dash, spectrum: worst.retrainedSpectrum },
    { name: 'Frozen', variable: corrected.variable, dash: corrected.dash, spectrum: worst.spectrum },
  ];
  const curves = traces.flatMap(({ spectrum, ...style }): LineCurve[] =>
    spectrum === null ? [] : [{ ...style, x: spectrum.frequencyHz.map((hz) => hz / 1e6), y: spectrum.level }],
  );
  const highest = Math.max(...curves.flatMap(({ y }) => Array.from(y)));
  const unit = scenario.amplifier.saturatedPowerDbm === null ? 'dB re saturation' : 'dBm';
  return {
    ...BARE_MODEL,
    x: {
      label: 'offset from the carrier frequency, MHz',
      format: WHOLE,
      ...offsetRange(scenario, worst.spectrum.frequencyHz),
    },
    y: {
      label: `${unit} in the resolution bandwidth`,
      format: WHOLE,
      ...roundedRange([highest + 4, highest + 4 - SHOWN_RANGE_DB], 10),
    },
    curves,
    description: 'Spectrum of the worst frozen correction, and of one learned there',
  };
}

/** Steps of loss, in dB, at which a cell takes the next shade. */
const SHADES_DB = [1, 3, 6, 12] as const;

/** 0 as good as retrained, to 4. */
export function lossShade(lossDb: number): number {
  return SHADES_DB.filter((step) => lossDb >= step).length;
}

export function lossText(lossDb: number | null): string {
  return lossDb === null ? '' : formatSigned(-lossDb, '', 1);
}
