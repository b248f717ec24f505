// A measured record as text: the readings, where the channels were taken, the comparison with the reference.
import { estimatorCondition } from '../../../shared/figures/spectrumFigure.ts';
import {
  formatEngineering,
  formatFixed,
  formatProbability,
  formatQuantity,
  NO_READING,
} from '../../../shared/format/numbers.ts';
import type { RecordReport } from '../../engine/index.ts';
import { formatLines, formatTable, wrap } from './table.ts';

export function recordText(title: string, record: RecordReport): string {
  const parts = [
    `${wrap(title)}\n${wrap(firstSentence(record))}\n`,
    formatLines(factRows(record)),
    aclrTable(record),
    `${channelNote(record)}\n${wrap(`${estimatorCondition(record.conditions)}.`)}\n`,
    ...(record.reference === null ? [] : [referenceLines(record)]),
  ];
  return parts.join('\n');
}

function worstAdjacent(record: RecordReport): number | null {
  const readings = record.aclr.filter(({ channel }) => channel === 'adjacent').map(({ aclrDb }) => aclrDb);
  return readings.includes(null) ? null : Math.min(...(readings as number[]));
}

function firstSentence(record: RecordReport): string {
  const worst = worstAdjacent(record);
  const occupied = formatEngineering(record.occupiedBandwidthHz, 'Hz', 4);
  const aclr =
    worst === null ? 'its adjacent channel is not in the record' : `an ACLR of ${formatQuantity(worst, 'dB')}`;
  const evm =
    record.reference === null
      ? ''
      : `, and ${formatQuantity(record.reference.evm.rmsPercent, '%', 2)} EVM against its reference`;
  return `${occupied} occupied, ${aclr}${evm}.`;
}

function factRows(record: RecordReport): string[][] {
  const papr = record.papr
    .filter(({ db }) => db !== null)
    .map(({ probability, db }) => `${formatFixed(db as number, 2)} dB at ${formatProbability(probability)}`);
  const centre = record.centreFrequencyHz;
  const length = `${record.sampleCount} samples at ${formatEngineering(record.sampleRateHz, 'Hz', 6)}, ${formatEngineering(record.durationS, 's', 4)}`;
  return [
    ['record', `${length}, ${record.conditions.periodic ? 'one period' : 'not one period'}`],
    ...(centre === null ? [] : [['centre frequency', formatEngineering(centre, 'Hz', 7)]]),
    ['mean power', formatQuantity(record.meanPowerDbfs, 'dBfs', 2)],
    ['peak power', formatQuantity(record.peakPowerDbfs, 'dBfs', 2)],
    ['peak over mean', formatQuantity(record.peakToAverageDb, 'dB', 2)],
    ['PAPR', papr.join(', ')],
    ['occupied bandwidth', `${formatEngineering(record.occupiedBandwidthHz, 'Hz', 4)} (99 % of the power)`],
  ];
}

function aclrTable(record: RecordReport): string {
  const names = [...new Set(record.aclr.map(({ channel }) => channel))];
  const rows = names.map((name) => ({
    label: `ACLR, ${name}, dB`,
    cells: (['lower', 'upper'] as const).map((side) => {
      const reading = record.aclr.find((one) => one.channel === name && one.side === side);
      return reading?.aclrDb === null || reading === undefined ? NO_READING : formatFixed(reading.aclrDb, 1);
    }),
  }));
  return formatTable(['lower', 'upper'], rows);
}

function channelNote({ channels }: RecordReport): string {
  const { centreHz, ownBandwidthHz, neighbourBandwidthHz, spacingHz, chosenBy } = channels;
  const hz = (value: number) => formatEngineering(value, 'Hz', 4);
  const own = `Own channel ${hz(ownBandwidthHz)} at ${hz(centreHz)}`;
  return wrap(`${own}; neighbours ${hz(neighbourBandwidthHz)} wide at multiples of ${hz(spacingHz)} (${chosenBy}).`);
}

function referenceLines({ reference }: RecordReport): string {
  if (reference === null) return '';
  const ns = (seconds: number) => `${formatFixed(1e9 * seconds, 3)} ns`;
  const deviation = `± ${(1e9 * reference.delayDeviationS).toPrecision(2)} ns`;
  const rows = [
    ['delay', `${ns(reference.delayS)} ${deviation} (${formatFixed(reference.delaySamples, 4)} samples)`],
    ['EVM from that ±', formatQuantity(reference.delayErrorPercent, '%', 3)],
    ['gain', formatQuantity(reference.gainDb, 'dB', 3)],
    ['phase', formatQuantity(reference.phaseDeg, '°', 2)],
    ['NMSE', `${formatQuantity(reference.nmseDb, 'dB', 2)} after one gain, over the whole rate`],
    [
      'EVM, rms',
      `${formatQuantity(reference.evm.rmsPercent, '%', 2)} (peak ${formatQuantity(reference.evm.peakPercent, '%')})`,
    ],
    ['correlation', formatFixed(reference.correlationRatio, 4)],
  ];
  const channel = formatEngineering(reference.evm.bandwidthHz, 'Hz', 4);
  const note = `EVM: against the reference record, in the own channel of ${channel}, after one complex gain; no symbols are known, so none are counted.`;
  return `Against the reference\n${formatLines(rows, '  ')}${wrap(note)}\n`;
}
