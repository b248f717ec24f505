import { describe, expect, test } from 'vitest';
import { drawCcdf } from '../../shared/figures/ccdfFigure.ts';
import { drawLineChart, type LineChart } from '../../shared/figures/lineChart.ts';
import { TRACE_STYLES } from '../../shared/figures/palette.ts';
import { reduceLine } from '../../shared/figures/reduceLine.ts';
import { drawSpectrum } from '../../shared/figures/spectrumFigure.ts';
import { escapeXml, pathOf } from '../../shared/figures/svgText.ts';
import { decadeTicks, linearTicks, spreadLabels } from '../../shared/figures/ticks.ts';
import { runScenario } from '../../src/engine/index.ts';
import { SMALL_SCENARIO } from '../cli/terminal.ts';
import { wellFormednessFault } from './wellFormed.ts';

const axis = (label: string, minimum: number, maximum: number) =>
  ({ label, minimum, maximum, scale: 'linear', format: String }) as const;

function chart(change: Partial<LineChart> = {}): LineChart {
  return {
    title: 'A <title> & "more"',
    description: 'what it shows',
    x: axis('Offset, MHz', -10, 10),
    y: axis('dBm', -100, 0),
    traces: [{ style: TRACE_STYLES.uncorrected, x: [-10, 0, 10], y: [-90, -10, -90] }],
    condition: ['36.5 dBm'],
    ...change,
  };
}

describe('the check of well-formedness itself', () => {
  test.each(['<a><b></a></b>', '<a x=1/>', '<a>&nope;</a>', '<a>5 < 6</a>', '<a/><b/>', '<a x="1" x="2"/>', '<a>'])(
    '%s is found faulty',
    (text) => {
      expect(wellFormednessFault(text)).not.toBeNull();
    },
  );

  test('a sound document is not', () => {
    expect(wellFormednessFault('<a x="1"><b>5 &lt; 6 &amp; ×</b><c/></a>\n')).toBeNull();
  });
});

describe('lines of many points', () => {
  test('a single-sample peak and dip of a long line survive', () => {
    const y = new Float64Array(100_000).fill(-50);
    y[54_321] = -3;
    y[54_322] = -97;
    const x = Float64Array.from(y, (_, i) => i);
    const points = reduceLine(
      x,
      y,
      (value) => (value / 100_000) * 700,
      (value) => -value,
      700,
    );
    const heights = points.map(([, py]) => py);
    expect(points.length).toBeLessThanOrEqual(4 * 701);
    expect(Math.min(...heights)).toBe(3);
    expect(Math.max(...heights)).toBe(97);
    expect(points.map(([px]) => px)).toEqual(points.map(([px]) => px).sort((a, b) => a - b));
  });

  test('a line of few points is kept whole, without the points that are no numbers', () => {
    const points = reduceLine([0, 1, 2, 3], [1, Number.NaN, 2, Number.NEGATIVE_INFINITY], Number, Number, 10);
    expect(points).toEqual([
      [0, 1],
      [2, 2],
    ]);
  });

  test('relative steps add up to the places they stand for', () => {
    const points = Array.from({ length: 500 }, (_, i) => [i * 1.37, 200 + 100 * Math.sin(i)] as const);
    const numbers = pathOf(points)
      .match(/-?\d*\.?\d+/g)!
      .map(Number);
    let [x, y, worst] = [0, 0, 0];
    points.forEach(([px, py], i) => {
      x += numbers[2 * i]!;
      y += numbers[2 * i + 1]!;
      worst = Math.max(worst, Math.abs(x - px), Math.abs(y - py));
    });
    expect(numbers).toHaveLength(1000);
    expect(worst).toBeLessThan(0.0501); // half a tenth of a pixel, and rounding
  });
});

describe('ticks and labels', () => {
  test.each([
    [-100, 0, 6, [-100, -80, -60, -40, -20, 0]],
    [0, 1, 5, [0, 0.2, 0.4, 0.6, 0.8, 1]],
    [-30.7, 30.7, 9, [-30, -20, -10, 0, 10, 20, 30]],
  ])('from %d to %d', (minimum, maximum, wanted, ticks) => {
    expect(linearTicks(minimum, maximum, wanted)).toEqual(ticks);
  });

  test('decades', () => {
    expect(decadeTicks(1e-5, 1)).toEqual([1e-5, 1e-4, 1e-3, 1e-2, 1e-1, 1]);
  });

  test('labels keep their order and never overlap', () => {
    const placed = spreadLabels([50, 52, 51, 399], 17, 8, 392);
    const order = [...placed].sort((a, b) => a - b);
    expect(placed[0]!).toBeLessThan(placed[2]!);
    expect(placed[2]!).toBeLessThan(placed[1]!);
    for (let i = 1; i < order.length; i++) expect(order[i]! - order[i - 1]!).toBeGreaterThanOrEqual(17);
    expect(order.at(-1)).toBeLessThanOrEqual(392);
  });
});

describe('a chart', () => {
  test('is one well-formed document, whatever the texts hold', () => {
    const svg = drawLineChart(chart());
    expect(wellFormednessFault(svg)).toBeNull();
    expect(svg).toContain('A &lt;title&gt; &amp; &quot;more&quot;');
    expect(svg).toContain('<title>');
    expect(svg).toContain('role="img"');
    expect(escapeXml('a\u0000b')).toBe('ab');
  });

  test('carries axis labels with units, names at line ends, limits with a hatch, readings in columns, the condition', () => {
    const svg = drawLineChart(
      chart({
        limits: [{ label: 'ACLR 45 dB', fromX: 2, toX: 6, level: -60 }],
        columns: [{ fromX: 2, toX: 6, heading: 'adjacent', readings: [{ text: '31.8', colour: '#C2410C' }] }],
      }),
    );
    for (const text of ['Offset, MHz', 'dBm', 'Uncorrected', 'ACLR 45 dB', 'adjacent', '31.8', '36.5 dBm']) {
      expect(svg).toContain(`>${text}</text>`);
    }
    const hatch = [...svg.matchAll(/l6 -6/g)];
    expect(hatch.length).toBeGreaterThan(10); // strokes go up: the forbidden side is above the line
  });

  test('a title too long for its line is shortened on the picture and whole in the document', () => {
    const title = 'word '.repeat(40).trim();
    const svg = drawLineChart(chart({ title }));
    expect(svg).toContain(`<title>${title}</title>`);
    expect(svg).toMatch(/>word [^<]{80,86}…<\/text>/);
  });

  test('a line that leaves the plot is clipped, and an empty one draws nothing', () => {
    const svg = drawLineChart(chart({ traces: [{ style: TRACE_STYLES.ideal, x: [], y: [] }] }));
    expect(svg).not.toContain('stroke-linejoin');
    expect(svg).toContain('overflow="hidden"');
  });
});

describe('the pictures of a run', () => {
  const outcome = runScenario(SMALL_SCENARIO);
  if (outcome.kind !== 'report') throw new Error('must run');
  const { report } = outcome;

  test('the emission plot has the four traces in their fixed colours, ACLR columns, limits and conditions', () => {
    const svg = drawSpectrum(report);
    expect(wellFormednessFault(svg)).toBeNull();
    for (const name of ['waveform', 'ideal', 'uncorrected', 'corrected'] as const) {
      const { colour, name: label, dash } = TRACE_STYLES[name];
      const path = new RegExp(
        `<path [^>]*stroke="${colour}"${dash.length > 0 ? ` stroke-dasharray="${dash.join(' ')}"` : ''}`,
      );
      expect(svg, name).toMatch(path);
      expect(svg).toContain(`>${label}</text>`);
    }
    const worst = Math.min(
      ...report.uncorrected.aclr.filter(({ channel }) => channel === 'adjacent').map(({ aclrDb }) => aclrDb),
    );
    expect(svg).toContain(`>${worst.toFixed(1)}</text>`);
    expect(svg.match(/>adjacent<\/text>/g)).toHaveLength(2);
    expect(svg).toMatch(/dBm at the antenna port, in 30\.1\s?kHz/);
    expect(svg).toMatch(/Resolution bandwidth 30\.1\s?kHz, 8 averages of 8\s?192 samples, Blackman–Harris window/);
    expect(svg).toContain('judging seed 1');
    expect(svg).not.toMatch(/NaN|undefined|Infinity/);
    // Span at least five channels (F10): 50 MHz of the 10 MHz raster.
    expect(svg).toContain('>+20</text>');
    expect(svg).toContain('>−20</text>');
  });

  test('the corrected line is drawn last of the lines, on top', () => {
    const svg = drawSpectrum(report);
    const places = ['#C2410C', '#0F766E'].map((colour) => svg.search(new RegExp(`<path [^>]*stroke="${colour}"`)));
    expect(places[0]).toBeGreaterThan(0);
    expect(places[1]).toBeGreaterThan(places[0]!);
  });

  test('the exceedance curve has a logarithmic axis of probability and its units', () => {
    const svg = drawCcdf(report);
    expect(wellFormednessFault(svg)).toBeNull();
    for (const text of [
      'Level over mean power, dB',
      '10⁻⁴',
      'Gaussian',
      'Data',
      'Uncorrected',
      'Corrected drive',
      'Corrected',
    ]) {
      expect(svg).toContain(`>${text}</text>`);
    }
    expect(svg).not.toContain('>Shaped</text>'); // nothing was shaped
    expect(svg).not.toMatch(/NaN|undefined|Infinity/);
  });

  test('without a correction and without a power scale the picture says so', () => {
    const plain = runScenario({
      ...SMALL_SCENARIO,
      predistorter: null,
      amplifier: { ...SMALL_SCENARIO.amplifier, saturatedPowerDbm: null },
    });
    if (plain.kind !== 'report') throw new Error('must run');
    const svg = drawSpectrum(plain.report);
    expect(wellFormednessFault(svg)).toBeNull();
    expect(svg).toContain('dB re saturation');
    expect(svg).not.toContain('dBm');
    expect(svg).not.toContain('>Corrected</text>');
  });
});
