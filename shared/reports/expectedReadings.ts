// What an instrument should read, with a tolerance, for the output without and with correction.
import { formatEngineering, formatProbability, formatQuantity } from '../format/numbers.ts';
import type { OutputReport, Report } from '../schema/report.ts';
import { type ColumnOf, fillTable, type ReadingTable } from './readingTable.ts';

interface Expectation {
  readonly what: string;
  readonly uncorrected: number | null;
  readonly corrected: number | null;
  readonly decimals: number;
  readonly unit: string;
  readonly tolerance: string;
}

/**
 * Tolerances: how far figures of a behavioural model and of a real amplifier of the same description are apart at best.
 * Common practice, no source; they are no measurement uncertainty.
 */
const TOLERANCES = { power: '± 0.5', peak: '± 1', aclr: '± 1.5', evm: '± 0.5', papr: '± 0.3' } as const;

type Pick = (output: OutputReport) => number | null;

export function expectedReadings(report: Report): ReadingTable {
  const { uncorrected, corrected } = report;
  const expect = (what: string, decimals: number, unit: string, tolerance: string, pick: Pick): Expectation => {
    const used = corrected === null ? null : pick(corrected);
    return { what, decimals, unit, tolerance, uncorrected: pick(uncorrected), corrected: used };
  };
  const lossDb = report.scenario.amplifier.outputLossDb;
  const all: Expectation[] = [
    expect('mean power at the antenna port', 2, 'dBm', TOLERANCES.power, (output) => output.antennaMeanDbm),
    expect('peak power at the antenna port', 1, 'dBm', TOLERANCES.peak, ({ peakPowerDbm }) =>
      peakPowerDbm === null ? null : peakPowerDbm - lossDb,
    ),
    expect('mean drive', 1, 'dBm', TOLERANCES.peak, (output) => output.driveMeanDbm),
    expect('peak drive', 1, 'dBm', TOLERANCES.peak, (output) => output.drivePeakDbm),
    ...uncorrected.aclr.map(({ channel, side, bandwidthHz, offsetHz }) =>
      expect(
        `${channel} channel, ${side}: ${formatEngineering(bandwidthHz, 'Hz', 4)} at ${formatEngineering(offsetHz, 'Hz', 4)}`,
        1,
        'dBc',
        TOLERANCES.aclr,
        (output) => negative(output.aclr.find((other) => other.channel === channel && other.side === side)?.aclrDb),
      ),
    ),
    expect('EVM, rms', 2, '%', TOLERANCES.evm, (output) => output.evm?.rmsPercent ?? null),
    ...paprAt(report, expect),
  ];
  const columns: ColumnOf<Expectation>[] = [
    { heading: 'reading', value: ({ what }) => what },
    { heading: 'uncorrected', decimals: ({ decimals }) => decimals, value: (one) => one.uncorrected },
    { heading: 'corrected', decimals: ({ decimals }) => decimals, value: (one) => one.corrected },
    { heading: 'tolerance', decimals: 1, value: ({ tolerance }) => tolerance },
    { heading: 'unit', value: ({ unit }) => unit },
    { heading: 'measured', value: () => '', keep: true },
  ];
  const caption = `Expected readings at ${formatQuantity(uncorrected.outputBackoffDb, 'dB')} of output back-off`;
  const read = all.filter((one) => one.uncorrected !== null || one.corrected !== null);
  return fillTable('expected', caption, read, columns);
}

export const TOLERANCE_NOTE =
  'Tolerances are how near a behavioural model comes to an amplifier of its description at best (common practice, no source), not a measurement uncertainty.';

const negative = (value: number | undefined): number | null => (value === undefined ? null : -value);

/** The crest factor of the output at the probability that reads best: 10⁻⁴, or the rarest the record allows. */
function paprAt(
  { uncorrected }: Report,
  expect: (what: string, decimals: number, unit: string, tolerance: string, pick: Pick) => Expectation,
): Expectation[] {
  const readable = uncorrected.papr.filter(({ db }) => db !== null);
  const chosen = readable.find(({ probability }) => probability === 1e-4) ?? readable.at(-1);
  if (chosen === undefined) return [];
  const { probability } = chosen;
  return [
    expect(
      `crest factor at ${formatProbability(probability)}`,
      1,
      'dB',
      TOLERANCES.papr,
      ({ papr }) => papr.find((point) => point.probability === probability)?.db ?? null,
    ),
  ];
}
