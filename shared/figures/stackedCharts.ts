// Several charts over one axis, one under the other, as one picture.
import { CHART_WIDTH, drawLineChart, heightOfChart, type LineChart } from './lineChart.ts';
import { PALETTE, SANS } from './palette.ts';
import { escapeXml, tag } from './svgText.ts';

/** One SVG document holding the charts from top to bottom. */
export function drawStack(title: string, description: string, charts: readonly LineChart[]): string {
  let y = 0;
  const parts = charts.map((chart) => {
    const height = heightOfChart(chart);
    const part = tag('svg', { x: 0, y, width: CHART_WIDTH, height }, drawLineChart(chart).trim());
    y += height;
    return part;
  });
  return `${svgDocument({ title, description, width: CHART_WIDTH, height: y + BOTTOM }, parts)}\n`;
}

const BOTTOM = 8;

export interface DocumentFrame {
  readonly title: string;
  /** One sentence for those who cannot see the picture. */
  readonly description: string;
  readonly width: number;
  readonly height: number;
}

/** An SVG document of its own with the paper behind it. */
export function svgDocument(frame: DocumentFrame, parts: readonly string[]): string {
  const { width, height } = frame;
  const attributes = {
    xmlns: 'http://www.w3.org/2000/svg',
    viewBox: `0 0 ${width} ${height}`,
    width,
    height,
    role: 'img',
    'font-family': SANS,
    'font-size': 13,
    'font-variant-numeric': 'tabular-nums',
  };
  return tag(
    'svg',
    attributes,
    [
      `<title>${escapeXml(frame.title)}</title>`,
      `<desc>${escapeXml(frame.description)}</desc>`,
      tag('rect', { width, height, fill: PALETTE.paper }),
      ...parts,
    ].join('\n'),
  );
}
