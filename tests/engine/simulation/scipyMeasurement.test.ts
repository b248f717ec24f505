// The same bytes measured by numpy and scipy (tests/reference/scipyMeasurement.py): spectrum, ACLR, occupied bandwidth,
// exceedance. Whole segments only on both sides, so the two differ by rounding; 0.01 dB would already be a fault.
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { formatIssue } from '../../../shared/schema/issue.ts';
import { decodeSamples, parseDatatype } from '../../../src/engine/record/datatype.ts';
import { measureRecord } from '../../../src/engine/simulation/measureRecord.ts';
import { beginRecord } from '../../../src/engine/simulation/measureStream.ts';

interface Figures {
  readonly name: string;
  readonly sha512: string;
  readonly window: 'blackmanharris' | 'hann';
  readonly segmentLength: number;
  readonly ownBandwidthHz: number;
  readonly spacingHz: number;
  readonly sampleRateHz: number;
  readonly aclrDb: number[];
  readonly occupiedLowerHz: number;
  readonly occupiedUpperHz: number;
  readonly meanPowerDbfs: number;
  readonly peakPowerDbfs: number;
  readonly dcRatioDb: number;
  readonly papr: [number, number][];
  readonly ccdf: [number, number][];
  readonly spectrum: [number, number][];
}

const tests = join(import.meta.dirname, '..', '..');
const reference = join(tests, 'reference');
const { records }: { records: Figures[] } = JSON.parse(readFileSync(join(reference, 'scipyMeasurement.json'), 'utf8'));

function bytesOf(name: string): Buffer {
  if (name === 'synthetic') return readFileSync(join(reference, 'scipyMeasurement.ci16'));
  return readFileSync(join(tests, 'captures', `${name}.sigmf-data`));
}

/** Rounding of sums over 60 000 samples and of transforms of 8192; a thousandth of what is asked for. */
const TOLERANCE_DB = 1e-5;

describe.each(records)('$name, $window $segmentLength', (figures) => {
  const bytes = bytesOf(figures.name);
  const signal = decodeSamples(new Uint8Array(bytes), parseDatatype('ci16_le')!);
  const settings = {
    channels: {
      centreHz: 0,
      ownBandwidthHz: figures.ownBandwidthHz,
      spacingHz: figures.spacingHz,
    },
    spectrum: {
      window: figures.window === 'hann' ? ('hann' as const) : ('blackmanHarris' as const),
      segmentLength: figures.segmentLength,
    },
    fullScale: 32768,
  };
  const { sampleRateHz } = figures;

  test('is the record that scipy read', () => {
    expect(createHash('sha512').update(bytes).digest('hex')).toBe(figures.sha512);
  });

  test.each(['in memory', 'in pieces'])('%s: every figure is scipy’s', (how) => {
    const first = beginRecord(32768);
    first.push(signal);
    const begun = first.finish(sampleRateHz, settings);
    if (begun.kind === 'invalid') throw new Error(begun.issues.map(formatIssue).join('\n'));
    begun.second.push(signal);
    const outcome =
      how === 'in pieces'
        ? begun.second.finish()
        : measureRecord({ signal, sampleRateHz, ...settings, isOnePeriod: false });
    if (outcome.kind === 'invalid') throw new Error(outcome.issues.map(formatIssue).join('\n'));
    const { record } = outcome;
    const near = (found: number | null | undefined, wanted: number, tolerance = TOLERANCE_DB) =>
      expect(Math.abs((found ?? Number.NaN) - wanted)).toBeLessThan(tolerance);
    figures.aclrDb.forEach((wanted, i) => {
      near(record.aclr[i]?.aclrDb, wanted);
    });
    near(record.meanPowerDbfs, figures.meanPowerDbfs);
    near(record.peakPowerDbfs, figures.peakPowerDbfs);
    near(record.dcRatioDb, figures.dcRatioDb, 1e-4); // a small sum of large terms
    near(record.occupiedLowerHz, figures.occupiedLowerHz, 1);
    near(record.occupiedUpperHz, figures.occupiedUpperHz, 1);
    for (const [probability, db] of figures.papr) {
      near(record.papr.find((point) => point.probability === probability)?.db, db);
    }
    const { levelDb, probability } = record.traces.ccdf;
    for (const [level, share] of figures.ccdf) {
      const at = levelDb.findIndex((one) => Math.abs(one - level) < 1e-9);
      near(probability[at], share, 1e-12);
    }
    const { resolutionBandwidthHz, binWidthHz } = record.conditions;
    // Our trace is what a marker reads in the resolution bandwidth; scipy's here is per bin.
    const perBinDb = 10 * Math.log10(resolutionBandwidthHz / binWidthHz);
    for (const [bin, db] of figures.spectrum) near(record.traces.spectrum.level[bin]! - perBinDb, db);
  });
});
