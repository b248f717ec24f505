// How firm the verdicts are: the margin of each reading with two standard deviations on either side, against its limit.
import { formatFixed, withUnit } from '../format/numbers.ts';
import type { SpreadReading, SpreadResult, StudyReport } from '../schema/studyReport.ts';
import { rangeAround } from './chartRange.ts';
import { conditionLines } from './conditionLines.ts';
import { TRACE_STYLES } from './palette.ts';
import { drawRowChart } from './rowChart.ts';

export function drawSpread(report: StudyReport, result: SpreadResult): string {
  const rows = result.readings.map((reading) => ({ reading, span: spanOf(reading) }));
  const [minimum, maximum] = rangeAround([0, ...rows.flatMap(({ span }) => span)], 7);
  const yields = result.yields.map(
    ({ of, passCount, unitCount, yieldPercent, lowPercent, highPercent }) =>
      `Units, ${of}: ${passCount} of ${unitCount} pass, ${formatFixed(yieldPercent, 0)} % (${formatFixed(lowPercent, 0)} to ${formatFixed(highPercent, 0)} % at 95 % confidence)`,
  );
  return drawRowChart({
    title: report.study.title,
    description: `Margin of each limit over ${result.seedsRead} seeds. ${report.answer}`,
    axis: { label: 'Margin, dB: mean and two standard deviations of one run', minimum, maximum },
    rows: rows.map(({ reading, span }) => ({
      label: `${reading.of}, ${reading.limit}`,
      value: reading.marginDb,
      span,
      colour: TRACE_STYLES[reading.of].colour,
      isHollow: reading.state !== 'pass',
      isChosen: false,
      note: noteText(reading),
    })),
    references: [{ x: 0, label: 'limit', forbidden: 'left' }],
    condition: [`${result.seedsRead} seeds; hollow: marginal or over`, ...yields, ...conditionLines(report.conditions)],
  });
}

/** Margins at two standard deviations on either side of the mean. EVM's margin is 20·log10(required/reading). */
function spanOf({ unit, mean, required, standardDeviation }: SpreadReading): readonly [number, number] {
  const reach = 2 * standardDeviation;
  if (unit === 'dB') return [mean - reach - required, mean + reach - required];
  // Nothing reads below a hundredth of its limit.
  const marginAt = (percent: number) => 20 * Math.log10(required / Math.max(percent, required / 100));
  return [marginAt(mean + reach), marginAt(mean - reach)];
}

function noteText({ unit, mean, standardDeviation, state }: SpreadReading): string {
  const word = { pass: 'within', marginal: 'marginal', fail: 'over' }[state];
  return `${withUnit(`${formatFixed(mean, 2)} ± ${formatFixed(standardDeviation, 2)}`, unit)}, ${word}`;
}
