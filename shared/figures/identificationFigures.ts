// The pictures of an identification: what was observed, predicted and left over across frequency; gain and phase of single
// samples before and after alignment. Chooses and places; every figure is the report's own.
import { formatEngineering, formatFixed, formatQuantity } from '../format/numbers.ts';
import type {
  IdentificationReport,
  IdentificationTraces,
  LoopWidthReading,
  PredictedAclr,
} from '../schema/identificationReport.ts';
import type { AmAmAmPmTrace } from '../schema/report.ts';
import { axisNumber } from './chartRange.ts';
import { type ChartColumn, type ChartTrace, drawLineChart } from './lineChart.ts';
import { PAIR_STYLES, PALETTE } from './palette.ts';
import { drawPanel, type Panel, type PanelCurve } from './panelChart.ts';
import { apart, columnOf, levelAxis, offsetAxis } from './spectrumFigure.ts';
import { svgDocument } from './stackedCharts.ts';
import { tag, textTag } from './svgText.ts';

/** Spectra over the observation's mean power, with the neighbouring channels' ratios of both. */
export function drawIdentificationSpectrum(
  title: string,
  report: IdentificationReport,
  { spectra, resolutionBandwidthHz }: IdentificationTraces,
): string {
  const offsetsMHz = spectra.observed.frequencyHz.map((hz) => hz / 1e6);
  const trace = (name: keyof typeof PAIR_STYLES): ChartTrace => ({
    style: PAIR_STYLES[name],
    x: offsetsMHz,
    y: spectra[name].level,
  });
  const traces = [trace('residual'), trace('observed'), trace('predicted')];
  const reach = shownReach(report, [offsetsMHz[0] as number, offsetsMHz.at(-1) as number]);
  const bandwidth = formatEngineering(resolutionBandwidthHz, 'Hz');
  return drawLineChart({
    title,
    description: `Power spectra of the aligned observation, of what the model predicts, and of their difference, ${held(report)} below the output.`,
    x: offsetAxis(reach),
    y: levelAxis(`dB re the output’s mean power, in ${bandwidth}`, traces, reach),
    traces,
    columns: channelColumns(report),
    condition: [conditionOf(report), 'Readings in the columns: ACLR in dB, observed above predicted'],
  });
}

/** Four spacings to either side: products of order 9 and some of the noise, and room for the readings. */
function shownReach({ aclr, channels }: IdentificationReport, [low, high]: readonly [number, number]) {
  const spacingMHz = Math.min(...aclr.map(({ offsetHz }) => offsetHz / 1e6));
  if (channels === null || !Number.isFinite(spacingMHz)) return [low, high] as const;
  const centreMHz = channels.centreHz / 1e6;
  return [Math.max(low, centreMHz - 4 * spacingMHz), Math.min(high, centreMHz + 4 * spacingMHz)] as const;
}

function held({ chosen }: IdentificationReport): string {
  return formatQuantity(-chosen.heldOutNmseDb, 'dB', 1);
}

function channelColumns({ aclr, channels }: IdentificationReport): ChartColumn[] {
  if (channels === null) return [];
  const reading = (db: number | null, { colour }: { colour: string }) =>
    db === null ? [] : [{ text: formatFixed(db, 1), colour }];
  return apart(
    aclr.map((one: PredictedAclr) =>
      columnOf(one, channels.centreHz, channels.centreHz, [
        ...reading(one.observedDb, PAIR_STYLES.observed),
        ...reading(one.predictedDb, PAIR_STYLES.predicted),
      ]),
    ),
  );
}

function conditionOf({ sampleCount, sampleRateHz, alignment }: IdentificationReport): string {
  const delay = formatEngineering(alignment.delayS, 's', 4);
  return `${sampleCount} samples at ${formatEngineering(sampleRateHz, 'Hz', 5)}; delay of ${delay}, receiver’s leak and image taken out`;
}

const WIDTH = 960;
const FRAME = { width: 384, height: 250 };
const LEFT = [64, 544];
const TOP = [96, 422];
const HEIGHT = 764;

/** Two columns: as recorded and aligned; gain above phase. */
export function drawLoops(title: string, report: IdentificationReport, { loops }: IdentificationTraces): string {
  const panels = [
    panelOf('gain', 'As recorded', loops.asRecorded, null, report.loops.asRecorded),
    panelOf('gain', 'Aligned', loops.aligned, loops.predicted, report.loops.aligned),
    panelOf('phase', 'As recorded', loops.asRecorded, null, report.loops.asRecorded),
    panelOf('phase', 'Aligned', loops.aligned, loops.predicted, report.loops.aligned),
  ];
  const parts = [
    textTag({ x: 16, y: 26, 'font-size': 15, 'font-weight': 600, fill: PALETTE.ink }, title),
    legend(),
    ...panels.map((panel, i) =>
      drawPanel(panel, { left: LEFT[i & 1] as number, top: TOP[i >> 1] as number, ...FRAME }),
    ),
    ...conditionLines(report).map((text, i) =>
      textTag({ x: LEFT[0] as number, y: HEIGHT - 26 + 17 * i, 'font-size': 12, fill: PALETTE.muted }, text),
    ),
  ];
  const description =
    'Gain and phase of single samples over the drive level, before and after the delay was taken out; the model’s mean curve over the aligned ones.';
  return `${svgDocument({ title, description, width: WIDTH, height: HEIGHT }, parts)}\n`;
}

function legend(): string {
  const { observed, predicted } = PAIR_STYLES;
  const [x, y] = [LEFT[0] as number, 52];
  return [
    tag('rect', { x, y: y - 9, width: 20, height: 10, fill: observed.colour, 'fill-opacity': '0.4' }),
    textTag({ x: x + 28, y, fill: PALETTE.ink }, 'Observed samples'),
    tag('line', { x1: x + 160, x2: x + 180, y1: y - 4, y2: y - 4, stroke: predicted.colour, 'stroke-width': 1.5 }),
    textTag({ x: x + 188, y, fill: PALETTE.ink }, 'The model’s mean curve'),
  ].join('');
}

function conditionLines({ loops }: IdentificationReport): string[] {
  const { gainDb, phaseDeg } = loops.wholeSamples;
  const whole = `${formatQuantity(gainDb, 'dB', 3)} and ${formatQuantity(phaseDeg, '°', 2)}`;
  return [
    `Each picture has its own scale. σ: one standard deviation round the mean curve; moved by whole samples only it would be ${whole}.`,
  ];
}

function panelOf(
  kind: 'gain' | 'phase',
  heading: string,
  seen: AmAmAmPmTrace,
  model: AmAmAmPmTrace | null,
  width: LoopWidthReading,
): Panel {
  const isGain = kind === 'gain';
  const density = seen[kind];
  const curves: PanelCurve[] =
    model === null
      ? []
      : [
          {
            style: { ...PAIR_STYLES.predicted, dash: [] },
            x: model.driveDb,
            y: isGain ? model.gainDb : model.phaseDeg,
          },
        ];
  const spread = isGain ? formatQuantity(width.gainDb, 'dB', 3) : formatQuantity(width.phaseDeg, '°', 2);
  return {
    heading: `${heading}: σ ${spread}`,
    x: { label: 'drive, dB re its largest', ...rangeOf(density.xMinimum, density.xMaximum) },
    y: {
      label: isGain ? 'gain, dB re the linear fit' : 'phase, ° re the linear fit',
      ...rangeOf(density.yMinimum, density.yMaximum),
    },
    clouds: [{ density, colour: PAIR_STYLES.observed.colour }],
    curves,
  };
}

function rangeOf(minimum: number, maximum: number) {
  return { minimum, maximum, format: axisNumber };
}
