// The lab check list: what to set and what to expect when the figures of a run are measured. Every number is worked out
// from the predicted readings; rules of the trade without a document behind them say "common practice, no source".
import { cautions } from '../cautions.ts';
import { formatEngineering, formatFixed, formatQuantity, withUnit } from '../format/numbers.ts';
import type { AclrReading, OutputReport, Report } from '../schema/report.ts';
import { expectedReadings } from './expectedReadings.ts';
import type { ReadingTable } from './readingTable.ts';

const PRACTICE = 'common practice, no source';
const CLOSED_FORM = 'closed form';

/** The analyser's own floor lies this far below the reading expected. */
export const FLOOR_MARGIN_DB = 10;

export interface CheckItem {
  readonly what: string;
  readonly setting: string;
  readonly why: string;
  readonly source: string;
}

export interface CheckList {
  readonly title: string;
  /** Which output is predicted, and at which power. */
  readonly subject: string;
  readonly groups: readonly { readonly heading: string; readonly items: readonly CheckItem[] }[];
  readonly expected: ReadingTable;
  readonly cautions: readonly string[];
}

/** The list for the output that is used: the corrected one, or the uncorrected one where no correction is used. */
export function checkList(report: Report): CheckList {
  const isCorrected = report.correctionUsed && report.corrected !== null;
  const output = isCorrected && report.corrected !== null ? report.corrected : report.uncorrected;
  const power =
    output.antennaMeanDbm === null
      ? `${formatQuantity(output.outputBackoffDb, 'dB')} of output back-off`
      : `${formatQuantity(output.antennaMeanDbm, 'dBm', 2)} (${formatEngineering(wattsOf(output.antennaMeanDbm), 'W')}) mean at the antenna port`;
  return {
    title: `Lab check list: ${report.scenario.title}`,
    subject: `Predicted for the ${isCorrected ? 'corrected' : 'uncorrected'} output at ${power}.`,
    groups: [
      { heading: 'Power and protection', items: powerItems(report, output) },
      { heading: 'Spectrum analyser', items: analyserItems(report, output) },
      { heading: 'Modulation analyser', items: modulationItems(output) },
      { heading: 'Signal generator', items: generatorItems(report, output) },
    ].filter(({ items }) => items.length > 0),
    expected: expectedReadings(report),
    cautions,
  };
}

export function wattsOf(dbm: number): number {
  return 10 ** ((dbm - 30) / 10);
}

const powerText = (dbm: number) => `${formatQuantity(dbm, 'dBm')} (${formatEngineering(wattsOf(dbm), 'W')})`;

/** Attenuators come in tens of dB. */
const ATTENUATOR_STEP_DB = 10;
/** Mean and peak level wanted at an instrument's input; its damage level is often 30 dBm. */
const WANTED_MEAN_DBM = 0;
const WANTED_PEAK_DBM = 20;
/** A load runs at half its rated power. */
const DERATING_DB = 3;

/** Attenuation in whole tens of dB that brings mean and peak down to what an instrument likes; 0 where they are low. */
export function attenuationFor(meanDbm: number, peakDbm: number): number {
  const excessDb = Math.max(meanDbm - WANTED_MEAN_DBM, peakDbm - WANTED_PEAK_DBM, 0);
  return ATTENUATOR_STEP_DB * Math.max(0, Math.ceil(excessDb / ATTENUATOR_STEP_DB - 1e-9));
}

function powerItems(report: Report, output: OutputReport): CheckItem[] {
  const { antennaMeanDbm, peakPowerDbm, driveMeanDbm, drivePeakDbm } = output;
  if (antennaMeanDbm === null || peakPowerDbm === null) {
    return [
      {
        what: 'Power scale',
        setting: 'measure the saturated power first',
        why: 'The scenario states none, so no power in dBm is predicted',
        source: PRACTICE,
      },
    ];
  }
  const peakDbm = peakPowerDbm - report.scenario.amplifier.outputLossDb;
  const attenuationDb = attenuationFor(antennaMeanDbm, peakDbm);
  const ratingDbm = antennaMeanDbm + DERATING_DB;
  const items: CheckItem[] = [
    {
      what: 'Load and first attenuator',
      setting: `rated at least ${powerText(ratingDbm)} mean and ${powerText(peakDbm)} peak`,
      why: `The output is ${powerText(antennaMeanDbm)} mean and ${powerText(peakDbm)} peak; a load runs at half its mean rating`,
      source: PRACTICE,
    },
    {
      what: 'Attenuation before instruments',
      setting: formatQuantity(attenuationDb, 'dB', 0),
      why: `Leaves ${formatQuantity(antennaMeanDbm - attenuationDb, 'dBm')} mean and ${formatQuantity(peakDbm - attenuationDb, 'dBm')} peak at the input`,
      source: PRACTICE,
    },
    {
      what: 'Power meter',
      setting: 'thermal or peak sensor behind the same attenuation',
      why: `The peak is ${formatQuantity(peakDbm - antennaMeanDbm, 'dB')} over the mean; a diode sensor out of its square law reads modulated signals wrong`,
      source: PRACTICE,
    },
    {
      what: 'Equal power',
      setting: `within ${formatQuantity(0.05, 'dB', 2)} with and without correction, noted beside every trace`,
      why: 'A fraction of a dB less power looks like better correction',
      source: 'the power at which this tool calls two outputs unequal',
    },
  ];
  if (driveMeanDbm === null || drivePeakDbm === null) return items;
  return [
    ...items,
    {
      what: 'Drive',
      setting: `${formatQuantity(driveMeanDbm, 'dBm')} mean, ${formatQuantity(drivePeakDbm, 'dBm')} peak at the amplifier’s input`,
      why: 'Driver and input must pass this peak unclipped; check the device’s input rating',
      source: 'the drive of this run',
    },
  ];
}

/** Share of the channel that the resolution bandwidth takes. */
const RBW_SHARES = [0.01, 0.04] as const;
/** Standard deviation of an averaged channel power wanted. */
const WANTED_SPREAD_DB = 0.1;
/** Standard deviation of one noise power reading: 10/ln 10. */
const ONE_READING_DB = 10 / Math.LN10;
/** Averaging noise in dB reads low by 10·log10(e^γ), γ Euler's constant. */
const LOG_AVERAGE_DB = (10 / Math.LN10) * 0.5772156649015329;
const LEAST_AVERAGES = 10;

/** Sweeps until a channel power has the wanted spread, when each gives one independent reading per resolution bandwidth. */
export function averagesFor(bandwidthHz: number, resolutionHz: number): number {
  const readings = (ONE_READING_DB / WANTED_SPREAD_DB) ** 2;
  return Math.max(LEAST_AVERAGES, Math.ceil((readings * resolutionHz) / bandwidthHz));
}

/** Highest floor in dBc that leaves the reading of this ACLR almost alone. */
export function floorNeededDbc(aclrDb: number): number {
  return -aclrDb - FLOOR_MARGIN_DB;
}

function analyserItems(report: Report, output: OutputReport): CheckItem[] {
  const channelHz = Math.min(...report.waveform.carriers.map(({ channelBandwidthHz }) => channelBandwidthHz));
  const [lowHz, highHz] = RBW_SHARES.map((share) => share * channelHz) as [number, number];
  const bandwidthHz = output.aclr[0]?.bandwidthHz ?? channelHz;
  return [
    ...bestOfChannels(output.aclr).map((reading) => floorItem(reading, output, report)),
    {
      what: 'Resolution bandwidth',
      setting: `${formatEngineering(lowHz, 'Hz')} to ${formatEngineering(highHz, 'Hz')} (1 to 4 % of the channel), such as ${formatEngineering(roundBandwidth(lowHz, highHz), 'Hz')}`,
      why: 'Narrow enough for the channel’s edges, wide enough to sweep in reasonable time',
      source: PRACTICE,
    },
    {
      what: 'Video bandwidth',
      setting: 'at least 10 times the resolution bandwidth, or off',
      why: 'A narrow one averages the detected voltage, not the power',
      source: PRACTICE,
    },
    {
      what: 'Detector',
      setting: 'rms',
      why: 'A peak detector reads noise-like signals high by several dB, a sample detector wastes time',
      source: PRACTICE,
    },
    {
      what: 'Averaging',
      setting: 'of power, not of dB',
      why: `Averaging noise in dB reads ${formatQuantity(LOG_AVERAGE_DB, 'dB', 2)} low`,
      source: `${CLOSED_FORM}: 10·log10 of e to Euler’s constant`,
    },
    {
      what: 'Number of averages',
      setting: `at least ${averagesFor(bandwidthHz, lowHz)} sweeps at ${formatEngineering(lowHz, 'Hz')}, ${averagesFor(bandwidthHz, highHz)} at ${formatEngineering(highHz, 'Hz')}`,
      why: `For ± ${formatQuantity(WANTED_SPREAD_DB, 'dB')} (one standard deviation) in ${formatEngineering(bandwidthHz, 'Hz', 4)}; regrowth comes from rare peaks, so repeat until readings stay within it`,
      source: `${CLOSED_FORM}: 4.34 dB over the root of the independent readings`,
    },
    {
      what: 'Analyser’s own distortion',
      setting: 'change its attenuation by 10 dB: readings must stay within 0.5 dB',
      why: 'A reading that moves is the analyser’s, not the amplifier’s',
      source: PRACTICE,
    },
  ];
}

/** The better side of each channel: it asks for the lower floor. */
function bestOfChannels(readings: readonly AclrReading[]): AclrReading[] {
  const names = [...new Set(readings.map(({ channel }) => channel))];
  return names.map((name) =>
    readings.filter(({ channel }) => channel === name).reduce((a, b) => (b.aclrDb > a.aclrDb ? b : a)),
  );
}

function floorItem(reading: AclrReading, output: OutputReport, report: Report): CheckItem {
  const { channel, aclrDb, bandwidthHz } = reading;
  const floorDbc = floorNeededDbc(aclrDb);
  const shift = 10 * Math.log10(1 + 10 ** (-FLOOR_MARGIN_DB / 10));
  return {
    what: `Floor in the ${channel} channel`,
    setting: `at most ${withUnit(formatFixed(floorDbc, 1), 'dBc')} in ${formatEngineering(bandwidthHz, 'Hz', 4)}${densityText(floorDbc, bandwidthHz, output, report)}`,
    why: `Predicted ${withUnit(formatFixed(-aclrDb, 1), 'dBc')}; a floor 10 dB below adds ${formatQuantity(shift, 'dB', 2)}${reachText(floorDbc)}`,
    source: `${CLOSED_FORM}; 10 dB: ${PRACTICE}`,
  };
}

/** Analysers seldom reach a lower floor in a channel beside a wide one. Common practice, no source. */
const USUAL_REACH_DBC = -80;

function reachText(floorDbc: number): string {
  if (floorDbc >= USUAL_REACH_DBC) return '';
  return `. Few analysers reach ${withUnit(formatFixed(USUAL_REACH_DBC, 0), 'dBc')}: expect to read the analyser’s floor, and say so`;
}

/** The floor as a density at the instrument's input, behind the attenuation of this list. */
function densityText(floorDbc: number, bandwidthHz: number, output: OutputReport, report: Report): string {
  const { antennaMeanDbm, peakPowerDbm } = output;
  if (antennaMeanDbm === null || peakPowerDbm === null) return '';
  const peakDbm = peakPowerDbm - report.scenario.amplifier.outputLossDb;
  const levelDbm = antennaMeanDbm - attenuationFor(antennaMeanDbm, peakDbm);
  const density = levelDbm + floorDbc - 10 * Math.log10(bandwidthHz);
  return `: ${withUnit(formatFixed(density, 0), 'dBm/Hz')} with ${formatQuantity(levelDbm, 'dBm')} at its input`;
}

/** The value of the series 1, 3, 10 … inside a range that spans a factor of 4. */
export function roundBandwidth(lowHz: number, highHz: number): number {
  const decade = 10 ** Math.floor(Math.log10(lowHz));
  const inside = [1, 3, 10, 30]
    .map((factor) => factor * decade)
    .filter((hz) => hz >= lowHz * 0.999 && hz <= highHz * 1.001);
  return inside.at(-1) ?? lowHz;
}

const EQUALIZER_SETTINGS = {
  none: 'no equalizer, scaled to the reference’s rms',
  oneGain: 'one complex gain, no equalizer',
  perSubcarrier: 'equalizer per subcarrier, trained on the same symbols',
  smoothed: 'equalizer smoothed over 19 subcarriers, trained on the same symbols',
} as const;

function modulationItems({ evm }: OutputReport): CheckItem[] {
  if (evm === null) return [];
  const overfit =
    evm.equalizer === 'perSubcarrier' && evm.symbolCount > 1
      ? `; over n symbols it hides √(1 − 1/n), here a factor ${formatFixed(Math.sqrt(1 - 1 / evm.symbolCount), 3)}`
      : '';
  return [
    {
      what: 'EVM',
      setting: `${EQUALIZER_SETTINGS[evm.equalizer]}, ${evm.symbolCount} symbols`,
      why: `EVM without its equalizer and its symbol count cannot be compared${overfit}`,
      source: 'the measurement of this run',
    },
    {
      what: 'Residual EVM of the set-up',
      setting: `at most ${formatQuantity(evm.rmsPercent / 3, '%', 2)}`,
      why: `A third of the predicted ${formatQuantity(evm.rmsPercent, '%', 2)} raises the reading by a factor ${formatFixed(Math.sqrt(1 + 1 / 9), 3)}`,
      source: `${CLOSED_FORM}; a third: ${PRACTICE}`,
    },
  ];
}

function generatorItems(report: Report, output: OutputReport): CheckItem[] {
  const first = output.aclr[0]?.channel;
  const best = Math.max(...output.aclr.filter(({ channel }) => channel === first).map(({ aclrDb }) => aclrDb));
  const channelHz = Math.max(...report.waveform.carriers.map(({ channelBandwidthHz }) => channelBandwidthHz));
  return [
    {
      what: 'Waveform',
      setting: `the judging record: ${report.waveform.sampleCount} samples at ${formatEngineering(report.waveform.sampleRateHz, 'Hz', 6)}, seed ${report.scenario.seeds.judging}, played without a gap`,
      why: '“kneepoint wave” writes it; another record or another crest factor gives other readings',
      source: 'the record of this run',
    },
    {
      what: 'Noise and distortion beside the channel',
      setting: `at most ${withUnit(formatFixed(floorNeededDbc(best), 1), 'dBc')}, without the deliberate part of a corrected drive`,
      why: 'The source must lie as far below the reading as the analyser',
      source: PRACTICE,
    },
    {
      what: 'Bandwidth',
      setting: `at least ${formatEngineering(5 * channelHz, 'Hz')}, five times the channel`,
      why: 'Fifth-order products of the correction span five channels; a narrower generator cuts them off',
      source: PRACTICE,
    },
  ];
}
