// Every reading of a report as rows under uncorrected, corrected, ideal limiter and the waveform itself. Chooses, orders and
// words; every figure is the report's.
import { evmCondition } from '../../../shared/format/measurementWords.ts';
import {
  formatEngineering,
  formatErrorDb,
  formatFixed,
  formatOffset,
  formatProbability,
  NO_READING,
} from '../../../shared/format/numbers.ts';
import type { AclrReading, FloorName, OutputReport, PaprPoint, Report } from '../../../shared/schema/report.ts';
import type { DefinitionName } from './terms.ts';
import { channelName, FLOOR_NAMES } from './verdicts.ts';

/** `uncorrected`, `corrected`, `ideal` are outputs; `waveform` is what goes in. */
export type ColumnName = 'uncorrected' | 'corrected' | 'ideal' | 'waveform';

export interface ReadingCell {
  readonly text: string;
  /** Beneath the figure: its spread, and the floor that limits it. */
  readonly note: string;
}

export interface ReadingRow {
  readonly label: string;
  readonly unit: string;
  /** Muted, beneath the label: offset, filter, place. */
  readonly about: string;
  readonly cells: readonly ReadingCell[];
}

export interface ReadingGroup {
  readonly name: DefinitionName;
  readonly title: string;
  readonly rows: readonly ReadingRow[];
  /** Conditions of these readings, one muted line. */
  readonly condition: string;
}

export function columnsOf({ corrected }: Report): readonly ColumnName[] {
  return corrected === null ? ['uncorrected', 'ideal', 'waveform'] : ['uncorrected', 'corrected', 'ideal', 'waveform'];
}

/** The groups that have a reading. */
export function readingGroups(report: Report): ReadingGroup[] {
  const groups = [
    aclrGroup(report),
    densityGroup(report),
    ...maskGroups(report),
    slotGroup(report),
    notchGroup(report),
    toneGroup(report),
    evmGroup(report),
    bandwidthGroup(report),
    crestGroup(report),
  ];
  return groups.filter(({ rows }) => rows.length > 0);
}

const NO_CELL: ReadingCell = { text: NO_READING, note: '' };

/** A cell of each column; what `pick` has no figure for shows a dash. */
function cellsOf(report: Report, pick: (output: OutputReport) => ReadingCell | null, own: ReadingCell | null = null) {
  return columnsOf(report).map((column) => {
    if (column === 'waveform') return own ?? NO_CELL;
    const output = report[column];
    return (output === null ? null : pick(output)) ?? NO_CELL;
  });
}

function cell(value: number | null | undefined, decimals: number, note = ''): ReadingCell | null {
  return value === null || value === undefined ? null : { text: formatFixed(value, decimals), note };
}

/** "±0.12, the source" */
function noteOf(spreadDb: number | null | undefined, limitedBy: FloorName | null): string {
  const spread = spreadDb === null || spreadDb === undefined ? '' : `±${formatFixed(spreadDb, 2)}`;
  const floor = limitedBy === null ? '' : FLOOR_NAMES[limitedBy];
  return [spread, floor].filter((text) => text !== '').join(', ');
}

function sameChannel(readings: readonly AclrReading[], { channel, side, centreHz }: AclrReading): AclrReading | null {
  return readings.find((one) => one.channel === channel && one.side === side && one.centreHz === centreHz) ?? null;
}

function channelAbout({ centreHz, bandwidthHz, filter }: AclrReading): string {
  return `${formatEngineering(bandwidthHz, 'Hz', 4)} ${filter === 'rrc' ? 'root-raised-cosine' : 'square'} at ${formatOffset(centreHz)}`;
}

function aclrCell(reading: AclrReading | null, hasNote: boolean): ReadingCell | null {
  return reading && cell(reading.aclrDb, 1, hasNote ? noteOf(reading.spreadDb, reading.limitedBy) : '');
}

function aclrGroup(report: Report): ReadingGroup {
  const rows = report.uncorrected.aclr.map((reading) => ({
    label: channelLabel(reading),
    unit: 'dB',
    about: channelAbout(reading),
    cells: cellsOf(
      report,
      (output) => aclrCell(sameChannel(output.aclr, reading), output !== report.ideal),
      aclrCell(sameChannel(report.waveform.aclr, reading), false),
    ),
  }));
  const condition = '± is one standard deviation over the segments; a floor within 10 dB is named';
  return { name: 'aclr', title: 'Leakage ratio, ACLR', rows, condition };
}

function channelLabel({ channel, side }: AclrReading): string {
  return channel === 'gap' ? `gap, from the ${side} carrier’s edge` : `${channelName(channel)}, ${side}`;
}

function densityGroup(report: Report): ReadingGroup {
  const rows = report.uncorrected.aclr
    .filter(({ densityDbmPerMHz }) => densityDbmPerMHz !== null)
    .map((reading) => ({
      label: channelLabel(reading),
      unit: 'dBm/MHz',
      about: '',
      cells: cellsOf(report, (output) => cell(sameChannel(output.aclr, reading)?.densityDbmPerMHz, 1)),
    }));
  return {
    name: 'density',
    title: 'Density in the channels',
    rows,
    condition: 'mean over the channel, at the antenna port',
  };
}

function maskGroups(report: Report): ReadingGroup[] {
  return report.uncorrected.masks.map(({ name, source, measuringBandwidthHz }) => {
    const pick = (read: (mask: OutputReport['masks'][number]) => ReadingCell | null) => (output: OutputReport) => {
      const mask = output.masks.find((one) => one.name === name);
      return mask === undefined ? null : read(mask);
    };
    const row = (label: string, unit: string, read: (mask: OutputReport['masks'][number]) => ReadingCell | null) => ({
      label,
      unit,
      about: '',
      cells: cellsOf(report, pick(read)),
    });
    const reach = report.uncorrected.masks.find((one) => one.name === name);
    const end = reach === undefined ? '' : `; judged to ${formatEngineering(reach.judgedToHz, 'Hz')} out`;
    return {
      name: 'mask' as const,
      title: `Mask, ${name}`,
      rows: [
        row('worst margin', 'dB', (mask) =>
          cell(mask.worstMarginDb, 1, report.ideal.masks.includes(mask) ? '' : noteOf(null, mask.limitedBy)),
        ),
        row('there, against the centre', 'MHz', (mask) => cell(mask.atHz / 1e6, 3)),
        row('level there', 'dBm', (mask) => cell(mask.levelDbm, 1)),
        row('limit there', 'dBm', (mask) => cell(mask.limitDbm, 1)),
        row('measured in', 'kHz', (mask) => cell(mask.measuringBandwidthHz / 1e3, 0)),
      ],
      condition: `${source}${end}${measuringBandwidthHz > 0 && reach?.isComplete === false ? ', where the record ends and the mask does not' : ''}`,
    };
  });
}

function slotGroup(report: Report): ReadingGroup {
  const rows = report.uncorrected.slots.flatMap(({ name, centreHz, bandwidthHz }) => {
    const found = (output: OutputReport) => output.slots.find((one) => one.name === name);
    const about = `${formatEngineering(bandwidthHz, 'Hz', 4)} at ${formatOffset(centreHz)}`;
    const ratio = {
      label: name,
      unit: 'dB',
      about,
      cells: cellsOf(report, (output) =>
        cell(found(output)?.ratioDb, 1, output === report.ideal ? '' : noteOf(null, found(output)?.limitedBy ?? null)),
      ),
    };
    if ((found(report.uncorrected)?.densityDbmPerMHz ?? null) === null) return [ratio];
    const cells = cellsOf(report, (output) => cell(found(output)?.densityDbmPerMHz, 1));
    return [ratio, { label: `${name}, density`, unit: 'dBm/MHz', about: '', cells }];
  });
  return {
    name: 'slot',
    title: 'Slots',
    rows,
    condition: 'mean density of the reference carriers over that in the slot',
  };
}

const NOTCH_METHODS = { wholeRecord: 'over the whole record', symbolSynchronous: 'symbol by symbol' } as const;

function notchGroup(report: Report): ReadingGroup {
  const { notch } = report.uncorrected;
  const own = cell(notch?.sourceRatioDb, 1);
  const cells = cellsOf(report, (output) => cell(output.notch?.ratioDb, 1), own);
  const rows = notch === null ? [] : [{ label: `carrier ${notch.carrierIndex + 1}`, unit: 'dB', about: '', cells }];
  const condition = notch === null ? '' : `read ${NOTCH_METHODS[notch.method]}`;
  return { name: 'notch', title: 'Notch power ratio', rows, condition };
}

function toneGroup(report: Report): ReadingGroup {
  const { twoTone } = report.uncorrected;
  if (twoTone === null) return { name: 'tones', title: 'Two tones', rows: [], condition: '' };
  const tones = twoTone.tones.map(({ side }) => ({
    label: `tone, ${side}`,
    unit: 'dBm',
    about: '',
    cells: cellsOf(report, ({ twoTone }) => cell(twoTone?.tones.find((one) => one.side === side)?.powerDbm, 2)),
  }));
  const products = twoTone.products.map(({ order, side, offsetHz }) => ({
    label: `IM${order}, ${side}`,
    unit: 'dBc',
    about: `at ${formatOffset(offsetHz)} from the carrier’s centre`,
    cells: cellsOf(report, (output) => {
      const found = output.twoTone?.products.find((one) => one.order === order && one.side === side);
      return cell(found && -found.ratioDb, 1);
    }),
  }));
  const condition = `tones ${formatEngineering(twoTone.toneSpacingHz, 'Hz', 4)} apart; powers of one tone, products against the tone of their side`;
  return { name: 'tones', title: 'Two tones', rows: [...tones, ...products], condition };
}

function evmGroup(report: Report): ReadingGroup {
  const { evmPerCarrier } = report.uncorrected;
  const { carriers, crestReductionEvmPerCarrier, crestReductionEvmPercent, sourceEvmPercent } = report.waveform;
  const isSeveral = carriers.length > 1;
  const rows = evmPerCarrier.flatMap(({ carrierIndex }) => {
    const found = (output: OutputReport) => output.evmPerCarrier.find((one) => one.carrierIndex === carrierIndex);
    const spent = crestReductionEvmPerCarrier[carrierIndex] ?? null;
    const of = isSeveral ? `carrier ${carrierIndex + 1}, ` : '';
    return [
      {
        label: `${of}rms`,
        unit: '%',
        about: isSeveral ? (carriers[carrierIndex]?.label ?? '') : '',
        cells: cellsOf(
          report,
          (output) => cell(found(output)?.rmsPercent, 2),
          crestReductionEvmPercent === null ? cell(sourceEvmPercent, 2) : cell(spent, 2, 'by reduction'),
        ),
      },
      {
        label: `${of}peak`,
        unit: '%',
        about: '',
        cells: cellsOf(report, (output) => cell(found(output)?.peakPercent, 1)),
      },
    ];
  });
  const nmse = {
    label: 'error after one gain, NMSE',
    unit: 'dB',
    about: '',
    cells: cellsOf(report, ({ nmseDb }) => ({ text: formatErrorDb(nmseDb, 1), note: '' })),
  };
  const [first] = evmPerCarrier;
  const condition = first === undefined ? 'no carrier carries known symbols' : evmCondition(first);
  return { name: 'evm', title: 'Error vector, EVM', rows: [...rows, nmse], condition };
}

function bandwidthGroup(report: Report): ReadingGroup {
  const row = {
    label: '99 % of the power',
    unit: 'MHz',
    about: '',
    cells: cellsOf(
      report,
      ({ occupiedBandwidthHz }) => cell(occupiedBandwidthHz / 1e6, 3),
      cell(report.waveform.occupiedBandwidthHz / 1e6, 3),
    ),
  };
  return { name: 'bandwidth', title: 'Occupied bandwidth', rows: [row], condition: '' };
}

function paprAt(points: readonly PaprPoint[], probability: number): PaprPoint | undefined {
  return points.find((one) => one.probability === probability);
}

function crestGroup(report: Report): ReadingGroup {
  const { waveform, uncorrected } = report;
  const rows = waveform.papr
    .filter(({ db }) => db !== null)
    .flatMap(({ probability }) => {
      const point = (points: readonly PaprPoint[]) => {
        const found = paprAt(points, probability);
        return cell(found?.db, 2, noteOf(found?.spreadDb, null));
      };
      const at = `at ${formatProbability(probability)}`;
      const ratio = {
        label: `over the mean, ${at}`,
        unit: 'dB',
        about: '',
        cells: cellsOf(report, ({ papr }) => point(papr), point(waveform.papr)),
      };
      if ((paprAt(uncorrected.papr, probability)?.powerDbm ?? null) === null) return [ratio];
      const cells = cellsOf(report, ({ papr }) => cell(paprAt(papr, probability)?.powerDbm, 2));
      return [ratio, { label: `power exceeded ${at}`, unit: 'dBm', about: 'at the amplifier', cells }];
    });
  const peak = {
    label: 'largest of the record',
    unit: 'dB',
    about: '',
    cells: cellsOf(report, ({ peakToAverageDb }) => cell(peakToAverageDb, 2), cell(waveform.peakToAverageDb, 2)),
  };
  const cubic = cell(waveform.cubicMetricDb, 2);
  const metric = { label: 'cubic metric', unit: 'dB', about: '', cells: cellsOf(report, () => null, cubic) };
  const seconds = formatEngineering(waveform.durationS, 's');
  return {
    name: 'crest',
    title: 'Crest factor and peak power',
    rows: [...rows, peak, ...(cubic === null ? [] : [metric])],
    condition: `share of samples above, record of ${seconds}`,
  };
}
