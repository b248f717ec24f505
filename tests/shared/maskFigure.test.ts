// Masks in pictures and tables: drawn as limit lines with slopes, named once, told with place, bandwidth and status.
import { describe, expect, test } from 'vitest';
import { drawLineChart } from '../../shared/figures/lineChart.ts';
import { shownLimits } from '../../shared/figures/spectrumFigure.ts';
import { maskPieceCells, maskReadingText } from '../../shared/format/maskText.ts';
import type { MaskReading } from '../../shared/schema/report.ts';
import { emissionMask, maskLimit } from '../../shared/tables/emissionMasks.ts';
import { fccMaskLimit } from '../../shared/tables/fccMask.ts';

const mask = (fromHz: number, toHz: number, level: number, toLevel: number) => ({
  kind: 'mask' as const,
  label: 'Wide Area A',
  fromHz,
  toHz,
  level,
  toLevel,
});

describe('mask lines in the emission plot', () => {
  test('cut to the shown part, the slope kept, the name at the longest piece only', () => {
    const lines = [mask(-40e6, -11e6, -14, -14), mask(5e6, 10e6, -7, -14), mask(10e6, 40e6, -14, -14)];
    expect(shownLimits(lines, [-15, 12])).toEqual([
      { label: '', fromX: -15, toX: -11, level: -14, toLevel: -14 },
      { label: 'Wide Area A', fromX: 5, toX: 10, level: -7, toLevel: -14 },
      { label: '', fromX: 10, toX: 12, level: -14, toLevel: -14 },
    ]);
    expect(shownLimits([mask(5e6, 10e6, -7, -14)], [-15, 7.5])[0]).toMatchObject({ toX: 7.5, toLevel: -10.5 });
    expect(shownLimits([mask(20e6, 30e6, -7, -14)], [-15, 15])).toEqual([]);
    const aclr = { ...mask(5e6, 15e6, -20, -20), kind: 'aclr' as const, label: 'ACLR 45 dB' };
    const mirrored = { ...aclr, fromHz: -15e6, toHz: -5e6 };
    const farther = { ...aclr, fromHz: 15e6, toHz: 18e6 };
    const labels = shownLimits([mirrored, aclr, farther], [-20, 20]).map(({ label }) => label);
    expect(labels).toEqual(['ACLR 45 dB', 'ACLR 45 dB', '']);
  });

  test('a sloped limit is drawn from end to end with its hatch on the forbidden side', () => {
    const axis = (label: string, minimum: number, maximum: number) => ({
      label,
      minimum,
      maximum,
      scale: 'linear' as const,
      format: String,
    });
    const svg = drawLineChart({
      title: 'Masks',
      description: 'A slope.',
      x: axis('MHz', 0, 10),
      y: axis('dBm', -20, 0),
      traces: [],
      limits: [
        { label: '', fromX: 0, toX: 10, level: -5, toLevel: -15 },
        { label: 'level', fromX: 0, toX: 5, level: -10 },
      ],
      condition: [],
    });
    const paths = [...svg.matchAll(/ d="(M[^"]+)"/g)].map((match) => match[1] as string);
    // The plot is 752 × 400 pixels: from 100 down to 300.
    const slope = paths.find((path) => path.startsWith('M0.0 100.0L752.0 300.0')) ?? '';
    const hatches = [...slope.matchAll(/M([\d.]+) ([\d.]+)l6 -6/g)].map((match) => [
      Number(match[1]),
      Number(match[2]),
    ]);
    expect(hatches.length).toBeGreaterThan(80);
    for (const [x = 0, y = 0] of hatches) expect(y).toBeCloseTo(100 + (200 * x) / 752, 0);
    expect(paths.some((path) => path.startsWith('M0.0 200.0H376.0'))).toBe(true);
    expect(svg.match(/>level</g)).toHaveLength(1);
  });
});

describe('masks in words', () => {
  test('pieces with distances, level, bounds and measuring bandwidth', () => {
    const limit = maskLimit(emissionMask('nr.mr.31to38'), { name: 'Medium Range', rangeHz: null, ratedPowerDbm: 36.5 });
    const plain = (cells: string[]) => cells.join(' | ').replaceAll('\u2009', ' ');
    expect(limit.pieces.map((piece) => plain(maskPieceCells(piece, limit)))).toEqual([
      '50 kHz to 5.05 MHz | −53 to −60 dB re rated power | in 100 kHz',
      '5.05 MHz to 10.05 MHz | −60 dB re rated power | in 100 kHz',
      '10.05 MHz to the end | −60 dB re rated power, at most −25 dBm | in 100 kHz',
    ]);
    const link = fccMaskLimit(10e6, 6e9);
    expect(plain(maskPieceCells(link.pieces.at(-1)!, link))).toBe(
      '25 MHz to the end | −80 dB re mean power, not below −13 dBm | in 4 kHz',
    );
  });

  test('a reading tells place, bandwidth, limit, reach and how the table came here; never that anything conforms', () => {
    const reading: MaskReading = {
      name: 'Wide Area A',
      source: 'TS 38.104 v19.4.0 Table 6.6.4.2.1-2',
      status: 'read+recalled',
      unit: 'dBm',
      worstMarginDb: 9.4,
      side: 'upper',
      atHz: 5.05e6,
      distanceHz: 50e3,
      levelDbm: -16.4,
      limitDbm: -7,
      measuringBandwidthHz: 100e3,
      spreadDb: 0.3,
      limitedBy: null,
      judgedToHz: 40e6,
      isComplete: true,
    };
    expect(maskReadingText(reading, 'corrected').replaceAll('\u2009', ' ')).toBe(
      'Mask Wide Area A (boundaries read, slopes recalled): the corrected output is nearest 50 kHz out on the upper side, −16.4 dBm in 100 kHz; the limit is −7.0 dBm; judged to 40 MHz.',
    );
    expect(maskReadingText({ ...reading, isComplete: false }, 'corrected')).toContain('the mask does not');
  });
});
