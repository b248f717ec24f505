// What is drawn behind and over the traces of the emission plot: channel columns, limit lines with their hatch, names at
// the lines' ends. Canvas pixels throughout.
import type uPlot from 'uplot';
import { canvasFont } from './axes.ts';
import { drawEndLabels } from './endLabels.ts';
import type { ChannelColumn, NamedSpectrum, SpectrumModel } from './spectrumModel.ts';
import { chartFont, colorOf, fadedColorOf, remPixels } from './theme.ts';

interface Extent {
  readonly left: number;
  readonly right: number;
}

/** The part of a frequency range that is in the picture, or null. */
function visibleExtent(plot: uPlot, fromHz: number, toHz: number): Extent | null {
  const { left, width } = plot.bbox;
  const from = Math.max(left, plot.valToPos(fromHz, 'x', true));
  const to = Math.min(left + width, plot.valToPos(toHz, 'x', true));
  return to - from > 1 ? { left: from, right: to } : null;
}

/** Faint columns behind everything. */
export function drawColumns(plot: uPlot, columns: readonly ChannelColumn[]): void {
  const { ctx, bbox } = plot;
  ctx.save();
  ctx.fillStyle = colorOf('--column');
  for (const { fromHz, toHz } of columns) {
    const extent = visibleExtent(plot, fromHz, toHz);
    if (extent !== null) ctx.fillRect(extent.left, bbox.top, extent.right - extent.left, bbox.height);
  }
  ctx.restore();
}

/** Sizes of the readings, in rem: narrow columns take a smaller one. */
const FIGURE_SIZES = [0.9375, 0.8125, 0.6875];

/** The largest font in which a reading fits; null when none does. */
function figureFont(ctx: CanvasRenderingContext2D, width: number): string | null {
  for (const size of FIGURE_SIZES) {
    const font = chartFont(size, 600);
    ctx.font = canvasFont(font);
    if (ctx.measureText('88.8').width <= width) return font;
  }
  return null;
}

/** Title and readings inside each column, at its upper end, where the traces are low. */
export function drawColumnReadings(plot: uPlot, columns: readonly ChannelColumn[]): void {
  const { ctx, bbox } = plot;
  const line = remPixels(1.1875) * devicePixelRatio;
  ctx.save();
  ctx.textAlign = 'center';
  ctx.textBaseline = 'top';
  for (const { fromHz, toHz, title, readings } of columns) {
    const extent = visibleExtent(plot, fromHz, toHz);
    const width = extent === null ? 0 : extent.right - extent.left;
    if (extent === null || width < remPixels(2) * devicePixelRatio) continue;
    const middle = (extent.left + extent.right) / 2;
    let y = bbox.top + 6 * devicePixelRatio;
    ctx.font = canvasFont(chartFont());
    ctx.fillStyle = colorOf('--muted');
    const room = width - 4 * devicePixelRatio;
    const figures = figureFont(ctx, room);
    const hasUnit = figures !== null && ctx.measureText('88.8 dB').width <= room;
    // Where the unit does not fit beside the readings, it heads them.
    const unit = figures === null || hasUnit ? '' : ', dB';
    ctx.font = canvasFont(chartFont());
    const fits = (text: string) => ctx.measureText(text).width < width;
    const short = title.slice(0, 3);
    const heading = [`${title}${unit}`, `${short}${unit}`].find(fits);
    ctx.fillText(heading ?? short, middle, y);
    if (heading === undefined && unit !== '') {
      y += line;
      ctx.fillText('dB', middle, y);
    }
    if (figures === null) continue;
    for (const { variable, text, isFigure } of readings) {
      y += line;
      ctx.font = canvasFont(isFigure ? figures : chartFont(0.8125));
      if (!isFigure && ctx.measureText(text).width > room) continue;
      ctx.fillStyle = colorOf(variable);
      ctx.fillText(hasUnit ? `${text} dB` : text, middle, y);
    }
  }
  ctx.restore();
}

/** Limit lines in ink; short strokes above them mark the forbidden side. */
export function drawLimitLines(plot: uPlot, lines: SpectrumModel['limitLines']): void {
  const { ctx, bbox } = plot;
  const stroke = 6 * devicePixelRatio;
  ctx.save();
  ctx.beginPath();
  ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
  ctx.clip();
  ctx.lineWidth = devicePixelRatio;
  for (const { fromHz, toHz, level, toLevel } of lines) {
    const extent = visibleExtent(plot, fromHz, toHz);
    if (extent === null) continue;
    const heightAt = (x: number) => {
      const share = (plot.posToVal(x, 'x', true) - fromHz) / (toHz - fromHz || 1);
      return Math.round(plot.valToPos(level + Math.min(1, Math.max(0, share)) * (toLevel - level), 'y', true)) + 0.5;
    };
    ctx.strokeStyle = fadedColorOf('--ink', 0.55);
    ctx.beginPath();
    for (let x = extent.left; x + stroke <= extent.right; x += stroke) {
      ctx.moveTo(x, heightAt(x));
      ctx.lineTo(x + stroke, heightAt(x) - stroke);
    }
    ctx.stroke();
    ctx.strokeStyle = colorOf('--ink');
    ctx.beginPath();
    ctx.moveTo(extent.left, heightAt(extent.left));
    ctx.lineTo(extent.right, heightAt(extent.right));
    ctx.stroke();
  }
  ctx.restore();
}

/** Rings where the room under a mask is least, each with its margin; the name keeps to the picture. */
export function drawWorstPoints(plot: uPlot, points: SpectrumModel['worstPoints']): void {
  const { ctx, bbox } = plot;
  const radius = 4 * devicePixelRatio;
  ctx.save();
  ctx.textBaseline = 'middle';
  ctx.font = canvasFont(chartFont(0.8125, 600));
  ctx.lineWidth = 1.5 * devicePixelRatio;
  const taken: number[] = [];
  for (const { atHz, level, variable, text } of points) {
    const [x, y] = [plot.valToPos(atHz, 'x', true), plot.valToPos(level, 'y', true)];
    if (x < bbox.left || x > bbox.left + bbox.width || y < bbox.top || y > bbox.top + bbox.height) continue;
    ctx.strokeStyle = colorOf(variable);
    ctx.beginPath();
    ctx.arc(x, y, radius, 0, 2 * Math.PI);
    ctx.stroke();
    // Outwards, away from the carriers, as long as the words stay inside.
    const isOutwards = Math.abs(x - bbox.left - bbox.width / 2) < 0.35 * bbox.width;
    const isRight = x > bbox.left + bbox.width / 2 === isOutwards;
    const line = remPixels(1) * devicePixelRatio;
    let height = y - line;
    while (taken.some((other) => Math.abs(other - height) < line)) height += line;
    taken.push(height);
    ctx.textAlign = isRight ? 'left' : 'right';
    const place = x + (isRight ? 1 : -1) * 1.5 * radius;
    ctx.strokeStyle = colorOf('--paper');
    ctx.lineWidth = 4 * devicePixelRatio;
    ctx.lineJoin = 'round';
    ctx.strokeText(text, place, height);
    ctx.lineWidth = 1.5 * devicePixelRatio;
    ctx.fillStyle = colorOf(variable);
    ctx.fillText(text, place, height);
  }
  ctx.restore();
}

/** Bins at the right edge over which a line's end is placed. */
const END_BINS = 40;

/** Names of the visible traces at their right ends. */
export function drawTraceNames(plot: uPlot, traces: readonly NamedSpectrum[]): void {
  const last = plot.valToIdx(plot.scales['x']?.max ?? 0);
  const labels = traces.map(({ style, level }) => {
    const end = level.subarray(Math.max(0, last - END_BINS), last + 1);
    const mean = end.reduce((sum, value) => sum + value, 0) / Math.max(1, end.length);
    return { text: style.name, variable: style.variable, y: plot.valToPos(mean, 'y', true) };
  });
  drawEndLabels(plot, labels);
}
