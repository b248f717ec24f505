// A measured record as text: the readings, where the channels were taken, the comparison with the reference.
import { estimatorCondition } from '../../../shared/figures/spectrumFigure.ts';
import {
  formatEngineering,
  formatFixed,
  formatProbability,
  formatQuantity,
  formatSigned,
  NO_READING,
} from '../../../shared/format/numbers.ts';
import { verdictCells } from '../../../shared/reports/runParts.ts';
import type { RecordReport } from '../../engine/index.ts';
import { formatLines, formatTable, wrap } from './table.ts';

export function recordText(title: string, record: RecordReport): string {
  const parts = [
    `${wrap(title)}\n${wrap(firstSentence(record))}\n`,
    formatLines(factRows(record)),
    aclrTable(record),
    `${channelNote(record)}\n${wrap(`${estimatorCondition(record.conditions)}.`)}\n${spreadNote(record)}`,
    ...(record.notch === null && record.twoTone === null
      ? []
      : [formatLines([...notchRows(record), ...toneRows(record)])]),
    ...(record.masks.length === 0 ? [] : [`Masks, worst place\n${formatLines(record.masks.map(maskCells), '  ')}`]),
    ...(record.verdicts.length === 0 ? [] : [`Limits\n${verdictLines(record)}`]),
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
  return `${occupied} occupied, ${twoToneAnswer(record) ?? aclr}${evm}.`;
}

/** Two tones have no neighbouring channels: their strongest product of order 3 says what the record is like. */
function twoToneAnswer({ twoTone }: RecordReport): string | null {
  if (twoTone === null) return null;
  const third = twoTone.products.flatMap(({ order, ratioDb }) => (order === 3 && ratioDb !== null ? [ratioDb] : []));
  if (third.length === 0) return 'two tones without products of order 3 above the noise';
  return `two tones with products of order 3 at least ${formatQuantity(Math.min(...third), 'dB')} below them`;
}

function factRows(record: RecordReport): string[][] {
  const papr = record.papr
    .filter(({ db }) => db !== null)
    .map(({ probability, db }) => `${formatFixed(db as number, 2)} dB at ${formatProbability(probability)}`);
  const centre = record.centreFrequencyHz;
  const length = `${record.sampleCount} samples at ${formatEngineering(record.sampleRateHz, 'Hz', 6)}, ${formatEngineering(record.durationS, 's', 4)}`;
  return [
    ['record', `${length}, ${periodWords(record)}`],
    ...(centre === null ? [] : [['centre frequency', formatEngineering(centre, 'Hz', 7)]]),
    ['mean power', `${formatQuantity(record.meanPowerDbfs, 'dBfs', 2)}${portPower(record)}`],
    ['peak power', formatQuantity(record.peakPowerDbfs, 'dBfs', 2)],
    ['peak over mean', formatQuantity(record.peakToAverageDb, 'dB', 2)],
    ['PAPR', papr.join(', ')],
    ['occupied bandwidth', `${formatEngineering(record.occupiedBandwidthHz, 'Hz', 4)} (99 % of the power)`],
    ['DC', `${formatQuantity(record.dcRatioDb, 'dB', 1)} of the mean power`],
    ...(record.clippedSampleCount === null ? [] : [['clipped samples', String(record.clippedSampleCount)]]),
  ];
}

function periodWords({ conditions }: RecordReport): string {
  if (conditions.streamed) return 'read in pieces';
  return conditions.periodic ? 'one period' : 'not one period';
}

function portPower({ meanPowerDbm }: RecordReport): string {
  return meanPowerDbm === null
    ? ''
    : `, which stands for ${formatQuantity(meanPowerDbm, 'dBm', 2)} at the antenna port`;
}

/** The larger side of each channel. */
function spreadNote({ aclr, conditions }: RecordReport): string {
  const names = [...new Set(aclr.map(({ channel }) => channel))];
  const parts = names.flatMap((name) => {
    const spreads = aclr.flatMap(({ channel, spreadDb }) => (channel === name && spreadDb !== null ? [spreadDb] : []));
    return spreads.length === 0 ? [] : [`${name} ± ${Math.max(...spreads).toPrecision(2)} dB`];
  });
  if (parts.length === 0) return '';
  return `${wrap(`Spread over ${conditions.segmentCount} segments, one standard deviation: ${parts.join(', ')}.`)}\n`;
}

function notchRows({ notch }: RecordReport): string[][] {
  if (notch === null) return [];
  const band = `${formatEngineering(notch.bandwidthHz, 'Hz', 4)} at ${formatEngineering(notch.centreHz, 'Hz', 4)}`;
  return [['notch power ratio', `${formatQuantity(notch.ratioDb, 'dB')} in ${band}`]];
}

function toneRows({ twoTone }: RecordReport): string[][] {
  if (twoTone === null) return [];
  const tones = twoTone.tones.map(({ side, frequencyHz, levelDbfs, powerDbm }) => {
    const dbm = powerDbm === null ? '' : `, ${formatQuantity(powerDbm, 'dBm', 2)}`;
    const place = formatEngineering(frequencyHz, 'Hz', 6);
    return [`${side} tone`, `${formatQuantity(levelDbfs, 'dBfs', 2)}${dbm} at ${place} (per tone)`];
  });
  const products = twoTone.products.map(({ order, side, frequencyHz, ratioDb }) => {
    const level = ratioDb === null ? 'in the noise' : `${formatQuantity(ratioDb, 'dB')} below its tone`;
    return [`IM${order}, ${side}`, `${level} at ${formatEngineering(frequencyHz, 'Hz', 6)}`];
  });
  return [...tones, ...products];
}

/** Name, margin, place, what the table says of itself. */
function maskCells(mask: RecordReport['masks'][number]): string[] {
  const place = `${formatEngineering(mask.distanceHz, 'Hz', 4)} out, ${mask.side}`;
  const bandwidth = formatEngineering(mask.measuringBandwidthHz, 'Hz');
  const unit = mask.unit === 'dBr' ? 'dB' : 'dBm';
  return [
    mask.name,
    `margin ${formatSigned(mask.worstMarginDb, '', 1)} dB`,
    `${formatFixed(mask.levelDbm, 1)} ${unit} in ${bandwidth}, ${place}`,
    mask.isComplete ? '' : `judged to ${formatEngineering(mask.judgedToHz, 'Hz', 4)} only`,
    mask.status,
  ];
}

function verdictLines({ verdicts }: RecordReport): string {
  // A record is one output: the cell that says which is left out, and so is the floor, of which nothing is known.
  const rows = verdicts.map((verdict) => verdictCells({ ...verdict, of: 'uncorrected' }));
  return formatLines(
    rows.map((row) => row.filter((_, i) => i !== 1 && i !== 6)),
    '  ',
  );
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

/** Where every channel lies and through which filter it is read. */
function channelNote({ channels, aclr }: RecordReport): string {
  const { centreHz, ownBandwidthHz, chosenBy } = channels;
  const hz = (value: number) => formatEngineering(value, 'Hz', 4);
  const beside = aclr
    .filter(({ side }) => side === 'upper')
    .map(({ channel, offsetHz, bandwidthHz, filter }) => {
      const shape = filter === 'rrc' ? ' root-raised-cosine' : '';
      return `${channel} ${hz(bandwidthHz)}${shape} at ±${hz(offsetHz)}`;
    });
  const own = `Own channel ${hz(ownBandwidthHz)} at ${hz(centreHz)}`;
  return wrap(`${[own, ...beside].join('; ')} (${chosenBy}).`);
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
    ['compared', `${reference.comparedSampleCount} samples`],
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
