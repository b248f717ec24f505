// What is drawn behind and over the curves of a study's picture: regions, limits with their hatch, marks with their
// labels, a gap's arrow, the cursor. Canvas pixels throughout.
import type uPlot from 'uplot';
import { canvasFont } from './axes.ts';
import type { LineArrow, LineCurve, LineLimit, LineMark, LineRegion } from './lineModel.ts';
import { chartFont, colorOf, fadedColorOf, remPixels } from './theme.ts';

const PIXELS = () => devicePixelRatio;

function smallFont(weight = 400): string {
  return canvasFont(chartFont(0.8125, weight));
}

export function drawRegions(plot: uPlot, regions: readonly LineRegion[]): void {
  const { ctx, bbox } = plot;
  for (const { fromX, toX, variable, label } of regions) {
    const left = Math.max(bbox.left, plot.valToPos(fromX, 'x', true));
    const right = Math.min(bbox.left + bbox.width, plot.valToPos(toX, 'x', true));
    if (right <= left) continue;
    ctx.save();
    ctx.fillStyle = fadedColorOf(variable, 0.08);
    ctx.fillRect(left, bbox.top, right - left, bbox.height);
    ctx.font = smallFont(600);
    const gap = 6 * PIXELS();
    if (label !== '' && ctx.measureText(label).width + 2 * gap < right - left) {
      ctx.fillStyle = colorOf(variable);
      ctx.textAlign = 'right';
      ctx.textBaseline = 'top';
      ctx.fillText(label, right - gap, bbox.top + gap);
    }
    ctx.restore();
  }
}

/** A limit in ink; short strokes mark the forbidden side. Returns where the names stand, for others to keep clear of. */
export function drawLimits(plot: uPlot, limits: readonly LineLimit[]): Box[] {
  const names: Box[] = [];
  const { ctx, bbox } = plot;
  const stroke = 6 * PIXELS();
  for (const { level, forbidden, name, nameAt, showsName } of limits) {
    const y = Math.round(plot.valToPos(level, 'y', true)) + 0.5;
    if (y < bbox.top || y > bbox.top + bbox.height) continue;
    const side = forbidden === 'above' ? -1 : 1;
    ctx.save();
    ctx.lineWidth = PIXELS();
    ctx.strokeStyle = fadedColorOf('--ink', 0.5);
    ctx.beginPath();
    for (let x = bbox.left; x + stroke <= bbox.left + bbox.width; x += 1.5 * stroke) {
      ctx.moveTo(x, y);
      ctx.lineTo(x + stroke, y + side * stroke);
    }
    ctx.stroke();
    ctx.strokeStyle = colorOf('--ink');
    ctx.beginPath();
    ctx.moveTo(bbox.left, y);
    ctx.lineTo(bbox.left + bbox.width, y);
    ctx.stroke();
    if (showsName === false) {
      ctx.restore();
      continue;
    }
    // Curves crowd under a lower bound at the right and over an upper bound at the left.
    const isLower = side > 0;
    const isLeft = (nameAt ?? (isLower ? 'left' : 'right')) === 'left';
    const x = isLeft ? bbox.left + 22 * PIXELS() : bbox.left + bbox.width - 6 * PIXELS();
    const at = y - side * 6 * PIXELS();
    drawHaloText(ctx, name, x, at, '--ink', {
      align: isLeft ? 'left' : 'right',
      baseline: isLower ? 'bottom' : 'top',
    });
    const width = ctx.measureText(name).width;
    const height = lineHeight();
    const left = isLeft ? x : x - width;
    names.push({ left, right: left + width, top: isLower ? at - height : at, bottom: isLower ? at : at + height });
    ctx.restore();
  }
  return names;
}

function lineHeight(): number {
  return remPixels(0.9375) * PIXELS();
}

export function drawPoints(plot: uPlot, curves: readonly LineCurve[]): void {
  const { ctx } = plot;
  for (const { variable, x, y, hasPoints } of curves) {
    if (!hasPoints) continue;
    ctx.fillStyle = colorOf(variable);
    for (let i = 0; i < x.length; i++) {
      ctx.beginPath();
      ctx.arc(
        plot.valToPos(x[i] ?? 0, 'x', true),
        plot.valToPos(y[i] ?? 0, 'y', true),
        2.25 * PIXELS(),
        0,
        2 * Math.PI,
      );
      ctx.fill();
    }
  }
}

interface TextPlace {
  readonly align: CanvasTextAlign;
  readonly baseline: CanvasTextBaseline;
  readonly weight?: number;
  readonly font?: string;
}

/** Text that stays readable where a line passes behind it. */
function drawHaloText(
  ctx: CanvasRenderingContext2D,
  text: string,
  x: number,
  y: number,
  variable: string,
  { align, baseline, weight = 400, font = smallFont(weight) }: TextPlace,
): void {
  ctx.font = font;
  ctx.textAlign = align;
  ctx.textBaseline = baseline;
  ctx.lineJoin = 'round';
  ctx.lineWidth = 4 * PIXELS();
  ctx.strokeStyle = colorOf('--paper');
  ctx.strokeText(text, x, y);
  ctx.fillStyle = colorOf(variable);
  ctx.fillText(text, x, y);
}

interface Box {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

function overlaps(a: Box, b: Box): boolean {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}

/** Below this width, in rem, minor marks go without labels. */
const NARROW_WIDTH = 30;

/** Marks, then their labels: each takes the first of four corners where it meets neither the frame nor another. */
export function drawMarks(plot: uPlot, marks: readonly LineMark[], taken: readonly Box[] = []): void {
  const { ctx, bbox } = plot;
  ctx.save();
  const places = marks.map((mark) => ({
    mark,
    x: plot.valToPos(mark.x, 'x', true),
    y: plot.valToPos(mark.y, 'y', true),
  }));
  const frame: Box = {
    left: bbox.left,
    top: bbox.top,
    right: bbox.left + bbox.width,
    bottom: bbox.top + bbox.height,
  };
  const shown = places.filter(({ x, y }) => x >= frame.left && x <= frame.right && y >= frame.top && y <= frame.bottom);
  const isNarrow = bbox.width < remPixels(NARROW_WIDTH) * PIXELS();
  for (const { mark, x, y } of shown) drawShape(ctx, mark, x, y);
  const boxes: Box[] = [
    ...taken,
    ...shown.map(({ x, y }) => {
      const half = 6 * PIXELS();
      return { left: x - half, right: x + half, top: y - half, bottom: y + half };
    }),
  ];
  for (const { mark, x, y } of shown) {
    if (mark.label === '' || (isNarrow && mark.isMinor)) continue;
    const box = labelBox(ctx, mark, x, y, frame, boxes);
    if (box === null) continue;
    boxes.push(box);
    drawHaloText(ctx, mark.label, box.left, box.top, mark.variable, { align: 'left', baseline: 'top', weight: 600 });
  }
  ctx.restore();
}

function labelBox(
  ctx: CanvasRenderingContext2D,
  { label, corner }: LineMark,
  x: number,
  y: number,
  frame: Box,
  taken: readonly Box[],
): Box | null {
  ctx.font = smallFont(600);
  const width = ctx.measureText(label).width;
  const height = lineHeight();
  const across = 9 * PIXELS();
  const up = 8 * PIXELS();
  const first: Readonly<Record<'belowLeft' | 'aboveLeft', readonly [number, number]>> = {
    belowLeft: [x - across - width, y + up / 2],
    aboveLeft: [x - across - width, y - up / 2 - height],
  };
  const corners: readonly (readonly [number, number])[] = [
    ...(corner === undefined ? [] : [first[corner]]),
    [x + across, y - up - height],
    [x - across - width, y - up - height],
    [x + across, y + up],
    [x - across - width, y + up],
    [x + across, y - up - 2 * height],
    [x - across - width, y - up - 2 * height],
    [x + across, y + up + height],
    [x - across - width, y + up + height],
    [x + across, y + up + 2 * height],
    [x - across - width, y + up + 2 * height],
  ];
  const boxes = corners.map(([left, top]) => ({ left, top, right: left + width, bottom: top + height }));
  const isInside = (box: Box) =>
    box.left >= frame.left && box.right <= frame.right && box.top >= frame.top && box.bottom <= frame.bottom;
  return boxes.find((box) => isInside(box) && !taken.some((other) => overlaps(box, other))) ?? null;
}

function drawShape(ctx: CanvasRenderingContext2D, { shape, variable }: LineMark, x: number, y: number): void {
  const pixel = PIXELS();
  ctx.beginPath();
  if (shape === 'square') ctx.rect(x - 3.5 * pixel, y - 3.5 * pixel, 7 * pixel, 7 * pixel);
  else ctx.arc(x, y, { ring: 5, dot: 3, best: 7.5 }[shape] * pixel, 0, 2 * Math.PI);
  const isHollow = shape === 'ring' || shape === 'best';
  ctx.fillStyle = isHollow ? colorOf('--paper') : colorOf(variable);
  if (shape !== 'best') ctx.fill();
  if (!isHollow) return;
  ctx.lineWidth = 2 * pixel;
  ctx.strokeStyle = colorOf(variable);
  ctx.stroke();
}

/** Returns where the labels stand, for others to keep clear of. */
export function drawArrows(plot: uPlot, arrows: readonly LineArrow[]): Box[] {
  const { ctx, bbox } = plot;
  const size = bbox.width < remPixels(NARROW_WIDTH) * PIXELS() ? 0.875 : 1.1875;
  const labels: Box[] = [];
  const pixel = PIXELS();
  for (const { fromX, toX, y: level, label } of arrows) {
    const [from, to] = [plot.valToPos(fromX, 'x', true), plot.valToPos(toX, 'x', true)];
    const y = plot.valToPos(level, 'y', true);
    const side = Math.sign(to - from);
    if (side === 0) continue;
    ctx.save();
    ctx.strokeStyle = colorOf('--ink');
    ctx.lineWidth = 3 * pixel;
    const tip = to - side * 6 * pixel;
    ctx.beginPath();
    ctx.moveTo(from, y);
    ctx.lineTo(tip, y);
    ctx.moveTo(tip - side * 11 * pixel, y - 6 * pixel);
    ctx.lineTo(tip, y);
    ctx.lineTo(tip - side * 11 * pixel, y + 6 * pixel);
    ctx.stroke();
    const place = { align: 'center', baseline: 'bottom', font: canvasFont(chartFont(size, 650)) } as const;
    const middle = (from + to) / 2;
    drawHaloText(ctx, label, middle, y - 8 * pixel, '--ink', place);
    const half = ctx.measureText(label).width / 2;
    const top = y - 8 * pixel - remPixels(size) * pixel;
    labels.push({ left: middle - half, right: middle + half, top, bottom: y + 6 * pixel });
    ctx.restore();
  }
  return labels;
}

/** The vertical line of the cursor. */
export function drawCursor(plot: uPlot, x: number | null): void {
  if (x === null) return;
  const { ctx, bbox } = plot;
  const at = Math.round(plot.valToPos(x, 'x', true)) + 0.5;
  if (at < bbox.left || at > bbox.left + bbox.width) return;
  ctx.save();
  ctx.strokeStyle = colorOf('--muted');
  ctx.lineWidth = PIXELS();
  ctx.beginPath();
  ctx.moveTo(at, bbox.top);
  ctx.lineTo(at, bbox.top + bbox.height);
  ctx.stroke();
  ctx.restore();
}
