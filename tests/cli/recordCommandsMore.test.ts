// `measure` on text records, in pieces, against limits; and bad records, each with its own error.
import { copyFileSync, readFileSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { kneepoint, openTerminal, type Terminal } from './terminal.ts';

const captures = join(import.meta.dirname, '..', 'captures');
const NAME = 'harbour-link-10mhz.observed';

function withCapture(name = NAME, terminal = openTerminal()): Terminal {
  for (const ending of ['meta', 'data']) {
    copyFileSync(join(captures, `${name}.sigmf-${ending}`), join(terminal.folder, `${name}.sigmf-${ending}`));
  }
  return terminal;
}

async function measure(terminal: Terminal, ...args: string[]) {
  terminal.out = '';
  terminal.err = '';
  const { code, out, err } = await kneepoint(['measure', ...args], terminal);
  return { code, out, err: err.replace(/\s+/g, ' ') };
}

/** The capture's samples as text. */
function asText(terminal: Terminal, lineOf: (re: number, im: number, n: number) => string): string {
  const data = readFileSync(join(captures, `${NAME}.sigmf-data`));
  const lines: string[] = [];
  for (let at = 0; at < data.byteLength; at += 4) {
    lines.push(lineOf(data.readInt16LE(at) / 32768, data.readInt16LE(at + 2) / 32768, at / 4));
  }
  writeFileSync(join(terminal.folder, 'text.csv'), `${lines.join('\n')}\n`);
  return 'text.csv';
}

describe('text records', () => {
  test('give the figures of the same samples as SigMF, whole and in pieces', async () => {
    const terminal = withCapture();
    const sigmf = JSON.parse((await measure(terminal, NAME, '--json')).out).record;
    const text = asText(terminal, (re, im) => `${re}, ${im}`);
    const whole = await measure(terminal, text, '--sample-rate', '122.88 MHz', '--json');
    expect(whole.err).toContain('note: sample rate 122880000 Hz from the rate given');
    const record = JSON.parse(whole.out).record;
    expect({ ...record, centreFrequencyHz: 3.5e9, clippedSampleCount: 0 }).toEqual(sigmf);
    const pieces = await measure(terminal, text, '--sample-rate', '122.88 MHz', '--json', '--stream');
    expect(pieces.err).toMatch(/note: 1\.\d MiB were read in pieces: the record is not taken as one period/);
    expect(JSON.parse(pieces.out).record.meanPowerDbfs).toBeCloseTo(sigmf.meanPowerDbfs, 9);
  });

  test('state their rate by a time column; a record of SigMF states its own', async () => {
    const terminal = withCapture();
    const text = asText(terminal, (re, im, n) => `${(n / 122.88e6).toFixed(12)};${re};${im}`);
    const { out } = await measure(terminal, text, '--json');
    expect(Math.abs(JSON.parse(out).record.sampleRateHz / 122.88e6 - 1)).toBeLessThan(1e-6);
    const { code, err } = await measure(terminal, NAME, '--sample-rate', '1e6');
    expect(code).toBe(2);
    expect(err).toContain('--sample-rate must stand beside a text record');
  });

  test('are driven through an amplifier', async () => {
    const terminal = withCapture();
    const text = asText(terminal, (re, im) => `${re},${im}`);
    const args = ['amplify', text, '--sample-rate', '122.88e6', '--with', 'quarry-link'];
    const { code, out } = await kneepoint(args, terminal);
    expect(code).toBe(0);
    expect(out).toBe('text-amplified.sigmf-meta\ntext-amplified.sigmf-data\n');
  });

  test('may be the reference', async () => {
    const terminal = withCapture();
    const text = asText(terminal, (re, im) => `${2 * re} ${2 * im}`);
    const { out } = await measure(terminal, NAME, '--reference', text, '--sample-rate', '122.88e6', '--json');
    const { reference } = JSON.parse(out).record;
    expect(reference.gainDb).toBeCloseTo(20 * Math.log10(0.5), 6);
    expect(reference.delaySamples).toBeCloseTo(0, 6);
  });
});

describe('in pieces', () => {
  test('the figures are those of the record that is not one period; a reference is refused', async () => {
    const terminal = withCapture('harbour-link-10mhz.drive', withCapture());
    const { code, out, err } = await measure(terminal, NAME, '--stream', '--json');
    expect(code).toBe(0);
    expect(err).toContain('0.2 MiB were read in pieces');
    const { record } = JSON.parse(out);
    expect(record.conditions).toMatchObject({ streamed: true, periodic: false, segmentCount: 11 });
    // scipy on whole segments, tests/reference/scipyMeasurement.json
    expect(record.aclr[0].aclrDb).toBeCloseTo(34.554, 2);
    const refused = await measure(terminal, NAME, '--stream', '--reference', 'harbour-link-10mhz.drive');
    expect(refused.code).toBe(2);
    expect(refused.err).toContain(
      '--reference must stand beside records of at most 64 MiB and 2^23 samples: both of a comparison',
    );
    expect((await measure(terminal, NAME, '--stream')).out).toContain('read in pieces');
  });

  test('a digest that does not fit and samples that cannot be are told', async () => {
    const terminal = withCapture();
    const file = join(terminal.folder, `${NAME}.sigmf-data`);
    truncateSync(file, 200_000);
    const short = await measure(terminal, NAME, '--stream');
    expect(short.code).toBe(2);
    expect(short.err).toContain('data must have the digest that global.core:sha512 states');
    const meta = join(terminal.folder, `${NAME}.sigmf-meta`);
    writeFileSync(meta, readFileSync(meta, 'utf8').replace('ci16_le', 'cf32_le'));
    expect((await measure(terminal, NAME, '--stream')).err).toMatch(/data, sample \d+ must be a finite number/);
  });

  test('a file above 64 MiB is read in pieces without being asked', async () => {
    // Only the size decides, before anything is read: zeros suffice, and take no room on most disks.
    const terminal = withCapture();
    const meta = join(terminal.folder, `${NAME}.sigmf-meta`);
    writeFileSync(meta, readFileSync(meta, 'utf8').replace(/"core:sha512": "\w+",?/, ''));
    truncateSync(join(terminal.folder, `${NAME}.sigmf-data`), 65 * 2 ** 20);
    const { code, err } = await measure(terminal, NAME);
    expect({ code, err }).toMatchObject({ code: 0 });
    expect(err).toContain('65.0 MiB were read in pieces');
    // 18 MiB of ci8 are 2^23 samples and more.
    writeFileSync(meta, readFileSync(meta, 'utf8').replace('ci16_le', 'ci8'));
    truncateSync(join(terminal.folder, `${NAME}.sigmf-data`), 18 * 2 ** 20);
    expect((await measure(terminal, NAME)).err).toContain('18.0 MiB were read in pieces');
  });
});

describe('limits', () => {
  test('a set, with its channels; --fail-on-limit ends with 1 when one is missed', async () => {
    const terminal = withCapture();
    const args = [NAME, '--limits', 'lte-wide-area-a', '--mean-power', '46 dBm'];
    const { code, out } = await measure(terminal, ...args);
    expect(code).toBe(0);
    expect(out).toMatch(/^ACLR, utraFirst, dB/m);
    expect(out).toMatch(/✕ over +ACLR adjacent, (lower|upper) +34\.\d dB +at least 45\.0 dB/);
    expect(out.replace(/\s+/g, ' ')).toContain('which stands for 46.00 dBm at the antenna port');
    await measure(terminal, ...args, '--out', 'readings');
    const picture = readFileSync(join(terminal.folder, 'readings', 'spectrum.svg'), 'utf8');
    expect(picture).toContain('Wide Area A, operating band');
    // utraFirst lies over adjacent: only one of them is written into its column.
    expect(picture).not.toContain('utraFirst');
    const judged = await measure(terminal, ...args, '--fail-on-limit');
    expect(judged.code).toBe(1);
    expect(judged.err).toMatch(/exit 1: the record misses \d of its limits/);
  });

  // As of a run, and as the engine's README says: a marginal verdict counts by the sign of its margin.
  test.each([
    [0.5, 1],
    [-0.5, 0],
  ])('a marginal verdict %d deviations over the reading ends with %d', async (deviations, wanted) => {
    const terminal = withCapture();
    const { record } = JSON.parse((await measure(terminal, NAME, '--json')).out);
    const adjacent = record.aclr.filter(({ channel }: { channel: string }) => channel === 'adjacent');
    const [{ aclrDb, spreadDb }] = adjacent.sort((a: { aclrDb: number }, b: { aclrDb: number }) => a.aclrDb - b.aclrDb);
    const limits = [{ reading: 'aclr', requiredDb: aclrDb + deviations * spreadDb }];
    writeFileSync(join(terminal.folder, 'limits.json'), JSON.stringify(limits));
    const { code, out } = await measure(terminal, NAME, '--limits', 'limits.json', '--fail-on-limit');
    expect(out).toContain('~ marginal');
    expect(code).toBe(wanted);
  });

  test('every channel says where it lies and through which filter it is read', async () => {
    const { out } = await measure(withCapture(), NAME, '--channels', 'ts36104');
    expect(out.replace(/\s+/g, ' ')).toContain('utraFirst 3.84 MHz root-raised-cosine at ±7.5 MHz');
  });

  test('a carrier frequency is not negative', async () => {
    const { code, err } = await measure(withCapture(), NAME, '--frequency', '-1');
    expect(code).toBe(2);
    expect(err).toContain('centreFrequencyHz must not be negative, got -1');
  });

  test('a file of limits, a preset; unknown names have their nearest told', async () => {
    const terminal = withCapture();
    writeFileSync(join(terminal.folder, 'limits.json'), '[{ "reading": "aclr", "requiredDb": 30 }]');
    const own = await measure(terminal, NAME, '--limits', 'limits.json', '--fail-on-limit');
    expect(own.code).toBe(0);
    expect(own.out).toContain('✓ within');
    expect((await measure(terminal, NAME, '--limits', 'quarry-link')).code).toBe(0);
    const unknown = await measure(terminal, NAME, '--limits', 'lte-wide-area');
    expect(unknown.code).toBe(2);
    expect(unknown.err).toContain('did you mean lte-wide-area-a?');
  });

  test('rule, notch, two tones, resolution bandwidth, averages and window are taken', async () => {
    const terminal = withCapture();
    const { out } = await measure(
      terminal,
      ...[NAME, '--json', '--channels', 'ts38104', '--notch', '1 MHz, 1 MHz', '--two-tone'],
      ...['--resolution-bandwidth', '30 kHz', '--averages', '4', '--window', 'hann'],
    );
    const { record } = JSON.parse(out);
    expect(record.aclr).toHaveLength(8);
    expect(record.notch).toMatchObject({ centreHz: 1e6, bandwidthHz: 1e6 });
    expect(record.twoTone.tones).toHaveLength(2);
    const text = await measure(terminal, NAME, '--two-tone');
    expect(text.out.replace(/\s+/g, ' ')).toMatch(/occupied, two tones with(out)? products of order 3/);
    expect(record.conditions).toMatchObject({ segmentLength: 8192, segmentCount: 4, window: 'hann' });
  });
});

describe('bad records, each with its own error', () => {
  const meta = (datatype: string, rate: unknown = 1e6) =>
    JSON.stringify({
      global: { 'core:datatype': datatype, 'core:version': '1.2.5', 'core:sample_rate': rate },
      captures: [],
      annotations: [],
    });
  const floats = (...values: number[]) => new Uint8Array(Float32Array.from(values).buffer);
  const many = (...values: number[]) => floats(...Array.from({ length: 600 }, () => values).flat());
  const steps = floats(...Array.from({ length: 1024 }, (_, n) => Math.sin(n * n)));
  test.each<[string, string, Uint8Array, RegExp]>([
    ['odd length', meta('cf32_le'), steps.subarray(0, 1021), /data must be a whole number of 8-byte cf32_le samples/],
    [
      'not a number',
      meta('cf32_le'),
      many(0.5, Number.NaN),
      /data, sample 0 must be a finite number .* got 0\.5 \+ j·NaN/,
    ],
    ['infinity', meta('cf32_le'), many(Infinity, 0), /data, sample 0 must be a finite number/],
    ['zero power', meta('cf32_le'), many(0, 0), /record must hold power, got zeros only/],
    ['DC only', meta('cf32_le'), many(0.5, 0.5), /record must hold more than a constant, got DC only, -3\.0 dBfs/],
    ['no samples', meta('cf32_le'), floats(), /data must hold samples, got 0 bytes/],
    ['rate zero', meta('cf32_le', 0), steps, /core:sample_rate must be a number from 1000 to 1e12 Hz, got 0/],
    ['rate negative', meta('cf32_le', -1e6), steps, /core:sample_rate must be a number from 1000 to 1e12 Hz/],
    ['rate beyond all', meta('cf32_le', 1e13), steps, /core:sample_rate must be a number from 1000 to 1e12 Hz/],
    [
      'rate in MHz',
      meta('cf32_le', 122.88),
      steps,
      /got 122\.88; give the sample rate in Hz, such as 122\.88e6; neither in MHz/,
    ],
    [
      'more announced than held',
      meta('cf32_le').replace('"annotations":[]', '"annotations":[{"core:sample_start":0,"core:sample_count":9999}]'),
      steps,
      /must end within the file, which holds 512 samples, got 9999; is the file truncated/,
    ],
  ])('%s', async (_name, metadata, data, wanted) => {
    const terminal = openTerminal();
    writeFileSync(join(terminal.folder, 'bad.sigmf-meta'), metadata);
    writeFileSync(join(terminal.folder, 'bad.sigmf-data'), data);
    for (const how of [[], ['--stream']]) {
      const { code, out, err } = await measure(terminal, 'bad', ...how);
      expect(code).toBe(2);
      expect(out).toBe('');
      expect(err).toMatch(wanted);
    }
  });
});
