// Beside the order map: margin against cost with the Pareto front, and the corrected spectra of rising orders.

import { isSameCell } from '../format/mapCells.ts';
import { formatQuantity } from '../format/numbers.ts';
import { structureName } from '../format/structureName.ts';
import type { MapCell, MapResult, StudyReport } from '../schema/studyReport.ts';
import type { ChartPoint } from './chartMarks.ts';
import { axisNumber, rangeAround } from './chartRange.ts';
import { conditionLines } from './conditionLines.ts';
import { type ChartTrace, drawLineChart } from './lineChart.ts';
import { PALETTE, type TraceStyle } from './palette.ts';
import { levelAxis, offsetAxis, reachOf } from './spectrumFigure.ts';

const FRONT: TraceStyle = { name: 'Front', colour: PALETTE.ink, dash: [] };
const KINDS = {
  memoryPolynomial: { colour: '#0F766E', shape: 'dot' },
  generalizedMemoryPolynomial: { colour: '#2F4B8F', shape: 'square' },
} as const;

/** Margin (ACLR without limits) against real multiplications a sample. */
export function drawMapFront(report: StudyReport, result: MapResult): string {
  const hasMargin = result.cells.some(({ worstMarginDb }) => worstMarginDb !== null);
  const yOf = (cell: MapCell) => (hasMargin ? cell.worstMarginDb : cell.worstAclrDb);
  const cells = result.cells.filter((cell) => yOf(cell) !== null);
  const xOf = ({ cost }: MapCell) => cost.realMultipliesPerSample;
  const front = cells
    .filter(({ onFront }) => onFront)
    .sort((a, b) => xOf(a) - xOf(b) || (yOf(a) as number) - (yOf(b) as number));
  const [minimum, maximum] = rangeAround(cells.map(yOf), 6);
  const [from, to] = rangeAround([0, ...cells.map(xOf)], 8);
  const points = cells.map((cell): ChartPoint => {
    const { colour, shape } = KINDS[cell.structure];
    return { x: xOf(cell), y: yOf(cell) as number, colour, shape };
  });
  const label = hasMargin ? 'Smallest margin over all limits, dB' : 'ACLR of the worse side, dB';
  return drawLineChart({
    title: `${report.study.title}: margin against cost`,
    description: `What each structure costs and gives. ${report.answer}`,
    x: { label: 'Real multiplications a sample', minimum: from, maximum: to, scale: 'linear', format: axisNumber },
    y: { label, minimum, maximum, scale: 'linear', format: axisNumber },
    traces: [{ style: FRONT, x: front.map(xOf), y: front.map((cell) => yOf(cell) as number) }],
    limits: hasMargin
      ? [
          {
            label: marginText(result),
            fromX: from,
            toX: to,
            level: result.wantedMarginDb,
            forbidden: 'below',
            labelAt: 'end',
          },
        ]
      : [],
    points: [...points, ...ringOf(cells, result, xOf, yOf)],
    condition: [
      'Green dots: memory polynomial. Blue squares: generalized memory polynomial',
      ...conditionLines(report.conditions),
    ],
  });
}

function marginText({ wantedMarginDb }: MapResult): string {
  return wantedMarginDb > 0 ? `wanted margin ${formatQuantity(wantedMarginDb, 'dB')}` : 'within all limits above';
}

function ringOf(
  cells: readonly MapCell[],
  { ringed }: MapResult,
  xOf: (cell: MapCell) => number,
  yOf: (cell: MapCell) => number | null,
): ChartPoint[] {
  return cells
    .filter((cell) => isSameCell(cell, ringed))
    .map((cell) => ({
      x: xOf(cell),
      y: yOf(cell) as number,
      colour: KINDS[cell.structure].colour,
      shape: 'ring',
      label: structureName(cell.highestOrder, cell.memoryDepth),
      labelAt: 'above',
    }));
}

const ORDER_LINES: readonly Omit<TraceStyle, 'name'>[] = [
  { colour: '#C2410C', dash: [] },
  { colour: '#8A6D1D', dash: [9, 4] },
  { colour: '#7A5BB5', dash: [4, 3] },
  { colour: '#2F4B8F', dash: [6, 2, 1.5, 2] },
  { colour: '#0F766E', dash: [] },
];

/** The corrected spectra of rising orders at equal mean output power. */
export function drawOrderOverlay(report: StudyReport, { overlay }: MapResult): string {
  const traces = overlay.map(({ highestOrder, memoryDepth, spectrum }, i): ChartTrace => {
    const line = ORDER_LINES[i % ORDER_LINES.length] as (typeof ORDER_LINES)[number];
    const style = { ...line, name: `${highestOrder} × ${memoryDepth}` };
    return { style, x: spectrum.frequencyHz.map((hz) => hz / 1e6), y: spectrum.level };
  });
  const { carriers, aclrChannels } = spectrumFrame(report);
  const reach = reachOf(aclrChannels, carriers, overlay[0]?.spectrum.frequencyHz ?? [0, 1]);
  const unit = report.scenario.amplifier.saturatedPowerDbm === null ? 'dB re saturation' : 'dBm at the antenna port';
  return drawLineChart({
    title: `${report.study.title}: corrected spectra by order × taps`,
    description: 'Corrected output spectra of structures of rising order at equal mean output power.',
    x: offsetAxis(reach),
    y: levelAxis(`${unit}, in one resolution bandwidth`, traces, reach),
    traces,
    condition: ['Equal mean output power; largest level of each column', ...conditionLines(report.conditions)],
  });
}

/** Carriers, and the two channels beside each of them. */
function spectrumFrame({ scenario }: StudyReport) {
  const carriers = scenario.waveform.carriers.map(({ offsetHz, channelBandwidthHz, ...carrier }) => {
    const occupiedHz = carrier.kind === 'noise' ? carrier.occupiedBandwidthHz : 0;
    return { offsetHz, channelBandwidthHz: channelBandwidthHz === 'auto' ? occupiedHz : channelBandwidthHz };
  });
  const aclrChannels = carriers.map(({ offsetHz, channelBandwidthHz }) => ({
    fromX: (offsetHz - 2.5 * channelBandwidthHz) / 1e6,
    toX: (offsetHz + 2.5 * channelBandwidthHz) / 1e6,
    heading: '',
    readings: [],
  }));
  return { carriers, aclrChannels };
}
