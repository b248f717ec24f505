// The order map: nonlinear order against memory depth, a cell for each structure with its ACLR and its cost, tinted by the
// margin; the cheapest that keeps the wanted margin is ringed, the Pareto front is marked with a dot.

import { cellMark, isSameCell, type MapStructure, STRUCTURE_NAMES, structuresOf } from '../format/mapCells.ts';
import { formatFixed, formatQuantity } from '../format/numbers.ts';
import type { MapCell, MapResult, StudyReport } from '../schema/studyReport.ts';
import { conditionLines } from './conditionLines.ts';
import { PALETTE } from './palette.ts';
import { svgDocument } from './stackedCharts.ts';
import { tag, textTag } from './svgText.ts';

const WIDTH = 960;
const CELL = { width: 76, height: 46 };
const LEFT = 64;
const TOP = 84;
const GRID_GAP = 72;
const LINE = 17;

/** Both grids beside each other when they fit, otherwise below each other. */
export function drawOrderMap(report: StudyReport, result: MapResult): string {
  const grids = structuresOf(result.cells).map((structure) => layGrid(result, structure));
  const isWide = grids.reduce((sum, grid) => sum + grid.width + GRID_GAP, LEFT) <= WIDTH;
  let [x, y, bottom] = [LEFT, TOP, TOP];
  const parts: string[] = [];
  for (const grid of grids) {
    parts.push(grid.draw(x, y));
    bottom = Math.max(bottom, y + grid.height);
    if (isWide) x += grid.width + GRID_GAP;
    else y = bottom + 72;
  }
  const notes = [...keyLines(result), ...conditionLines(report.conditions)];
  const height = bottom + 64 + LINE * notes.length;
  const foot = notes.map((text, i) =>
    textTag({ x: LEFT, y: bottom + 62 + LINE * i, 'font-size': 12, fill: PALETTE.muted }, text),
  );
  const title = textTag({ x: LEFT, y: 26, 'font-size': 15, 'font-weight': 600, fill: PALETTE.ink }, report.study.title);
  const description = `ACLR of each structure by highest order and memory depth. ${report.answer}`;
  return `${svgDocument({ title: report.study.title, description, width: WIDTH, height }, [title, ...parts, ...foot])}\n`;
}

function keyLines({ wantedMarginDb, cells }: MapResult): string[] {
  const aclr = 'Large: ACLR of the worse side, dB. Small: coefficients, real multiplications a sample.';
  if (cells.every(({ worstMarginDb }) => worstMarginDb === null)) return [aclr, '• on the Pareto front'];
  const aim = wantedMarginDb > 0 ? `keeps ${formatQuantity(wantedMarginDb, 'dB')} of margin` : 'within all limits';
  return [aclr, `✓ ${aim}, ✕ not; ringed: the cheapest that does; • on the Pareto front; italic: correction not used.`];
}

interface Grid {
  readonly width: number;
  readonly height: number;
  readonly draw: (x: number, y: number) => string;
}

function layGrid(result: MapResult, structure: MapStructure): Grid {
  const cells = result.cells.filter((cell) => cell.structure === structure);
  const orders = [...new Set(cells.map(({ highestOrder }) => highestOrder))].sort((a, b) => b - a);
  const depths = [...new Set(cells.map(({ memoryDepth }) => memoryDepth))].sort((a, b) => a - b);
  const [width, height] = [depths.length * CELL.width, orders.length * CELL.height];
  const draw = (x: number, y: number) => {
    const placed = cells.map((cell) => ({
      cell,
      x: x + depths.indexOf(cell.memoryDepth) * CELL.width,
      y: y + orders.indexOf(cell.highestOrder) * CELL.height,
    }));
    const muted = { fill: PALETTE.muted };
    return [
      textTag({ x, y: y - 14, 'font-weight': 600, fill: PALETTE.ink }, upperFirst(STRUCTURE_NAMES[structure])),
      ...orders.map((order, i) =>
        textTag({ ...muted, x: x - 10, y: y + (i + 0.5) * CELL.height + 4, 'text-anchor': 'end' }, String(order)),
      ),
      textTag({ ...muted, x: x - 10, y: y - 14, 'text-anchor': 'end' }, 'order'),
      ...depths.map((depth, i) =>
        textTag(
          { ...muted, x: x + (i + 0.5) * CELL.width, y: y + height + 18, 'text-anchor': 'middle' },
          String(depth),
        ),
      ),
      textTag({ ...muted, x: x + width / 2, y: y + height + 36, 'text-anchor': 'middle' }, 'memory depth, taps'),
      ...placed.map((place) => drawCell(place.cell, result, place.x, place.y)),
      ...placed.filter(({ cell }) => isSameCell(cell, result.ringed)).map((place) => drawRing(place.x, place.y)),
    ].join('');
  };
  return { width, height, draw };
}

function upperFirst(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

function drawCell(cell: MapCell, result: MapResult, x: number, y: number): string {
  const { cost, worstAclrDb, correctionUsed, onFront } = cell;
  const box = { x: x + 1.5, y: y + 1.5, width: CELL.width - 3, height: CELL.height - 3, fill: tintOf(cell, result) };
  const middle = { x: x + CELL.width / 2, 'text-anchor': 'middle' };
  const mark = cellMark(cell, { ...result, ringed: null });
  const text = worstAclrDb === null ? '–' : `${mark}${formatFixed(worstAclrDb, 1)}`;
  const style = { 'font-size': 15, 'font-style': correctionUsed ? undefined : 'italic', fill: PALETTE.ink };
  return [
    tag('rect', box),
    textTag({ ...middle, ...style, y: y + 21 }, text),
    textTag(
      { ...middle, y: y + 37, 'font-size': 11, fill: PALETTE.muted },
      `${cost.coefficientCount}, ${cost.realMultipliesPerSample}`,
    ),
    ...(onFront
      ? [tag('circle', { cx: x + CELL.width - 9, cy: y + CELL.height - 13, r: 2.5, fill: PALETTE.ink })]
      : []),
  ].join('');
}

function drawRing(x: number, y: number): string {
  const box = { x: x + 1, y: y + 1, width: CELL.width - 2, height: CELL.height - 2, rx: 3 };
  return tag('rect', { ...box, fill: 'none', stroke: PALETTE.ink, 'stroke-width': 2.5 });
}

/** Margins at which the tint is full. */
const FULL_DB = 6;

/** Deeper green with more margin, deeper red with less; neutral where there is nothing to judge by. */
function tintOf({ worstMarginDb }: MapCell, { wantedMarginDb }: MapResult): string {
  if (worstMarginDb === null) return PALETTE.column;
  const spareDb = worstMarginDb - wantedMarginDb;
  const share = 0.25 + 0.75 * Math.min(1, Math.abs(spareDb) / FULL_DB);
  return spareDb >= 0 ? blend(PALETTE.chosen, '#B5DBD3', share) : blend(PALETTE.missed, '#F0BFA8', share);
}

/** Between two colours written #RRGGBB. */
function blend(from: string, to: string, share: number): string {
  const channel = (i: number) => {
    const [a, b] = [from, to].map((colour) => Number.parseInt(colour.slice(1 + 2 * i, 3 + 2 * i), 16)) as [
      number,
      number,
    ];
    return Math.round(a + share * (b - a))
      .toString(16)
      .padStart(2, '0');
  };
  return `#${[0, 1, 2].map(channel).join('')}`;
}
