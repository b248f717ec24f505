import { copyFileSync, readdirSync, readFileSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { runScenario } from '../../src/engine/index.ts';
import { kneepoint, openTerminal, SMALL_SCENARIO, type Terminal } from './terminal.ts';

const captures = join(import.meta.dirname, '..', 'captures');

function withCapture(name: string, terminal = openTerminal()): Terminal {
  for (const ending of ['meta', 'data']) {
    copyFileSync(join(captures, `${name}.sigmf-${ending}`), join(terminal.folder, `${name}.sigmf-${ending}`));
  }
  return terminal;
}

function editMeta(terminal: Terminal, name: string, edit: (global: Record<string, unknown>) => void): void {
  const path = join(terminal.folder, `${name}.sigmf-meta`);
  const meta = JSON.parse(readFileSync(path, 'utf8'));
  edit(meta.global);
  writeFileSync(path, JSON.stringify(meta));
}

describe('measure', () => {
  test.each([
    ['harbour-link-10mhz', '9 MHz', 'LTE 10 MHz', 4.609],
    ['ridge-relay-20mhz', '18 MHz', 'LTE 20 MHz', 3.627],
  ])(
    '%s: the adjacent ratio is 34 to 37 dB on both sides, by any of the record’s names',
    async (name, own, standard, evm) => {
      const terminal = withCapture(`${name}.drive`, withCapture(`${name}.observed`));
      const args = ['measure', `${name}.observed`, '--reference', `${name}.drive.sigmf-data`];
      const { code, out, err } = await kneepoint(args, terminal);
      expect(code).toBe(0);
      const [, lower, upper] = /^ACLR, adjacent, dB +(\d+\.\d) +(\d+\.\d)$/m.exec(out)!;
      for (const side of [lower, upper]) {
        expect(Number(side)).toBeGreaterThanOrEqual(34);
        expect(Number(side)).toBeLessThanOrEqual(37.2); // scipy reads 37.09 dB on the relay's upper side
      }
      expect(out.replace(/\s+/g, ' ')).toContain(`Own channel ${own.replace(' ', ' ')} at 0 Hz`.replace(/\s+/g, ' '));
      expect(out.replace(/\s+/g, ' ')).toContain(`the standard channel nearest to the occupied bandwidth: ${standard}`);
      expect(out).toMatch(/^ {2}delay +\d+\.\d{3} ns ± 0\.\d+ ns \(\d+\.\d{4} samples\)$/m);
      expect(Number(/^ {2}EVM, rms +(\d+\.\d+)/m.exec(out)![1])).toBeCloseTo(evm, 1); // scipy's fit, captureAlignment.py
      expect(err).toContain('note: ci16_le samples were divided by 32768: full scale is 1.0');
      for (const path of [`${name}.observed.sigmf-meta`, `${name}.observed.sigmf-data`]) {
        terminal.out = '';
        expect((await kneepoint(['measure', path], terminal)).out).toContain(
          `ACLR, adjacent, dB     ${lower}    ${upper}`,
        );
      }
    },
  );

  test('--json prints the readings under record, --out writes them with the pictures', async () => {
    const terminal = withCapture('harbour-link-10mhz.observed');
    const { out, folder } = await kneepoint(
      ['measure', 'harbour-link-10mhz.observed', '--json', '--out', 'readings'],
      terminal,
    );
    const { kneepoint: tool, record, warnings } = JSON.parse(out);
    expect(tool).toMatchObject({ format: 1 });
    expect(record).toMatchObject({
      sampleRateHz: 122.88e6,
      sampleCount: 52608,
      centreFrequencyHz: 3.5e9,
      reference: null,
    });
    expect(record.aclr[0]).toMatchObject({ channel: 'adjacent', side: 'lower', offsetHz: 10e6, bandwidthHz: 9e6 });
    expect(record.papr[0]).toMatchObject({ probability: 0.1 });
    expect(record.traces).toBeUndefined();
    expect(warnings).toEqual([]);
    expect(readdirSync(join(folder, 'readings')).sort()).toEqual([
      'ccdf.svg',
      'report.json',
      'spectrum.csv',
      'spectrum.svg',
    ]);
    expect(readFileSync(join(folder, 'readings', 'report.json'), 'utf8')).toBe(out);
    expect(readFileSync(join(folder, 'readings', 'spectrum.csv'), 'utf8')).toMatch(
      /^"offset \(Hz\)","record \(dBfs per /,
    );
  });

  test('the channel can be given, with units', async () => {
    const terminal = withCapture('harbour-link-10mhz.observed');
    const channel = [
      '--own-bandwidth',
      '9.36 MHz',
      '--spacing',
      '10e6',
      '--neighbour-bandwidth',
      '5MHz',
      '--centre',
      '-100kHz',
    ];
    const { out } = await kneepoint(['measure', 'harbour-link-10mhz.observed', '--json', ...channel], terminal);
    const { channels } = JSON.parse(out).record;
    expect(channels).toMatchObject({
      ownBandwidthHz: 9.36e6,
      spacingHz: 10e6,
      neighbourBandwidthHz: 5e6,
      centreHz: -1e5,
    });
    expect(channels.chosenBy).toBe('own bandwidth as given; spacing as given');
  });

  test('a channel outside the rate is a dash in the text, null in the JSON, and told (P19)', async () => {
    const terminal = withCapture('harbour-link-10mhz.observed');
    const args = ['measure', 'harbour-link-10mhz.observed', '--spacing', '30 MHz'];
    const { out, err, code } = await kneepoint(args, terminal);
    expect(code).toBe(0);
    expect(out).toMatch(/^ACLR, alternate, dB +– +–$/m);
    expect(err.replace(/\s+/g, ' ')).toContain(
      'warning (channel-outside-rate): The alternate channel, 60 ±4.5 MHz from the carrier, lies outside ±61.44 MHz',
    );
    terminal.out = '';
    const json = await kneepoint([...args, '--json'], terminal);
    expect(JSON.parse(json.out).record.aclr[3].aclrDb).toBeNull();
  });

  const name = 'harbour-link-10mhz.observed';
  test.each<[string, (terminal: Terminal) => void, RegExp[]]>([
    [
      'truncated inside a sample',
      (t) => truncateSync(join(t.folder, `${name}.sigmf-data`), 210_431),
      [
        /data must be a whole number of 4-byte ci16_le samples, got 210431 bytes, 3 too many after sample 52606/,
        /data must have the digest that global\.core:sha512 states \(32b52ba61800…\), got \S+… over 210431 bytes/,
      ],
    ],
    [
      'truncated between samples',
      (t) => truncateSync(join(t.folder, `${name}.sigmf-data`), 200_000),
      [/data must have the digest .*; the file is truncated, changed or belongs to another record/],
    ],
    [
      'labelled with the data of another',
      (t) => copyFileSync(join(captures, 'harbour-link-10mhz.drive.sigmf-data'), join(t.folder, `${name}.sigmf-data`)),
      [/data must have the digest/],
    ],
    [
      'labelled floating point',
      (t) =>
        editMeta(t, name, (g) => {
          g['core:datatype'] = 'cf32_le';
        }),
      [/data, sample \d+ must be a finite number .*; are these bytes really cf32_le\? check core:datatype/],
    ],
    [
      'labelled without byte order',
      (t) =>
        editMeta(t, name, (g) => {
          g['core:datatype'] = 'ci16';
        }),
      [/global\.core:datatype must be "c" or "r", then f32.*, got "ci16"/],
    ],
    [
      'labelled with two channels and without a rate',
      (t) =>
        editMeta(t, name, (g) => {
          g['core:num_channels'] = 2;
          delete g['core:sample_rate'];
        }),
      [/2 faults/, /global\.core:num_channels must be 1/, /global\.core:sample_rate is required/],
    ],
    [
      'without its data file',
      (t) => truncateSync(join(t.folder, `${name}.sigmf-data`), 0),
      [/data must hold samples, got 0 bytes/],
    ],
  ])('a record %s is refused: code 2, what and where', async (_name, spoil, wanted) => {
    const terminal = withCapture(name);
    spoil(terminal);
    const { code, out, err } = await kneepoint(['measure', name, '--out', 'readings'], terminal);
    expect(code).toBe(2);
    expect(out).toBe('');
    for (const pattern of wanted) expect(err).toMatch(pattern);
    expect(readdirSync(terminal.folder).sort()).toEqual([`${name}.sigmf-data`, `${name}.sigmf-meta`]);
  });

  test('a missing record and a reference of something else are told', async () => {
    expect((await kneepoint(['measure', 'nowhere'])).err).toBe(
      'kneepoint: nowhere.sigmf-meta must be a readable file, got no such file or folder; check the name\n',
    );
    const terminal = withCapture('ridge-relay-20mhz.drive', withCapture(name));
    const { code, out, err } = await kneepoint(['measure', name, '--reference', 'ridge-relay-20mhz.drive'], terminal);
    expect(code).toBe(0);
    expect(out).not.toContain('Against the reference');
    expect(err.replace(/\s+/g, ' ')).toContain('warning (reference-unlike): Record and reference correlate by 0.');
  });
});

describe('wave', () => {
  test('writes the judging record, whose readings are those of the run', async () => {
    const terminal = openTerminal();
    writeFileSync(
      join(terminal.folder, 'bench.json'),
      JSON.stringify({ ...SMALL_SCENARIO, carrierFrequencyHz: 3.5e9 }),
    );
    const { code, out, err } = await kneepoint(['wave', 'bench.json'], terminal);
    expect(code).toBe(0);
    expect(out).toBe('bench-judging.sigmf-meta\nbench-judging.sigmf-data\n');
    expect(err).toContain('Small bench, judging record (seed 1)');
    terminal.out = '';
    const measured = await kneepoint(['measure', 'bench-judging', '--json'], terminal);
    const { record, warnings } = JSON.parse(measured.out);
    const outcome = runScenario(SMALL_SCENARIO);
    if (outcome.kind !== 'report') throw new Error('must run');
    const { waveform } = outcome.report;
    expect(warnings).toEqual([]);
    expect(record.centreFrequencyHz).toBe(3.5e9);
    expect(record.meanPowerDbfs).toBeCloseTo(0, 6);
    expect(record.occupiedBandwidthHz).toBeCloseTo(waveform.occupiedBandwidthHz, -1);
    expect(record.peakToAverageDb).toBeCloseTo(waveform.peakToAverageDb, 5); // single precision
  });

  test('the records of the three seeds differ, and --out names them', async () => {
    const terminal = openTerminal({ stdin: JSON.stringify(SMALL_SCENARIO) });
    const hashes = new Set<string>();
    for (const record of ['judging', 'training', 'selection']) {
      const { code } = await kneepoint(
        ['wave', '-', '--record', record, '--out', `deep/${record}.sigmf-meta`],
        terminal,
      );
      expect(code).toBe(0);
      const meta = JSON.parse(readFileSync(join(terminal.folder, 'deep', `${record}.sigmf-meta`), 'utf8'));
      expect(meta.global['core:description']).toContain(`${record} record, seed`);
      hashes.add(meta.global['core:sha512']);
    }
    expect(hashes.size).toBe(3);
  });
});

describe('amplify', () => {
  const cubic = {
    kind: 'memoryPolynomial',
    nonlinearOrders: [1, 3],
    memoryDepth: 1,
    coefficients: [{ re: 10 }, { re: -20 }],
    driveRange: 0.4,
    saturatedAmplitude: 2.6,
  };

  test('the samples are the drive as they are: a cubic written by hand gives what it should, and held samples are told', async () => {
    const terminal = withCapture('harbour-link-10mhz.drive');
    writeFileSync(join(terminal.folder, 'cubic.json'), JSON.stringify(cubic));
    const args = ['amplify', 'harbour-link-10mhz.drive', '--with', 'cubic.json', '--out', 'through'];
    const { code, out, err } = await kneepoint(args, terminal);
    expect(code).toBe(0);
    expect(out).toBe('through.sigmf-meta\nthrough.sigmf-data\n');
    const drive = readFileSync(join(captures, 'harbour-link-10mhz.drive.sigmf-data'));
    const output = readFileSync(join(terminal.folder, 'through.sigmf-data'));
    let [worst, held] = [0, 0];
    for (let n = 0; n < 52608; n++) {
      const [re, im] = [drive.readInt16LE(4 * n) / 32768, drive.readInt16LE(4 * n + 2) / 32768];
      const r = Math.hypot(re, im);
      const stop = r > 0.4 ? 0.4 / r : 1;
      if (r > 0.4) held++;
      const gain = stop * (10 - 20 * (stop * r) ** 2); // y = x·(10 − 20·|x|²), x held at 0.4
      worst = Math.max(
        worst,
        Math.abs(output.readFloatLE(8 * n) - gain * re),
        Math.abs(output.readFloatLE(8 * n + 4) - gain * im),
      );
    }
    expect(worst).toBeLessThan(4e-7); // single precision of values up to 3
    expect(held).toBeGreaterThan(0);
    const share = held / 52608;
    const text = share >= 0.01 ? `${(100 * share).toFixed(1)} %` : `${(1e6 * share).toFixed(0)} ppm`;
    expect(err.replace(/\s+/g, ' ')).toContain(`${text} of the drive’s samples were held at 0.4000`);
  });

  test('a preset’s amplifier on a preset’s waveform, and a published model at its own rate', async () => {
    const terminal = openTerminal();
    let json = '';
    await kneepoint(
      ['wave', 'quarry-link', '--set', 'waveform.symbolCount=6', '--mean', '-12.5', '--out', 'drive'],
      terminal,
    );
    const measured = await kneepoint(['measure', 'drive', '--json'], {
      ...terminal,
      out: '',
      session: {
        ...terminal.session,
        stdout: (text) => {
          json += text;
        },
      },
    });
    expect(measured.code).toBe(0);
    expect(JSON.parse(json).record.meanPowerDbfs).toBeCloseTo(-12.5, 6);
    for (const model of ['quarry-link', 'GaN_2GHz_GMP']) {
      terminal.err = '';
      const { code, err } = await kneepoint(['amplify', 'drive', '--with', model], terminal);
      expect({ code, err }).toMatchObject({ code: 0 });
      expect(readdirSync(terminal.folder)).toContain('drive-amplified.sigmf-data');
      if (model === 'GaN_2GHz_GMP') expect(err).toContain('resampled to 200');
    }
  });

  test.each<[string, string[], RegExp]>([
    [
      'an unknown model',
      ['--with', 'quarry-lnik'],
      /--with must be a preset, a published model, a scenario, an amplifier or a model file, got "quarry-lnik"; did you mean quarry-link\?/,
    ],
    [
      'a faulty model file',
      ['--with', 'bad.json'],
      /bad\.json: 2 faults\n {2}memoryDepth is required.*\n {2}driveRange is required/,
    ],
    ['a faulty scenario', ['--with', 'scenario.json'], /scenario\.json: \d faults/],
    [
      'its own name',
      ['--with', 'quarry-link', '--out', 'harbour-link-10mhz.drive.sigmf-data'],
      /--out must not be the record itself/,
    ],
    ['a rate that does not fit', ['--with', 'odd.json'], /amplifier\.model\.modelRateHz must .*got/],
  ])('%s is refused: code 2, nothing written', async (_name, args, wanted) => {
    const terminal = withCapture('harbour-link-10mhz.drive');
    const { memoryDepth: _depth, driveRange: _range, ...bad } = cubic;
    writeFileSync(join(terminal.folder, 'bad.json'), JSON.stringify(bad));
    writeFileSync(join(terminal.folder, 'odd.json'), JSON.stringify({ ...cubic, modelRateHz: 100.00001e6 }));
    writeFileSync(join(terminal.folder, 'scenario.json'), JSON.stringify({ amplifier: { model: cubic } }));
    const before = readdirSync(terminal.folder);
    const { code, out, err } = await kneepoint(['amplify', 'harbour-link-10mhz.drive', ...args], terminal);
    expect(code).toBe(2);
    expect(out).toBe('');
    expect(err).toMatch(wanted);
    expect(readdirSync(terminal.folder)).toEqual(before);
  });
});
