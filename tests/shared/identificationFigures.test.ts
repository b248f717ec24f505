import { describe, expect, test } from 'vitest';
import { drawIdentificationSpectrum, drawLoops } from '../../shared/figures/identificationFigures.ts';
import { PAIR_STYLES } from '../../shared/figures/palette.ts';
import { drawPanel } from '../../shared/figures/panelChart.ts';
import { identificationPage } from '../../shared/reports/identificationPage.ts';
import { identificationParts, trustSentence } from '../../shared/reports/identificationRows.ts';
import { createRandom } from '../../src/engine/dsp/random.ts';
import { identifyAmplifier } from '../../src/engine/index.ts';
import { flatBand, observe, staticCurve } from '../engine/identification/syntheticPair.ts';
import { wellFormednessFault } from './wellFormed.ts';

const receiver = { delaySamples: 7.3, gainDb: 3, phaseDeg: 50, leakDbc: -40, imageDb: -45, snrDb: 50 };
const signal = flatBand(8192, 350, 0.05, createRandom(1, 'drive'));
const outcome = identifyAmplifier({
  drive: { signal, sampleRateHz: 122.88e6 },
  observed: { signal: observe(staticCurve(signal), receiver, createRandom(2, 'receiver')), sampleRateHz: 122.88e6 },
  highestOrder: 5,
  memoryDepth: 2,
  crossReachSamples: 0,
});
if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
const { report, traces, amplifier } = outcome;
const plain = (text: string) => text.replace(/[\u2009\u202f\u00a0]/g, ' ');
const names = { drive: 'sent <1>', observed: 'seen & kept' };

describe('a panel', () => {
  const density = {
    counts: new Uint32Array(64),
    columnCount: 8,
    rowCount: 8,
    xMinimum: 0,
    xMaximum: 8,
    yMinimum: -4,
    yMaximum: 4,
  };
  const axis = (minimum: number, maximum: number) => ({ label: 'level', minimum, maximum, format: String });
  const draw = (counts: readonly (readonly [number, number, number])[]) => {
    const filled = { ...density, counts: density.counts.slice() };
    for (const [column, row, count] of counts) filled.counts[8 * row + column] = count;
    const clouds = [{ density: filled, colour: '#123456' }];
    const panel = { heading: 'a < b', x: axis(0, 8), y: axis(-4, 4), clouds, curves: [] };
    return drawPanel(panel, { left: 50, top: 30, width: 160, height: 80 });
  };
  const shapes = (svg: string) =>
    [...svg.matchAll(/d="([^"]*)" fill="#123456" fill-opacity="([\d.]+)"/g)].map(([, d, opacity]) => [d, opacity]);

  test('fills two by two cells where a sample lies, on its place in the frame', () => {
    // Cells 2 and 3 across of 8 over 160 pixels; rows 6 and 7 from below of 8 over 80: the top ones.
    expect(shapes(draw([[3, 6, 1]]))).toEqual([['M40.0 0.0H80.0V20.0H40.0z', '0.88']]);
    expect(shapes(draw([]))).toEqual([]);
  });

  test('neighbours of one step are one shape; crowded cells are darker', () => {
    expect(
      shapes(
        draw([
          [0, 0, 5],
          [2, 1, 5],
        ]),
      ),
    ).toEqual([['M0.0 60.0H80.0V80.0H0.0z', '0.88']]);
    const [few, many] = shapes(
      draw([
        [0, 0, 1],
        [6, 0, 1000],
      ]),
    );
    expect(few?.[1]).toBe('0.2');
    expect(many?.[1]).toBe('0.88');
  });
});

describe('the pictures', () => {
  const spectrum = plain(drawIdentificationSpectrum('Title & more', report, traces));
  const loops = plain(drawLoops('Loops', report, traces));

  test('are well-formed', () => {
    for (const svg of [spectrum, loops]) expect(wellFormednessFault(svg)).toBeNull();
  });

  test('name every line and hold the readings of both in each neighbouring channel', () => {
    for (const { name, colour } of Object.values(PAIR_STYLES)) {
      expect(spectrum.includes(`fill="${colour}">${name}</text>`)).toBe(true);
    }
    expect(report.aclr.length).toBe(4);
    for (const { observedDb, predictedDb } of report.aclr) {
      expect(spectrum.includes(`fill="${PAIR_STYLES.observed.colour}">${observedDb?.toFixed(1)}</text>`)).toBe(true);
      expect(spectrum.includes(`fill="${PAIR_STYLES.predicted.colour}">${predictedDb?.toFixed(1)}</text>`)).toBe(true);
    }
    const held = `${(-report.chosen.heldOutNmseDb).toFixed(1)} dB below the output`;
    expect(spectrum.includes(held)).toBe(true);
  });

  test('state the width before and after alignment', () => {
    const { asRecorded, aligned } = report.loops;
    for (const { gainDb, phaseDeg } of [asRecorded, aligned]) {
      expect(loops.includes(`σ ${gainDb.toFixed(3)} dB`)).toBe(true);
      expect(loops.includes(`σ ${phaseDeg.toFixed(2)}°`)).toBe(true);
    }
    // A picture to mail: two densities of 13 824 cells each would be a megabyte cell by cell.
    expect(loops.length).toBeLessThan(150_000);
  });
});

describe('the page', () => {
  const kneepoint = { version: '0.0.0', format: 1 };
  const page = identificationPage({ names, report, traces, amplifier, kneepoint });

  test('begins with how far to trust the model, holds every part and the amplifier', () => {
    expect(page).toContain('<h1>seen &amp; kept as an answer to sent &lt;1&gt;</h1>');
    const parts = identificationParts(report);
    for (const { heading } of parts) expect(page).toContain(`<h2>${heading}</h2>`);
    expect(trustSentence(report)).toMatch(/^Trust within limits: held-out samples are predicted to −\d\d\.\d dB;/);
    const folded = /<pre>([^<]*)<\/pre>/.exec(page)?.[1] ?? '';
    expect(JSON.parse(folded.replaceAll('&quot;', '"'))).toEqual(amplifier);
    expect(page).not.toMatch(/\b(?:NaN|undefined|Infinity)\b/);
  });

  test('loads nothing and runs nothing', () => {
    expect(page).not.toMatch(/<script|<link|src=|href=/);
  });
});
