// Records measured in pieces give the figures of records measured whole.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { formatIssue } from '../../../shared/schema/issue.ts';
import type { LimitSettings } from '../../../shared/schema/scenario.ts';
import { type ComplexSignal, scale } from '../../../src/engine/dsp/complex.ts';
import { readSigmf } from '../../../src/engine/record/sigmf.ts';
import type { RecordSettings } from '../../../src/engine/simulation/checkRecord.ts';
import { measureRecord } from '../../../src/engine/simulation/measureRecord.ts';
import { beginRecord } from '../../../src/engine/simulation/measureStream.ts';
import type { RecordReport } from '../../../src/engine/simulation/recordReport.ts';
import { lcgSignal } from '../../reference/lcg.ts';

function capture(name: string) {
  const folder = join(import.meta.dirname, '..', '..', 'captures');
  const outcome = readSigmf(
    readFileSync(join(folder, `${name}.sigmf-meta`), 'utf8'),
    readFileSync(join(folder, `${name}.sigmf-data`)),
  );
  if (outcome.kind === 'invalid') throw new Error('must be readable');
  return outcome.record;
}

function piecesOf(x: ComplexSignal, size: number): ComplexSignal[] {
  const count = Math.ceil(x.re.length / size);
  return Array.from({ length: count }, (_, i) => ({
    re: x.re.slice(i * size, (i + 1) * size),
    im: x.im.slice(i * size, (i + 1) * size),
  }));
}

function stream(x: ComplexSignal, size: number, sampleRateHz: number, settings: RecordSettings): RecordReport {
  const first = beginRecord(settings.fullScale ?? null);
  for (const piece of piecesOf(x, size)) first.push(piece);
  const begun = first.finish(sampleRateHz, settings);
  if (begun.kind === 'invalid') throw new Error(begun.issues.map(formatIssue).join('\n'));
  for (const piece of piecesOf(x, size)) begun.second.push(piece);
  const outcome = begun.second.finish();
  if (outcome.kind === 'invalid') throw new Error(outcome.issues.map(formatIssue).join('\n'));
  return outcome.record;
}

function whole(signal: ComplexSignal, sampleRateHz: number, settings: RecordSettings): RecordReport {
  const outcome = measureRecord({ signal, sampleRateHz, ...settings, isOnePeriod: false });
  if (outcome.kind === 'invalid') throw new Error(outcome.issues.map(formatIssue).join('\n'));
  return outcome.record;
}

/** Every number of two reports, by its path. */
function numbersOf(value: unknown, path = ''): [string, number][] {
  if (typeof value === 'number') return [[path, value]];
  if (typeof value !== 'object' || value === null) return [];
  return Object.entries(value).flatMap(([key, inner]) => numbersOf(inner, `${path}.${key}`));
}

describe('in pieces as in whole', () => {
  const mask: LimitSettings = {
    reading: 'mask',
    name: 'own',
    unit: 'dBr',
    measuredFrom: 'channelEdge',
    ratedPowerDbm: null,
    source: 'own limit',
    status: 'own',
    pieces: [
      {
        fromHz: 50e3,
        toHz: 10e6,
        startLevel: -40,
        endLevel: -60,
        measuringBandwidthHz: 100e3,
        atMostDbm: null,
        atLeastDbm: null,
      },
    ],
  };
  test.each<[string, RecordSettings]>([
    ['defaults', {}],
    ['a rule, a mask, a power', { channels: { rule: 'ts38104' }, limits: [mask], meanPowerDbm: 38 }],
    [
      'a resolution bandwidth, some averages, another window',
      {
        spectrum: { resolutionBandwidthHz: 100e3, averageCount: 20, window: 'hann' },
      },
    ],
  ])('%s: every figure agrees within 1e-9 of itself', (_name, settings) => {
    const { signal, sampleRateHz, fullScale } = capture('harbour-link-10mhz.observed');
    const all = { ...settings, fullScale };
    const expected = whole(signal, sampleRateHz, all);
    // Pieces smaller and larger than a segment.
    for (const size of [1000, 30_000]) {
      const found = stream(signal, size, sampleRateHz, all);
      const [a, b] = [numbersOf(expected), numbersOf(found)];
      expect(b.map(([path]) => path)).toEqual(a.map(([path]) => path));
      a.forEach(([path, value], i) => {
        const error = Math.abs(b[i]![1] - value);
        if (!(error <= 1e-9 * Math.max(1, Math.abs(value)))) expect.fail(`${path}: ${b[i]![1]} instead of ${value}`);
      });
      expect(found.conditions).toMatchObject({ streamed: true, periodic: false });
      expect(found.aclr[0]?.spreadDb).toBeGreaterThan(0);
    }
  });

  test('a silent stretch longer than a piece counts as samples below every level', () => {
    const loud = lcgSignal(20_000);
    const x = { re: new Float64Array(40_000), im: new Float64Array(40_000) };
    x.re.set(loud.re, 20_000);
    x.im.set(loud.im, 20_000);
    const found = stream(x, 3000, 1e6, {});
    const expected = whole(x, 1e6, {});
    expect(found.traces.ccdf.probability[0]).toBeCloseTo(expected.traces.ccdf.probability[0]!, 12);
    expect(found.papr[0]?.db).toBeCloseTo(expected.papr[0]!.db!, 9);
  });

  test('clipped samples are counted where the converter has ends, and told', () => {
    const x = scale(lcgSignal(5000), 0.9);
    const clip = { re: x.re.map((value) => Math.min(127 / 128, Math.max(-1, 3 * value))), im: x.im };
    const clippedCount = clip.re.filter((value) => value === 127 / 128 || value === -1).length;
    const found = stream(clip, 700, 1e6, { fullScale: 128 });
    expect(clippedCount).toBeGreaterThan(0);
    expect(found.clippedSampleCount).toBe(clippedCount);
    expect(found.warnings.find(({ code }) => code === 'record-clipped')?.message).toContain(`${clippedCount} of 5000`);
    expect(stream(clip, 700, 1e6, {}).clippedSampleCount).toBeNull();
  });
});

describe('faults', () => {
  const faultsOf = (x: ComplexSignal, rate = 1e6, settings: RecordSettings = {}): string[] => {
    const first = beginRecord(null);
    first.push(x);
    const begun = first.finish(rate, settings);
    return begun.kind === 'invalid' ? begun.issues.map(formatIssue) : [];
  };
  const flat = (re: number, im: number) => ({
    re: new Float64Array(4096).fill(re),
    im: new Float64Array(4096).fill(im),
  });

  test('of samples and rate are those of whole records', () => {
    expect(faultsOf(flat(0, 0))).toEqual(['record must hold power, got zeros only; give a record of a signal']);
    expect(faultsOf(flat(0.5, -0.5))).toEqual([
      'record must hold more than a constant, got DC only, -3.0 dBfs; was the receiver connected, and is the datatype right?',
    ]);
    expect(faultsOf(flat(Number.NaN, 0))[0]).toContain('record must hold finite samples');
    expect(faultsOf(lcgSignal(100))[0]).toContain('record must hold at least 256 samples, got 100 samples');
    for (const rate of [0, -1e6, 2e12, 122.88, Number.NaN, Infinity]) {
      expect(faultsOf(lcgSignal(4096), rate).join()).toContain('sample rate must be a number from 1000 to 1e12 Hz');
    }
    const x = lcgSignal(4096);
    const asked = { resolutionBandwidthHz: -1, averageCount: 0.5 };
    expect(faultsOf(x, 1e6, { spectrum: asked, notch: { centreHz: 6e5, bandwidthHz: 1 } })).toHaveLength(3);
  });

  test('a record that changes between the two readings is refused', () => {
    const first = beginRecord(null);
    const x = lcgSignal(4096);
    first.push(x);
    const begun = first.finish(1e6, {});
    if (begun.kind === 'invalid') throw new Error('must begin');
    begun.second.push({ re: x.re.slice(0, 4000), im: x.im.slice(0, 4000) });
    const outcome = begun.second.finish();
    expect(outcome.kind === 'invalid' && formatIssue(outcome.issues[0]!)).toContain(
      'record must hold the same samples both times it is read, 4096, got 4000 samples',
    );
  });
});
