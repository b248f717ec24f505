import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { formatIssue } from '../../../shared/schema/issue.ts';
import type { AmplifierModelSettings } from '../../../shared/schema/scenario.ts';
import { delayPeriodic } from '../../../src/engine/dsp/align.ts';
import { type ComplexSignal, meanPower, rotate, zeros } from '../../../src/engine/dsp/complex.ts';
import { inverseFft } from '../../../src/engine/dsp/fft.ts';
import { createRandom, type Random } from '../../../src/engine/dsp/random.ts';
import { readSigmf } from '../../../src/engine/record/sigmf.ts';
import { amplifyRecord } from '../../../src/engine/simulation/amplifyRecord.ts';
import {
  type MeasureRecordInput,
  measureRecord,
  type RecordInput,
} from '../../../src/engine/simulation/measureRecord.ts';
import type { RecordReport } from '../../../src/engine/simulation/recordReport.ts';

const folder = join(import.meta.dirname, '..', '..', 'captures');

function capture(name: string): RecordInput {
  const data = readFileSync(join(folder, `${name}.sigmf-data`));
  const outcome = readSigmf(readFileSync(join(folder, `${name}.sigmf-meta`), 'utf8'), data, {
    sha512: (bytes) => createHash('sha512').update(bytes).digest('hex'),
  });
  if (outcome.kind === 'invalid') throw new Error(outcome.issues.map(formatIssue).join('\n'));
  return outcome.record;
}

function mustMeasure(input: MeasureRecordInput): RecordReport {
  const outcome = measureRecord(input);
  if (outcome.kind === 'invalid') throw new Error(outcome.issues.map(formatIssue).join('\n'));
  return outcome.record;
}

/** Power `powers[i]` spread over bands [from, to) of bins, random phases; bins count from DC. */
function bands(length: number, list: readonly [number, number, number][], random: Random): ComplexSignal {
  const bins = zeros(length);
  for (const [from, to, power] of list) {
    const amplitude = length * Math.sqrt(power / (to - from));
    for (let k = from; k < to; k++) {
      const phase = 2 * Math.PI * random.uniform();
      bins.re[(k + length) % length] += amplitude * Math.cos(phase);
      bins.im[(k + length) % length] += amplitude * Math.sin(phase);
    }
  }
  return inverseFft(bins);
}

const reading = (record: RecordReport, channel: string, side: string) =>
  record.aclr.find((one) => one.channel === channel && one.side === side)!.aclrDb;

describe('the captured records', () => {
  // numpy/scipy: welch(x, 'blackmanharris', 8192, 4096, two-sided) of the same bytes; 9 MHz at 10 MHz, 18 MHz at 20 MHz.
  // scipy drops the last partial segment, here segments wrap around: the spread between the two is that of 11 segments.
  test.each([
    ['harbour-link-10mhz', 9e6, 10e6, [34.554, 34.46, 61.816, 61.58], -12.511565502108471],
    ['ridge-relay-20mhz', 18e6, 20e6, [36.474, 37.09, 53.006, 53.59], -12.240924713749003],
  ] as const)('%s: adjacent ratios are near those of scipy, on both sides', (name, own, spacing, aclrDb, meanDb) => {
    const record = mustMeasure(capture(`${name}.observed`));
    expect(record.channels).toMatchObject({
      centreHz: 0,
      ownBandwidthHz: own,
      spacingHz: spacing,
      neighbourBandwidthHz: own,
    });
    expect(record.channels.chosenBy).toContain('LTE');
    expect(record.aclr.map((one) => `${one.channel} ${one.side}`)).toEqual([
      'adjacent lower',
      'adjacent upper',
      'alternate lower',
      'alternate upper',
    ]);
    const differences = record.aclr.map((one, i) => Math.abs((one.aclrDb as number) - aclrDb[i]));
    expect(Math.max(...differences)).toBeLessThan(0.5);
    expect(record.meanPowerDbfs).toBeCloseTo(meanDb, 9);
    expect(record.conditions).toMatchObject({ periodic: true, window: 'blackmanHarris', segmentLength: 8192 });
    expect(record.warnings).toEqual([]);
  });

  test.each(['harbour-link-10mhz', 'ridge-relay-20mhz'])(
    '%s: observed against drive, as an independent fit finds it',
    (name) => {
      const reference = capture(`${name}.drive`);
      const record = mustMeasure({ ...capture(`${name}.observed`), reference });
      const golden = JSON.parse(readFileSync(join(import.meta.dirname, 'captureAlignment.golden.json'), 'utf8'))[name];
      const found = record.reference!;
      expect(Math.abs(found.delaySamples - golden.delaySamples)).toBeLessThan(1e-6); // both solve to rounding
      expect(found.gainDb).toBeCloseTo(golden.gainDb, 6);
      expect(found.phaseDeg).toBeCloseTo(golden.phaseDeg, 5);
      expect(found.nmseDb).toBeCloseTo(golden.nmseDb, 5);
      expect(found.evm.rmsPercent).toBeCloseTo(golden.evmPercent, 5);
      expect(found.evm).toMatchObject({ equalizer: 'oneGain', reference: 'record', symbolCount: null });
      expect(found.delayErrorPercent).toBeLessThan(0.1); // F20: residual EVM from delay
    },
  );
});

describe('closed forms', () => {
  test('flat bands of known power read their ratio, powers, delay and gain', () => {
    const length = 2 ** 16;
    const random = createRandom(3, 'bands');
    // 4801 bins of 30.72 MHz/65536 = 468.75 Hz: 2.25 MHz own; neighbours of the same width at 2.5 and 5 MHz.
    const at = (centre: number): [number, number] => [centre - 2400, centre + 2400];
    const powers = [1, 1e-4, 1e-5, 1e-6, 1e-7];
    const centres = [0, -5333, 5333, -10667, 10667];
    const x = bands(
      length,
      centres.map((centre, i) => [...at(centre), powers[i]] as [number, number, number]),
      random,
    );
    const channels = { ownBandwidthHz: 2.3e6, spacingHz: 5333 * 468.75, neighbourBandwidthHz: 2.3e6 };
    const record = mustMeasure({ signal: x, sampleRateHz: 30.72e6, channels });
    expect(record.meanPowerDbfs).toBeCloseTo(10 * Math.log10(powers.reduce((a, b) => a + b)), 9);
    // The window spreads each edge over ± 4 of 614 bins a band: 0.05 dB of the measured power at most.
    expect(reading(record, 'adjacent', 'lower')).toBeCloseTo(40, 1);
    expect(reading(record, 'adjacent', 'upper')).toBeCloseTo(50, 1);
    expect(reading(record, 'alternate', 'lower')).toBeCloseTo(60, 1);
    expect(reading(record, 'alternate', 'upper')).toBeCloseTo(70, 1);
    expect(record.occupiedBandwidthHz / (0.99 * 4800 * 468.75)).toBeCloseTo(1, 2);
    const y = rotate(delayPeriodic(x, 12.34), { re: 0, im: 0.5 });
    const against = mustMeasure({
      signal: y,
      sampleRateHz: 30.72e6,
      channels,
      reference: { signal: x, sampleRateHz: 30.72e6 },
    }).reference!;
    expect(against.delaySamples).toBeCloseTo(12.34, 8);
    expect(against.delayS).toBeCloseTo(12.34 / 30.72e6, 15);
    expect(against.gainDb).toBeCloseTo(20 * Math.log10(0.5), 8);
    expect(against.phaseDeg).toBeCloseTo(90, 6);
    expect(against.evm.rmsPercent).toBeLessThan(1e-6);
  });

  test('EVM counts the error in the channel only, NMSE all of it', () => {
    const length = 2 ** 15;
    const random = createRandom(4, 'evm');
    const x = bands(length, [[-1000, 1000, 1]], random);
    const inside = bands(length, [[-1000, 1000, 4e-4]], random); // 2 %
    const outside = bands(length, [[3000, 5000, 1e-2]], random); // −20 dB
    const y = zeros(length);
    for (let n = 0; n < length; n++) {
      y.re[n] = x.re[n] + inside.re[n] + outside.re[n];
      y.im[n] = x.im[n] + inside.im[n] + outside.im[n];
    }
    const fs = 1e6;
    const channels = { ownBandwidthHz: (2002 * fs) / length };
    const found = mustMeasure({ signal: y, sampleRateHz: fs, reference: { signal: x, sampleRateHz: fs }, channels })
      .reference!;
    expect(found.evm.rmsPercent).toBeGreaterThan(1.95); // a gain absorbs about 1/√2000 = 2 % of the error
    expect(found.evm.rmsPercent).toBeLessThan(2.05);
    expect(found.nmseDb).toBeCloseTo(10 * Math.log10(1.04e-2), 1);
  });

  test('a channel beside the centre is found there', () => {
    const x = bands(2 ** 15, [[6000, 8000, 1]], createRandom(5, 'offset'));
    const record = mustMeasure({ signal: x, sampleRateHz: 2 ** 15 * 4500 });
    expect(Math.abs(record.channels.centreHz - 7000 * 4500)).toBeLessThan(0.003 * 7000 * 4500); // three digits
    expect(record.channels.chosenBy).toContain('LTE 10 MHz'); // 2000 × 4.5 kHz = 9 MHz
  });

  test('a width of no standard is rounded and said to be', () => {
    const x = bands(2 ** 15, [[-1000, 1000, 1]], createRandom(6, 'odd'));
    const { channels } = mustMeasure({ signal: x, sampleRateHz: 2 ** 15 * 1000 });
    expect(channels).toMatchObject({ ownBandwidthHz: 2e6, spacingHz: 2.2e6 });
    expect(channels.chosenBy).toBe('the occupied bandwidth rounded, with a 10 % guard share');
  });
});

describe('what is not there is not read', () => {
  test('at 15.36 Msps a 10 MHz carrier has no adjacent channel, and 29 Msps are asked for (P19, OF-02)', () => {
    const length = 2 ** 14;
    const spacing = 15.36e6 / length;
    const half = Math.round(4.5e6 / spacing);
    const x = bands(length, [[-half, half, 1]], createRandom(7, 'p19'));
    const record = mustMeasure({ signal: x, sampleRateHz: 15.36e6 });
    expect(record.channels.ownBandwidthHz).toBe(9e6);
    expect(record.aclr.map((one) => one.aclrDb)).toEqual([null, null, null, null]);
    const messages = record.warnings.filter((one) => one.code === 'channel-outside-rate').map((one) => one.message);
    expect(messages[0]).toContain('adjacent channel, 10 ±4.5 MHz from the carrier, lies outside ±7.68 MHz');
    expect(messages[0]).toContain('at least 29 MHz'); // OF-02
    expect(messages[1]).toContain('at least 49 MHz'); // OF-02
  });

  test('a record that fills its rate is doubted: a wrong datatype looks like this', () => {
    const random = createRandom(8, 'noise');
    const x = zeros(8192);
    for (let n = 0; n < 8192; n++) {
      x.re[n] = random.normal();
      x.im[n] = random.normal();
    }
    const record = mustMeasure({ signal: x, sampleRateHz: 1e6 });
    expect(record.warnings.map((one) => one.code)).toContain('record-fills-rate');
    expect(record.aclr.every((one) => one.aclrDb === null)).toBe(true);
  });

  test('a cut that is not one period does not wrap, so the join adds no floor', () => {
    const x = bands(2 ** 16, [[-1500, 1500, 1]], createRandom(9, 'cut'));
    const cut = { re: x.re.slice(0, 50_021), im: x.im.slice(0, 50_021) };
    const record = mustMeasure({ signal: cut, sampleRateHz: 30.72e6 });
    expect(record.conditions.periodic).toBe(false);
    expect(record.warnings.map((one) => one.code)).toContain('not-one-period');
    expect(reading(record, 'alternate', 'upper')).toBeGreaterThan(90); // the window's sidelobes are at −92 dB
  });

  test('records that do not belong together give no delay and no EVM', () => {
    const random = createRandom(10, 'strangers');
    const [signal, other] = [bands(8192, [[-900, 900, 1]], random), bands(8192, [[-900, 900, 1]], random)];
    const record = mustMeasure({ signal, sampleRateHz: 1e6, reference: { signal: other, sampleRateHz: 1e6 } });
    expect(record.reference).toBeNull();
    expect(record.warnings.map((one) => one.code)).toContain('reference-unlike');
  });

  test('unusable input is listed with path, rule, value and remedy', () => {
    const signal = bands(1024, [[-100, 100, 1]], createRandom(11, 'faults'));
    const outcome = measureRecord({
      signal,
      sampleRateHz: 1e6,
      reference: { signal: zeros(1000), sampleRateHz: 2e6 },
      channels: { ownBandwidthHz: -1, spacingHz: 0, centreHz: 6e5 },
      spectrum: { segmentLength: 1000 },
    });
    const faults = outcome.kind === 'invalid' ? outcome.issues.map(formatIssue) : [];
    expect(faults).toEqual([
      'reference must have the record’s sample rate, 1000000 Hz, got 2000000 Hz; resample one of them',
      'reference must hold power, got zeros only; give a record of a signal',
      'segmentLength must be a power of two up to the record’s 1024 samples, got 1000; pick such a length',
      'ownBandwidthHz must be above 0 Hz, got -1; give a bandwidth in Hz',
      'spacingHz must be above 0 Hz, got 0; give a bandwidth in Hz',
      'ownBandwidthHz must keep the own channel within ±500000 Hz, half the sample rate, got 599999.5; narrow it or move its centre',
    ]);
    const silent = measureRecord({ signal: zeros(512), sampleRateHz: 1 });
    expect(silent.kind === 'invalid' && formatIssue(silent.issues[0])).toContain('record must hold power');
    const short = measureRecord({ signal: zeros(255), sampleRateHz: 1 });
    expect(short.kind === 'invalid' && formatIssue(short.issues[0])).toContain(
      'record must hold at least 256 samples, got 255 samples',
    );
  });
});

describe('amplifyRecord', () => {
  const cubic = (driveRange: number | 'none'): AmplifierModelSettings => ({
    kind: 'memoryPolynomial',
    modelRateHz: 'any',
    nonlinearOrders: [1, 3],
    memoryDepth: 1,
    coefficients: [
      { re: 3, im: 0 },
      { re: -0.5, im: 0.25 },
    ],
    driveRange,
    saturatedAmplitude: 2.5,
  });

  test('the drive is in the units the coefficients are written in, and so is the output', () => {
    const signal = bands(1024, [[-60, 60, 0.04]], createRandom(12, 'cubic'));
    const outcome = amplifyRecord({ signal, sampleRateHz: 1e6 }, cubic(1.2));
    if (outcome.kind !== 'record') throw new Error('must run');
    let worst = 0;
    for (let n = 0; n < 1024; n++) {
      const r2 = signal.re[n] ** 2 + signal.im[n] ** 2;
      const g = { re: 3 - 0.5 * r2, im: 0.25 * r2 }; // y = x·(a1 + a3·|x|²)
      worst = Math.max(worst, Math.abs(g.re * signal.re[n] - g.im * signal.im[n] - outcome.record.signal.re[n]));
    }
    expect(worst).toBeLessThan(1e-12); // rounding of the scaling to and fro
    expect(outcome.record.heldSampleRatio).toBe(0);
    expect(outcome.record.driveRange).toBeCloseTo(1.2, 12);
    expect(outcome.record.outputBackoffDb).toBeCloseTo(10 * Math.log10(2.5 ** 2 / meanPower(outcome.record.signal)), 9);
  });

  test('samples beyond the drive range are held, counted and reported', () => {
    const signal = bands(1024, [[-60, 60, 0.04]], createRandom(12, 'cubic'));
    const outcome = amplifyRecord({ signal, sampleRateHz: 1e6 }, cubic(0.4));
    if (outcome.kind !== 'record') throw new Error('must run');
    let held = 0;
    for (let n = 0; n < 1024; n++) if (signal.re[n] ** 2 + signal.im[n] ** 2 > 0.16) held++;
    expect(held).toBeGreaterThan(0);
    expect(outcome.record.heldSampleRatio).toBe(held / 1024);
    expect(outcome.record.warnings[0]).toMatchObject({ code: 'drive-held' });
    expect(outcome.record.warnings[0].message).toContain(
      `${((100 * held) / 1024).toFixed(1)} % of the drive’s samples were held at 0.4000`,
    );
  });

  test('a model with memory and no rate of its own warns of the rate it is taken at', () => {
    const signal = bands(1024, [[-60, 60, 0.04]], createRandom(12, 'cubic'));
    const taps = [
      { re: 1, im: 0 },
      { re: 0.1, im: 0 },
    ];
    const withMemory = { ...cubic(10), memoryDepth: 2, nonlinearOrders: [1], coefficients: taps };
    const codes = (settings: AmplifierModelSettings) => {
      const outcome = amplifyRecord({ signal, sampleRateHz: 1e6 }, settings);
      return outcome.kind === 'record' ? outcome.record.warnings.map(({ code }) => code) : [];
    };
    expect(codes(withMemory as AmplifierModelSettings)).toEqual(['model-rate-unstated']);
    expect(codes({ ...withMemory, modelRateHz: 1e6 } as AmplifierModelSettings)).toEqual([]);
  });

  test('a polynomial without a range warns; a rate that does not fit refuses with a remedy', () => {
    const signal = bands(1000, [[-60, 60, 0.04]], createRandom(12, 'cubic'));
    const unguarded = amplifyRecord({ signal, sampleRateHz: 1e6 }, cubic('none'));
    expect(unguarded.kind === 'record' && unguarded.record.warnings[0].code).toBe('drive-unguarded');
    const refused = amplifyRecord({ signal, sampleRateHz: 1e6 }, {
      ...cubic(1),
      modelRateHz: 1.0007e6,
    } as AmplifierModelSettings);
    expect(refused.kind === 'invalid' && formatIssue(refused.issues[0])).toContain('a whole number of samples');
    const silent = amplifyRecord({ signal: zeros(512), sampleRateHz: 1e6 }, cubic(1));
    expect(silent.kind === 'invalid' && formatIssue(silent.issues[0])).toContain('record must hold power');
  });
});
