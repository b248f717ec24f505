// A two-dimensional histogram as a picture: the count's logarithm becomes opacity, so that single samples stay visible
// beside crowded ones.
import type { Density } from '../../../shared/schema/report.ts';

const LEAST_OPACITY = 40;
const MOST_OPACITY = 235;

/** Paints a histogram, row 0 at the bottom, one pixel a cell. Shape of the result: 4 · columnCount · rowCount bytes. */
export function densityPixels(
  density: Density,
  color: readonly [number, number, number],
): Uint8ClampedArray<ArrayBuffer> {
  const { counts, columnCount, rowCount } = density;
  const pixels = new Uint8ClampedArray(4 * columnCount * rowCount);
  let most = 1;
  for (const count of counts) if (count > most) most = count;
  const scale = (MOST_OPACITY - LEAST_OPACITY) / Math.log(1 + most);
  for (let row = 0; row < rowCount; row++) {
    for (let column = 0; column < columnCount; column++) {
      const count = counts[row * columnCount + column] ?? 0;
      if (count === 0) continue;
      const at = 4 * ((rowCount - 1 - row) * columnCount + column);
      pixels[at] = color[0];
      pixels[at + 1] = color[1];
      pixels[at + 2] = color[2];
      pixels[at + 3] = LEAST_OPACITY + scale * Math.log(1 + count);
    }
  }
  return pixels;
}

/** The picture on a canvas of its own, ready to be drawn at any size. */
export function densityPicture(density: Density, color: readonly [number, number, number]): OffscreenCanvas {
  const canvas = new OffscreenCanvas(density.columnCount, density.rowCount);
  const image = new ImageData(densityPixels(density, color), density.columnCount, density.rowCount);
  canvas.getContext('2d')?.putImageData(image, 0, 0);
  return canvas;
}
