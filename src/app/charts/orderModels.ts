// Beside the order map: margin against cost with the front, and the corrected spectra of rising orders.

import { isSameCell } from '../../../shared/format/mapCells.ts';
import { formatFixed } from '../../../shared/format/numbers.ts';
import { structureName } from '../../../shared/format/structureName.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { MapCell, MapResult } from '../../../shared/schema/studyReport.ts';
import { BARE_MODEL, type LineCurve, type LineMark, type LineModel, roundedRange } from './lineModel.ts';
import { orderStyle } from './traceStyles.ts';

const WHOLE = (value: number) => formatFixed(value, Number.isInteger(value) ? 0 : 1);

export const STRUCTURE_MARKS = {
  memoryPolynomial: { variable: '--trace-corrected', shape: 'dot' },
  generalizedMemoryPolynomial: { variable: '--trace-drive', shape: 'square' },
} as const;

/** Smallest margin over all limits, or ACLR where there is none; null while unread. */
export function meritOf(cell: MapCell, hasLimits: boolean): number | null {
  return hasLimits ? cell.worstMarginDb : cell.worstAclrDb;
}

export function frontModel(result: MapResult, hasLimits: boolean): LineModel {
  const read = result.cells.flatMap((cell) => {
    const merit = meritOf(cell, hasLimits);
    return merit === null ? [] : [{ cell, merit, cost: cell.cost.realMultipliesPerSample }];
  });
  const front = read.filter(({ cell }) => cell.onFront).sort((a, b) => a.cost - b.cost || a.merit - b.merit);
  const curve: LineCurve = {
    name: 'Front',
    variable: '--muted',
    dash: [],
    x: front.map(({ cost }) => cost),
    y: front.map(({ merit }) => merit),
  };
  const marks: LineMark[] = read.map(({ cell, merit, cost }) => ({
    x: cost,
    y: merit,
    ...STRUCTURE_MARKS[cell.structure],
    label: '',
  }));
  const ringed = read.find(({ cell }) => isSameCell(cell, result.ringed));
  if (ringed !== undefined) {
    const { highestOrder, memoryDepth } = ringed.cell;
    const label = structureName(highestOrder, memoryDepth);
    marks.push({ x: ringed.cost, y: ringed.merit, variable: '--ink', shape: 'best', label });
  }
  const merits = read.map(({ merit }) => merit);
  const { wantedMarginDb } = result;
  return {
    ...BARE_MODEL,
    x: {
      label: 'real multiplications a sample',
      format: WHOLE,
      ...roundedRange([0, ...read.map(({ cost }) => cost + 2), 10], 10),
    },
    y: {
      label: hasLimits ? 'smallest margin over all limits, dB' : 'ACLR, worse side, dB',
      format: WHOLE,
      ...roundedRange([...merits.flatMap((merit) => [merit - 1, merit + 1]), wantedMarginDb], 5),
    },
    curves: [curve],
    limits: hasLimits
      ? [
          {
            path: 'question.wantedMarginDb',
            name: 'margin wanted',
            level: wantedMarginDb,
            unit: 'dB',
            forbidden: 'below',
            nameAt: 'right',
            range: { minimum: 0, maximum: 20, step: 0.1 },
          },
        ]
      : [],
    marks,
    hasNames: false,
    description: 'Margin of every structure against its cost; the same figures follow as a table',
  };
}

/** Half of the span shown, in channels beside the outer carriers. */
const CHANNELS_SHOWN = 2.5;
const SHOWN_RANGE_DB = 90;

export function offsetRange(
  { waveform }: Scenario,
  frequencyHz: readonly number[],
): { minimum: number; maximum: number } {
  const reaches = waveform.carriers.map((carrier) => {
    const width =
      carrier.kind === 'noise' && carrier.channelBandwidthHz === 'auto'
        ? carrier.occupiedBandwidthHz
        : Number(carrier.channelBandwidthHz);
    return [carrier.offsetHz - CHANNELS_SHOWN * width, carrier.offsetHz + CHANNELS_SHOWN * width] as const;
  });
  const least = Math.max(frequencyHz[0] ?? -1, Math.min(...reaches.map(([from]) => from)));
  const most = Math.min(frequencyHz.at(-1) ?? 1, Math.max(...reaches.map(([, to]) => to)));
  return { minimum: least / 1e6, maximum: most / 1e6 };
}

export function overlayModel(result: MapResult, scenario: Scenario): LineModel | null {
  const [first] = result.overlay;
  if (first === undefined) return null;
  const curves = result.overlay.map(({ highestOrder, spectrum }): LineCurve => {
    const index = [1, 3, 5, 7, 9].indexOf(highestOrder);
    return {
      ...orderStyle(highestOrder, Math.max(0, index)),
      name: `Order ${highestOrder}`,
      x: spectrum.frequencyHz.map((hz) => hz / 1e6),
      y: spectrum.level,
    };
  });
  const x = offsetRange(scenario, first.spectrum.frequencyHz);
  const highest = Math.max(...curves.flatMap(({ y }) => Array.from(y)));
  const y = roundedRange([highest + 4, highest + 4 - SHOWN_RANGE_DB], 10);
  const unit = scenario.amplifier.saturatedPowerDbm === null ? 'dB re saturation' : 'dBm';
  return {
    ...BARE_MODEL,
    x: { label: 'offset from the carrier frequency, MHz', format: WHOLE, ...x },
    y: { label: `${unit} in the resolution bandwidth`, format: WHOLE, ...y },
    curves,
    description: 'Corrected spectra of rising nonlinear orders at equal output power; their ACLR is in the table',
  };
}
