// The pictures of an identification as plain data: what was observed, predicted and left over across frequency; gain and
// phase of single samples before and after alignment; error of every structure tried. Every figure is the report's.
import { PAIR_STYLES as PRINTED_STYLES } from '../../../shared/figures/palette.ts';
import { formatEngineering, formatFixed, formatQuantity } from '../../../shared/format/numbers.ts';
import type {
  IdentificationReport,
  IdentificationTraces,
  IdentifiedStructure,
} from '../../../shared/schema/identificationReport.ts';
import type { AmAmAmPmTrace, Density } from '../../../shared/schema/report.ts';
import type { XyCurve } from './curves.ts';
import { BARE_MODEL, type LineModel, type LineRegion, roundedRange } from './lineModel.ts';
import type { TraceStyle } from './traceStyles.ts';
import type { XyDots, XyLayer, XyModel } from './xyPlot.ts';

function onPage(name: PairTrace, variable: string): TraceStyle {
  return { name: PRINTED_STYLES[name].name, dash: PRINTED_STYLES[name].dash, variable };
}

export type PairTrace = keyof typeof PRINTED_STYLES;

/** Of their own: the bench's traces keep their colours for themselves. */
export const PAIR_STYLES = {
  observed: onPage('observed', '--ink'),
  predicted: onPage('predicted', '--action'),
  residual: onPage('residual', '--trace-seventh'),
} as const;

export const PAIR_TRACES: readonly PairTrace[] = ['observed', 'predicted', 'residual'];

const WHOLE = (value: number) => formatFixed(value, 0);
const TENTH = (value: number) => formatFixed(value, Number.isInteger(value) ? 0 : 1);

/** Spectra of observation, prediction and residual on one axis. */
export function residualModel(
  { spectra, resolutionBandwidthHz }: IdentificationTraces,
  report: Pick<IdentificationReport, 'aclr' | 'channels'>,
): LineModel {
  const offsetsMHz = Array.from(spectra.observed.frequencyHz, (hz) => hz / 1e6);
  const curves = PAIR_TRACES.map((name) => ({ ...PAIR_STYLES[name], x: offsetsMHz, y: spectra[name].level }));
  const [first = 0, last = 1] = [offsetsMHz[0], offsetsMHz.at(-1)];
  const levels = curves.flatMap(({ y }) => Array.from(y));
  return {
    ...BARE_MODEL,
    x: { label: 'offset, MHz', format: WHOLE, minimum: first, maximum: last },
    y: {
      label: `dB re the output’s mean power, in ${formatEngineering(resolutionBandwidthHz, 'Hz')}`,
      format: WHOLE,
      ...roundedRange(levels, 10),
    },
    curves,
    regions: channelColumns(report),
    stops: offsetsMHz,
    description: 'Cursor on the spectra of observation, prediction and residual',
  };
}

/** Neighbouring channels as faint columns, with the observed ratio inside. */
function channelColumns({ aclr, channels }: Pick<IdentificationReport, 'aclr' | 'channels'>): LineRegion[] {
  if (channels === null) return [];
  return aclr.map(({ side, offsetHz, bandwidthHz, observedDb }) => {
    const centreHz = channels.centreHz + (side === 'lower' ? -offsetHz : offsetHz);
    return {
      fromX: (centreHz - bandwidthHz / 2) / 1e6,
      toX: (centreHz + bandwidthHz / 2) / 1e6,
      variable: '--muted',
      label: observedDb === null ? '' : formatQuantity(observedDb, 'dB'),
    };
  });
}

/** Above and below the mean curves, dB and degrees. */
const LEAST_ROOM = { gain: 0.5, phase: 2 } as const;

export type LoopKind = 'gain' | 'phase';

/** Gain or phase of single samples against drive: as recorded, or aligned with the model's over it. */
export function loopModel({ loops }: IdentificationTraces, kind: LoopKind, stage: 'asRecorded' | 'aligned'): XyModel {
  const seen = loops[stage];
  const layers: XyLayer[] = [{ variable: PAIR_STYLES.observed.variable, density: seen[kind] }];
  const curves: XyCurve[] = [];
  if (stage === 'aligned') {
    layers.push({ variable: PAIR_STYLES.predicted.variable, density: loops.predicted[kind] });
    curves.push(meanCurve(loops.predicted, kind));
  }
  const all = layers.map(({ density }) => density);
  const what = kind === 'gain' ? 'gain, dB' : 'phase, °';
  const when = stage === 'aligned' ? 'aligned' : 'as recorded';
  return {
    x: {
      label: 'drive, dB re its largest',
      format: WHOLE,
      minimum: Math.min(...all.map(({ xMinimum }) => xMinimum)),
      maximum: Math.max(...all.map(({ xMaximum }) => xMaximum)),
    },
    y: {
      label: `${what}, ${when}`,
      format: TENTH,
      ...(stage === 'aligned' ? roundCurves([seen, loops.predicted], kind) : wholeOf(all)),
    },
    layers,
    dots: [],
    curves,
    nameWidth: 0,
    description: `${kind === 'gain' ? 'Gain' : 'Phase'} of single samples against drive level, ${when}; the width of the loop follows as a figure`,
  };
}

function wholeOf(all: readonly Density[]) {
  return {
    minimum: Math.min(...all.map(({ yMinimum }) => yMinimum)),
    maximum: Math.max(...all.map(({ yMaximum }) => yMaximum)),
  };
}

/** The mean curves with room for the loops' width about them; single samples of small drive lie outside. */
function roundCurves(traces: readonly AmAmAmPmTrace[], kind: LoopKind) {
  const values = traces.flatMap(({ gainDb, phaseDeg }) => Array.from(kind === 'gain' ? gainDb : phaseDeg));
  const [least, most] = [Math.min(...values), Math.max(...values)];
  const room = Math.max((most - least) / 3, LEAST_ROOM[kind]);
  return roundedRange([least - room, most + room], LEAST_ROOM[kind]);
}

function meanCurve(trace: AmAmAmPmTrace, kind: LoopKind): XyCurve {
  const y = kind === 'gain' ? trace.gainDb : trace.phaseDeg;
  return { ...PAIR_STYLES.predicted, dash: [], x: trace.driveDb, y };
}

/** Structures this far above the best are outside of the picture. */
const SHOWN_ERROR_SPAN_DB = 6;

/** Error of every structure tried over its number of coefficients; the one taken is marked. */
export function structureModel({ structures, chosen }: IdentificationReport): XyModel {
  const errors = structures.flatMap(({ trainingNmseDb, heldOutNmseDb }) => [trainingNmseDb, heldOutNmseDb]);
  const best = Math.min(...errors);
  const worst = Math.min(Math.max(...errors), best + SHOWN_ERROR_SPAN_DB);
  const most = Math.max(...structures.map(({ coefficientCount }) => coefficientCount));
  return {
    x: { label: 'coefficients', format: WHOLE, minimum: 0, maximum: 5 * Math.ceil((most + 2) / 5) },
    y: { label: 'error, dB re the output', format: TENTH, ...roundedRange([best - 0.2, worst + 0.2], 1) },
    layers: [],
    dots: [
      dots(structures, '--muted', 'cross', ({ trainingNmseDb }) => trainingNmseDb),
      dots(structures, '--action', 'dot', ({ heldOutNmseDb }) => heldOutNmseDb),
    ],
    curves: [],
    nameWidth: 0,
    rule: chosen.heldOutNmseDb,
    marks: [{ variable: '--trace-seventh', x: chosen.coefficientCount, y: chosen.heldOutNmseDb }],
    description:
      'Error of every structure tried over its number of coefficients; the best of each kind follow as a table',
  };
}

function dots(
  structures: readonly IdentifiedStructure[],
  variable: string,
  shape: XyDots['shape'],
  errorOf: (structure: IdentifiedStructure) => number,
): XyDots {
  const x = Float64Array.from(structures, ({ coefficientCount }) => coefficientCount);
  return { variable, opacity: 0.7, size: 3, shape, x, y: Float64Array.from(structures, errorOf) };
}

/** How many structures lie above the picture. */
export function outsideCount({ structures }: Pick<IdentificationReport, 'structures'>): number {
  const best = Math.min(...structures.map(({ heldOutNmseDb }) => heldOutNmseDb));
  return structures.filter(({ heldOutNmseDb }) => heldOutNmseDb > best + SHOWN_ERROR_SPAN_DB + 1).length;
}
