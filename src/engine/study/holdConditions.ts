// What changes around a frozen correction, as scenarios of their own.
//
// level d dB: mean output power + d, set by the digital level ahead of the predistorter. analogueGain d dB: the same power,
// set by a gain behind it, so that the predistorter still sees the level it was trained at. saturatedPower d dB: the
// amplifier's drive and output scale by the same d and its mean power in dBm stays, so that in units of its own knee it is
// driven −d dB harder behind the same predistorter input. load s: the power a load line delivers falls to 1/s of that
// into its own load, whether voltage or current clips first (load line, Cripps; from memory), so that it is a
// saturatedPower of −10·log10(s). amPm: degrees added to the phase at high drive.
import { formatFixed } from '../../../shared/format/numbers.ts';
import type { HoldResult } from '../../../shared/schema/holdReport.ts';
import type { StoredPredistorter } from '../../../shared/schema/predistorter.ts';
import type { AmplifierSettings, Scenario } from '../../../shared/schema/scenario.ts';
import type { HoldQuestion } from '../../../shared/schema/study.ts';
import { formatHz } from '../dsp/frequencyText.ts';
import { rounded } from './variation.ts';

type Axis = HoldQuestion['axis'];

export interface Condition {
  readonly label: string;
  readonly value: number | null;
  readonly isOwn: boolean;
  readonly scenario: Scenario;
}

/** What an axis takes when no values are given. */
const USUAL_VALUES: Readonly<Record<Axis, readonly number[]>> = {
  level: [-6, -3, 0, 1, 2],
  analogueGain: [-6, -3, 0, 1],
  saturatedPower: [-1, -0.5, 0],
  amPm: [0, 3],
  load: [1, 1.2, 1.5],
  channel: [],
  carriers: [],
};

export const UNITS: Readonly<Record<Axis, HoldResult['unit']>> = {
  level: 'dB',
  analogueGain: 'dB',
  saturatedPower: 'dB',
  amPm: '°',
  load: '',
  channel: 'Hz',
  carriers: '',
};

/** Where the power is set while the coefficients stay. */
export function levelByOf(axis: Axis): StoredPredistorter['levelBy'] {
  return axis === 'analogueGain' || axis === 'saturatedPower' || axis === 'load' ? 'analogueGain' : 'drive';
}

/** Each value once, rising, the scenario's own among them. */
export function valuesOf(base: Scenario, { axis, values }: HoldQuestion): readonly number[] {
  const { overBand } = base.amplifier;
  const usual =
    axis === 'channel' ? (overBand?.points.map(({ frequencyHz }) => frequencyHz) ?? []) : USUAL_VALUES[axis];
  return [...new Set([...(values ?? usual), ownValueOf(base, axis)])].sort((a, b) => a - b);
}

function ownValueOf({ amplifier }: Scenario, axis: Axis): number {
  if (axis === 'load') return 1;
  return axis === 'channel' ? (amplifier.overBand?.channelHz ?? 0) : 0;
}

/** All conditions in the order of the matrix; carrier sets after the scenario's own signal. */
export function holdConditionsOf(base: Scenario, question: HoldQuestion): readonly Condition[] {
  const { axis } = question;
  if (axis === 'carriers') return carrierConditions(base, question);
  const own = ownValueOf(base, axis);
  return valuesOf(base, question).map((value) => ({
    label: labelOf(axis, value),
    value,
    isOwn: value === own,
    scenario: value === own ? base : changed(base, axis, value),
  }));
}

function carrierConditions(base: Scenario, { carrierSets }: HoldQuestion): readonly Condition[] {
  const sets = carrierSets.map(({ name, ...changes }) => {
    const given = Object.fromEntries(Object.entries(changes).filter(([, value]) => value !== undefined));
    return { label: name, value: null, isOwn: false, scenario: { ...base, waveform: { ...base.waveform, ...given } } };
  });
  return [{ label: 'own signal', value: null, isOwn: true, scenario: base }, ...sets];
}

function labelOf(axis: Axis, value: number): string {
  if (axis === 'channel') return formatHz(value);
  if (axis === 'load') return `VSWR ${value}`;
  const digits = [0, 1, 2].find((count) => Number(value.toFixed(count)) === value) ?? 3;
  const sign = value > 0 ? '+' : '';
  return `${sign}${formatFixed(value, digits)}${axis === 'amPm' ? '°' : '\u2009dB'}`;
}

function changed(base: Scenario, axis: Axis, value: number): Scenario {
  switch (axis) {
    case 'level':
    case 'analogueGain':
      return { ...base, operatingPoint: raised(base.operatingPoint, value) };
    case 'saturatedPower':
      return saturatedBy(base, value);
    case 'load':
      return saturatedBy(base, -10 * Math.log10(value));
    case 'amPm':
      return turned(base, value);
    case 'channel':
      return atChannel(base, value);
    case 'carriers':
      return base;
  }
}

/** The operating point with this many dB more mean output power, however it is stated. */
function raised(point: Scenario['operatingPoint'], changeDb: number): Scenario['operatingPoint'] {
  const { outputBackoffDb, meanPowerDbm, meanPowerW, antennaMeanDbm } = point;
  if (outputBackoffDb !== undefined) return { outputBackoffDb: rounded(outputBackoffDb - changeDb) };
  if (meanPowerDbm !== undefined) return { meanPowerDbm: rounded(meanPowerDbm + changeDb) };
  if (antennaMeanDbm !== undefined) return { antennaMeanDbm: rounded(antennaMeanDbm + changeDb) };
  return { meanPowerW: (meanPowerW ?? 0) * 10 ** (changeDb / 10) };
}

/** Mean power in dBm or W stays by itself; a stated back-off moves with the saturated power. */
function saturatedBy(base: Scenario, changeDb: number): Scenario {
  const { amplifier, operatingPoint } = base;
  const { saturatedPowerDbm } = amplifier;
  const moved = operatingPoint.outputBackoffDb === undefined ? operatingPoint : raised(operatingPoint, -changeDb);
  return {
    ...base,
    amplifier: {
      ...amplifier,
      saturatedPowerDbm: saturatedPowerDbm === null ? null : rounded(saturatedPowerDbm + changeDb),
    },
    operatingPoint: moved,
  };
}

type Model = AmplifierSettings['model'];

function turnedModel<M extends Model>(model: M, changeDeg: number): M {
  return model.kind === 'filterNonlinearityFilter' ? { ...model, amPmDeg: rounded(model.amPmDeg + changeDeg) } : model;
}

/** The amplifier's own model and those of its points over the band. */
function turned(base: Scenario, changeDeg: number): Scenario {
  const { model, overBand } = base.amplifier;
  const points = overBand?.points.map((point) => ({
    ...point,
    model: point.model === null ? null : turnedModel(point.model, changeDeg),
  }));
  return {
    ...base,
    amplifier: {
      ...base.amplifier,
      model: turnedModel(model, changeDeg),
      overBand: overBand === null ? null : { ...overBand, points: points ?? [] },
    },
  };
}

export function atChannel(base: Scenario, channelHz: number): Scenario {
  const { overBand } = base.amplifier;
  if (overBand === null || channelHz === overBand.channelHz) return base;
  return {
    ...base,
    carrierFrequencyHz: base.carrierFrequencyHz === null ? null : channelHz,
    amplifier: { ...base.amplifier, overBand: { ...overBand, channelHz } },
  };
}
