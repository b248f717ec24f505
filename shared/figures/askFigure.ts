// The reverse question: the saturated power that each way to the wanted clean power needs.
import { formatFixed, formatQuantity } from '../format/numbers.ts';
import { structureName } from '../format/structureName.ts';
import type { AskOption, AskResult, StudyReport } from '../schema/studyReport.ts';
import { rangeAround } from './chartRange.ts';
import { conditionLines } from './conditionLines.ts';
import { TRACE_STYLES } from './palette.ts';
import { drawRowChart } from './rowChart.ts';

/** More rows than this do not fit a printed page. */
const MOST_ROWS = 24;

export function drawAsk(report: StudyReport, result: AskResult): string {
  const options = result.options.slice(0, MOST_ROWS);
  const own = result.ownSaturatedPowerDbm;
  const best = options.find(({ withinEvmBudget }) => withinEvmBudget);
  const [minimum, maximum] = rangeAround(
    [own, ...options.map(({ neededSaturatedPowerDbm }) => neededSaturatedPowerDbm)].flatMap((x) => [x - 0.5, x + 0.5]),
    7,
  );
  const hidden = result.options.length - options.length;
  const wanted = formatQuantity(result.wantedAntennaMeanDbm, 'dBm');
  return drawRowChart({
    title: report.study.title,
    description: `Saturated power that each way needs. ${report.answer}`,
    axis: { label: `Saturated power needed for ${wanted} at the antenna port, dBm`, minimum, maximum },
    rows: options.map((option) => ({
      label: optionText(option),
      value: option.neededSaturatedPowerDbm,
      colour: TRACE_STYLES[option.corrected ? 'corrected' : 'uncorrected'].colour,
      isHollow: !option.withinEvmBudget,
      isChosen: option === best,
      note: noteText(option),
    })),
    references: [{ x: own, label: `own ${formatQuantity(own, 'dBm')}` }],
    condition: [
      `Hollow: the reduction spends more EVM than its budget${hidden > 0 ? `; ${hidden} further ways in the table` : ''}`,
      ...conditionLines(report.conditions),
    ],
  });
}

function optionText({ corrected, targetPaprDb, highestOrder, memoryDepth }: AskOption): string {
  const crest = targetPaprDb === null ? 'no reduction' : `crest ${formatFixed(targetPaprDb, 1)} dB`;
  const structure =
    corrected && highestOrder !== null && memoryDepth !== null
      ? structureName(highestOrder, memoryDepth)
      : 'no correction';
  return `${structure}, ${crest}`;
}

function noteText({ neededSaturatedPowerDbm, outputBackoffDb, bracketed }: AskOption): string {
  const power = `${bracketed ? '' : '< '}${formatQuantity(neededSaturatedPowerDbm, 'dBm')}`;
  return `${power}, ${formatQuantity(outputBackoffDb, 'dB')} below`;
}
