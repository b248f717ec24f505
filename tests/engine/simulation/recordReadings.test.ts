// Readings of foreign records beyond channel ratios, against closed forms: lines, notches, masks, limits, overlaps.
import { describe, expect, test } from 'vitest';
import { formatIssue } from '../../../shared/schema/issue.ts';
import type { LimitSettings } from '../../../shared/schema/scenario.ts';
import { delayPeriodic } from '../../../src/engine/dsp/align.ts';
import { type ComplexSignal, rotate, zeros } from '../../../src/engine/dsp/complex.ts';
import { inverseFft } from '../../../src/engine/dsp/fft.ts';
import { createRandom, type Random } from '../../../src/engine/dsp/random.ts';
import { type MeasureRecordInput, measureRecord } from '../../../src/engine/simulation/measureRecord.ts';
import type { RecordReport } from '../../../src/engine/simulation/recordReport.ts';

function mustMeasure(input: MeasureRecordInput): RecordReport {
  const outcome = measureRecord(input);
  if (outcome.kind === 'invalid') throw new Error(outcome.issues.map(formatIssue).join('\n'));
  return outcome.record;
}

const faultsOf = (input: MeasureRecordInput): string[] => {
  const outcome = measureRecord(input);
  return outcome.kind === 'invalid' ? outcome.issues.map(formatIssue) : [];
};

const codesOf = ({ warnings }: RecordReport) => warnings.map(({ code }) => code);

/** Bands [from, to) of bins with a power each, random phases: Gaussian by the many of them. */
function bands(length: number, list: readonly [number, number, number][], random: Random): ComplexSignal {
  const bins = zeros(length);
  for (const [from, to, power] of list) {
    const amplitude = length * Math.sqrt(power / (to - from));
    for (let k = from; k < to; k++) {
      const phase = 2 * Math.PI * random.uniform();
      bins.re[(k + length) % length] = amplitude * Math.cos(phase);
      bins.im[(k + length) % length] = amplitude * Math.sin(phase);
    }
  }
  return inverseFft(bins);
}

function add(x: ComplexSignal, y: ComplexSignal): ComplexSignal {
  return { re: x.re.map((value, n) => value + y.re[n]!), im: x.im.map((value, n) => value + y.im[n]!) };
}

const cut = (x: ComplexSignal, from: number, to: number): ComplexSignal => ({
  re: x.re.slice(from, to),
  im: x.im.slice(from, to),
});

describe('two tones on no whole cycle', () => {
  // y = x + a3·x·|x|² on two tones of amplitude A each: product of order 3 over tone
  //   a3·A²/(1 + 3·a3·A²)   (x|x|² of A(e^ja + e^jb): 3A³ on each tone, A³ on each product; handbook algebra)
  const fs = 10e6;
  const amplitude = 0.2;
  const a3 = -0.05;
  const wanted = 20 * Math.log10((1 + 3 * a3 * amplitude ** 2) / Math.abs(a3 * amplitude ** 2));
  const [lowHz, highHz] = [-0.4321e6, 0.5678e6];
  const y = zeros(100_003);
  const noise = createRandom(1, 'tones');
  for (let n = 0; n < y.re.length; n++) {
    const [a, b] = [lowHz, highHz].map((hz) => (2 * Math.PI * hz * n) / fs) as [number, number];
    const [re, im] = [amplitude * (Math.cos(a) + Math.cos(b)), amplitude * (Math.sin(a) + Math.sin(b))];
    const gain = 1 + a3 * (re * re + im * im);
    y.re[n] = gain * re + 1e-7 * noise.normal();
    y.im[n] = gain * im + 1e-7 * noise.normal();
  }

  test('give their level per tone, their spacing and the ratio of the products', () => {
    const { twoTone, warnings } = mustMeasure({ signal: y, sampleRateHz: fs, twoTone: true, meanPowerDbm: 30 });
    if (twoTone === null) throw new Error(`no reading: ${warnings.map(({ message }) => message)}`);
    const tone = 20 * Math.log10(amplitude * (1 + 3 * a3 * amplitude ** 2));
    // The four-term window leaves −92 dB outside its main lobe, and the products stand at −54 dB.
    for (const { levelDbfs } of twoTone.tones) expect(Math.abs(levelDbfs - tone)).toBeLessThan(0.001);
    expect(twoTone.tones[0]?.powerDbm).toBeCloseTo(30 - 10 * Math.log10(2), 1);
    expect(Math.abs(twoTone.toneSpacingHz - (highHz - lowHz))).toBeLessThan(0.01 * (fs / 8192));
    const third = twoTone.products.filter(({ order }) => order === 3);
    expect(third.map(({ side }) => side)).toEqual(['lower', 'upper']);
    for (const { ratioDb } of third) expect(Math.abs((ratioDb ?? 0) - wanted)).toBeLessThan(0.01);
    expect(third[0]?.frequencyHz).toBeCloseTo(2 * lowHz - highHz, -2);
    // A cubic has no product of order 5: what is there is noise, and is not given as a reading.
    for (const { order, ratioDb } of twoTone.products) if (order > 3) expect(ratioDb).toBeNull();
  });

  test('closer than the window parts them are told', () => {
    const near = mustMeasure({ signal: y, sampleRateHz: fs, twoTone: true, spectrum: { segmentLength: 64 } });
    expect(near.twoTone).toBeNull();
    expect(codesOf(near)).toContain('tones-unresolved');
  });

  test('are held against a limit on intermodulation', () => {
    const limit: LimitSettings = { reading: 'intermodulation', order: 3, requiredDb: 50, source: 'own', status: 'own' };
    const { verdicts } = mustMeasure({ signal: y, sampleRateHz: fs, twoTone: true, limits: [limit] });
    expect(verdicts[0]).toMatchObject({ limit: 'intermodulation', state: 'pass' });
    expect(verdicts[0]?.marginDb).toBeCloseTo(wanted - 50, 1);
  });
});

describe('noise with a notch', () => {
  const length = 2 ** 17;
  const fs = 40e6;
  const binHz = fs / length;
  const bin = (hz: number) => Math.round(hz / binHz);
  // 10 MHz of noise, empty from 1 to 2 MHz but for a floor 40 dB down in density.
  const density = 1 / 9e6;
  const x = bands(
    length,
    [
      [bin(-5e6), bin(1e6), 6e6 * density],
      [bin(1e6), bin(2e6), 1e-4 * 1e6 * density],
      [bin(2e6), bin(5e6), 3e6 * density],
    ],
    createRandom(2, 'notch'),
  );
  const settings = { sampleRateHz: fs, channels: { centreHz: 0, ownBandwidthHz: 10e6, spacingHz: 11e6 } };
  const notch = { centreHz: 1.5e6, bandwidthHz: 1e6 };

  test('reads its density ratio', () => {
    const limit: LimitSettings = { reading: 'notch', requiredDb: 45, source: 'own', status: 'own' };
    const record = mustMeasure({ signal: x, ...settings, notch, limits: [limit] });
    // Some 6000 independent values inside: 4.34/√6000 = 0.06 dB; as one period no join adds to it.
    expect(Math.abs((record.notch?.ratioDb ?? 0) - 40)).toBeLessThan(0.25);
    expect(record.verdicts[0]).toMatchObject({ limit: 'notch', state: 'fail' });
  });

  test('narrower than the window shows, or outside the own channel, is told and not read', () => {
    for (const bad of [
      { centreHz: 1.5e6, bandwidthHz: 40e3 },
      { centreHz: 5e6, bandwidthHz: 1e6 },
    ]) {
      const record = mustMeasure({ signal: x, ...settings, notch: bad });
      expect(record.notch).toBeNull();
      expect(codesOf(record)).toContain('notch-unresolved');
    }
  });
});

describe('rules, masks and limits', () => {
  const length = 2 ** 16;
  const fs = 122.88e6;
  const binHz = fs / length;
  const half = Math.round(4.5e6 / binHz);
  // 9 MHz of power 1 over a floor of 1e-6 in the whole band.
  const x = add(
    bands(length, [[-half, half, 1]], createRandom(3, 'own')),
    bands(length, [[-length / 2, length / 2, 1e-6]], createRandom(4, 'floor')),
  );
  const floorIn = (hz: number) => 1e-6 * (hz / fs);
  const db = (ratio: number) => 10 * Math.log10(ratio);
  const piece = (level: number, more: object = {}) => ({
    fromHz: 1e6,
    toHz: 20e6,
    startLevel: level,
    endLevel: level,
    measuringBandwidthHz: 1e6,
    atMostDbm: null,
    atLeastDbm: null,
    ...more,
  });
  const mask = (unit: 'dBm' | 'dBr', level: number, more: object = {}): LimitSettings => ({
    reading: 'mask',
    name: 'flat',
    unit,
    measuredFrom: 'channelEdge',
    ratedPowerDbm: null,
    pieces: [piece(level, more)],
    source: 'own',
    status: 'own',
  });

  test('a rule brings its channels: two as wide as the carrier, two of UTRA behind their filter', () => {
    const record = mustMeasure({ signal: x, sampleRateHz: fs, channels: { rule: 'ts36104' } });
    expect([...new Set(record.aclr.map(({ channel }) => channel))]).toEqual([
      'adjacent',
      'alternate',
      'utraFirst',
      'utraSecond',
    ]);
    const utra = record.aclr.filter(({ filter }) => filter === 'rrc');
    expect(utra).toHaveLength(4);
    // 9 MHz of power 1 over the floor in 3.84 MHz, the noise bandwidth of the filter (TS 36.104 Table 6.6.2.1-1).
    for (const { aclrDb, bandwidthHz, spreadDb } of utra) {
      expect(bandwidthHz).toBe(3.84e6);
      expect(Math.abs((aclrDb ?? 0) + db(floorIn(3.84e6)))).toBeLessThan(4 * (spreadDb ?? 0));
      expect(spreadDb).toBeLessThan(0.3);
    }
  });

  test('a mask in dB against the mean power needs no scale, one in dBm does', () => {
    const relative = mustMeasure({ signal: x, sampleRateHz: fs, limits: [mask('dBr', -70)] });
    // The worst of many places lies above the mean of the floor by some spreads: one to three of 0.4 dB.
    const mean = -70 - db(floorIn(1e6));
    expect(relative.masks[0]?.worstMarginDb).toBeGreaterThan(mean - 2.5);
    expect(relative.masks[0]?.worstMarginDb).toBeLessThan(mean);
    expect(relative.verdicts[0]).toMatchObject({ limit: 'mask', name: 'flat', state: 'pass' });
    expect(faultsOf({ signal: x, sampleRateHz: fs, limits: [mask('dBm', -30)] })).toEqual([
      'meanPowerDbm must be known: the mask limits.0, flat, is in dBm, got nothing; state the mean power at the antenna port',
    ]);
    const absolute = mustMeasure({ signal: x, sampleRateHz: fs, limits: [mask('dBm', -30)], meanPowerDbm: 40 });
    // −30 dBm at a mean power of 40 dBm is −70 dB against it.
    expect(absolute.masks[0]?.worstMarginDb).toBeCloseTo(relative.masks[0]!.worstMarginDb, 9);
    // The line: −70 dB against the mean in 1 MHz, drawn in the displayed bandwidth on the record's own scale.
    const { traces, conditions, meanPowerDbfs } = absolute;
    const drawn = meanPowerDbfs - 70 + db(conditions.resolutionBandwidthHz / 1e6);
    expect(traces.maskLines).toHaveLength(2);
    for (const line of traces.maskLines) expect(line.level).toBeCloseTo(drawn, 9);
    expect(traces.maskLines[1]).toMatchObject({ label: 'flat', fromHz: 6e6, toHz: 25e6 });
  });

  test('a mask that the bins are too wide for, or that reaches beyond the rate, is told', () => {
    const fine = mask('dBr', -70, { measuringBandwidthHz: 1e3 });
    expect(codesOf(mustMeasure({ signal: x, sampleRateHz: fs, limits: [fine] }))).toContain('mask-resolution');
    const far = mask('dBr', -70, { toHz: 100e6 });
    expect(codesOf(mustMeasure({ signal: x, sampleRateHz: fs, limits: [far] }))).toContain('mask-incomplete');
  });

  test('a limit set brings limits and channels, and says what it needs', () => {
    const set = { signal: x, sampleRateHz: fs, limitSet: 'lte-wide-area-a' };
    expect(faultsOf(set)[0]).toContain('meanPowerDbm must be known');
    expect(faultsOf({ ...set, limitSet: 'lte-wide-area' })[0]).toMatch(/limits must be a limit set.*did you mean lte-/);
    expect(faultsOf({ ...set, meanPowerDbm: 43 })[0]).toContain('carrierFrequencyHz must be known');
    const record = mustMeasure({ ...set, meanPowerDbm: 43, centreFrequencyHz: 2e9 });
    expect(new Set(record.verdicts.map(({ limit }) => limit))).toEqual(new Set(['aclr', 'mask', 'occupiedBandwidth']));
    expect(record.verdicts.every(({ state }) => state === 'pass')).toBe(true);
    expect(record.aclr.some(({ channel }) => channel === 'utraFirst')).toBe(true);
    expect(record.aclr[0]?.densityDbmPerMHz).not.toBeNull();
    const odd = { ...set, meanPowerDbm: 43, centreFrequencyHz: 2e9, channels: { spacingHz: 11e6 } };
    expect(faultsOf(odd)[0]).toContain('channels.channelBandwidthHz must be a channel of LTE');
  });

  test('a resolution bandwidth sets the segments, averages take the first of them', () => {
    const { conditions } = mustMeasure({
      signal: x,
      sampleRateHz: fs,
      spectrum: { resolutionBandwidthHz: 100e3, averageCount: 7 },
    });
    // Blackman–Harris: 2.0044 bins (Harris 1978); 122.88 MHz·2.0044/2048 = 120 kHz is nearer in ratio than 60 or 240.
    expect(conditions).toMatchObject({ segmentLength: 2048, segmentCount: 7 });
    expect(conditions.resolutionBandwidthHz).toBeCloseTo((2.0044 * fs) / 2048, -2);
  });
});

describe('a reference that is not the same period', () => {
  const length = 2 ** 16;
  const x = bands(length, [[-9000, 9000, 1]], createRandom(5, 'sent'));
  const fs = 30.72e6;
  const gain = { re: -0.3, im: 0.4 };
  const channels = { centreHz: 0, ownBandwidthHz: (18100 * fs) / length, spacingHz: 10e6 };
  /** The record: delayed, turned, with noise of −50 dB in the own channel. */
  const noise = bands(length, [[-9000, 9000, 0.25e-5]], createRandom(6, 'added'));
  const observed = add(rotate(delayPeriodic(x, 3.37), gain), noise);

  test.each<[string, ComplexSignal, ComplexSignal, number]>([
    ['cut alike', cut(x, 0, 50_001), cut(observed, 0, 50_001), 3.37],
    ['observed longer', cut(x, 5000, 40_000), cut(observed, 0, 60_000), 5003.37],
    ['observed shorter', cut(x, 0, 60_000), cut(observed, 20_000, 33_000), -20_000 + 3.37],
    ['partly beyond', cut(x, 0, 40_000), cut(observed, 12_345, 62_345), -12_345 + 3.37],
  ])('%s: delay, gain and EVM are those of the overlap', (_name, reference, signal, delay) => {
    const { reference: found } = mustMeasure({
      signal,
      sampleRateHz: fs,
      channels,
      reference: { signal: reference, sampleRateHz: fs },
      isOnePeriod: false,
    });
    if (found === null) throw new Error('must compare');
    // Noise of −50 dB over 1e4 samples and half the band: about 1e-4 samples (Knapp and Carter 1976).
    expect(Math.abs(found.delaySamples - delay)).toBeLessThan(5e-4);
    expect(Math.abs(found.gainDb - 20 * Math.log10(0.5))).toBeLessThan(0.01);
    expect(Math.abs(found.phaseDeg - 126.87)).toBeLessThan(0.1);
    expect(Math.abs(found.nmseDb + 50)).toBeLessThan(0.3);
    expect(Math.abs(found.evm.rmsPercent - 100 * 10 ** (-50 / 20))).toBeLessThan(0.02);
    expect(found.comparedSampleCount).toBeGreaterThan(0.7 * Math.min(reference.re.length, signal.re.length) - 13_000);
  });

  test('a noiseless cut leaves no more than the fades let through', () => {
    const clean = rotate(delayPeriodic(x, 3.37), gain);
    const { reference: found } = mustMeasure({
      signal: cut(clean, 0, 50_001),
      sampleRateHz: fs,
      channels,
      reference: { signal: cut(x, 0, 50_001), sampleRateHz: fs },
      isOnePeriod: false,
    });
    expect(found?.nmseDb).toBeLessThan(-90);
    expect(found?.evm.rmsPercent).toBeLessThan(0.01);
  });

  test('with too few common samples gives nothing and says so', () => {
    const record = mustMeasure({
      signal: cut(observed, 0, 20_000),
      sampleRateHz: fs,
      channels,
      reference: { signal: cut(x, 30_000, 50_000), sampleRateHz: fs },
      isOnePeriod: false,
    });
    expect(record.reference).toBeNull();
    expect(codesOf(record)).toContain('reference-unlike');
  });
});
