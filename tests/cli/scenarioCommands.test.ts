import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { cautions } from '../../shared/cautions.ts';
import { presetNames } from '../../shared/presets/index.ts';
import type { Report } from '../../shared/schema/report.ts';
import { run } from '../../src/cli/commands/run.ts';
import { runScenario } from '../../src/engine/index.ts';
import { runWithFaults } from '../../src/engine/simulation/runScenario.ts';
import { kneepoint, openTerminal, SMALL_SCENARIO } from './terminal.ts';

function withScenario(scenario: unknown, options: Parameters<typeof openTerminal>[0] = {}) {
  const terminal = openTerminal(options);
  writeFileSync(
    join(terminal.folder, 'bench.json'),
    typeof scenario === 'string' ? scenario : JSON.stringify(scenario),
  );
  return terminal;
}

// biome-ignore lint/suspicious/noExplicitAny: a faulty scenario has no type.
type Loose = Record<string, any>;

const changed = (change: (scenario: Loose) => void): unknown => {
  const scenario = structuredClone(SMALL_SCENARIO) as Loose;
  change(scenario);
  return scenario;
};

describe('run', () => {
  test('prints the answer first, then figures with units, limits with margins, floors and the caution; nothing else', async () => {
    const { code, out, err } = await kneepoint(['run', 'bench.json'], withScenario(SMALL_SCENARIO));
    expect(code).toBe(0);
    const lines = out.split('\n');
    expect(lines[0]).toBe('Small bench');
    expect(lines[1]).toMatch(/^At 31\.0 dBm \(1\.26 W, 9\.0 dB output back-off\)/);
    expect(out).toMatch(/^ +uncorrected +corrected +ideal limiter$/m);
    expect(out).toMatch(/^mean output power, dBm +31\.00 +(31\.00|30\.99|31\.01) +(31\.00|30\.99|31\.01)$/m);
    expect(out).toMatch(/^mean at the antenna port, dBm +30\.00/m);
    expect(out).toMatch(/^ACLR, adjacent, lower, dB +\d+\.\d +\d+\.\d +\d+\.\d$/m);
    expect(out).toMatch(
      /^ {2}✓ within +corrected +ACLR adjacent, (lower|upper) +\d+\.\d dB +at least 30\.0 dB +margin \+\d+\.\d dB/m,
    );
    expect(out).toContain('own power over the power in 9.004\u2009MHz at ±10\u2009MHz (adjacent)');
    expect(out).toContain('ideal limiter');
    expect(out.replaceAll('\n', ' ')).toContain(cautions[0]!);
    expect(out).not.toMatch(/NaN|undefined|Infinity|\[object/);
    expect(out).not.toContain('warning');
    expect(err).not.toContain('\r');
  });

  test('--json prints exactly the library’s readings; --traces adds the arrays', async () => {
    const { code, out } = await kneepoint(['run', 'bench.json', '--json'], withScenario(SMALL_SCENARIO));
    expect(code).toBe(0);
    const outcome = runScenario(SMALL_SCENARIO);
    if (outcome.kind !== 'report') throw new Error('must run');
    const { traces, ...readings } = outcome.report;
    const plain = (value: unknown) =>
      JSON.parse(JSON.stringify(value, (_k, v) => (ArrayBuffer.isView(v) ? Array.from(v as Float64Array) : v)));
    expect(JSON.parse(out)).toEqual(plain(readings));
    const all = await kneepoint(['run', 'bench.json', '--json', '--traces'], withScenario(SMALL_SCENARIO));
    expect(JSON.parse(all.out).traces.spectra.uncorrected.level).toEqual(Array.from(traces.spectra.uncorrected.level));
  });

  test('a scenario from standard input, with fields replaced', async () => {
    const terminal = openTerminal({ stdin: JSON.stringify(SMALL_SCENARIO) });
    const { code, out } = await kneepoint(
      ['run', '-', '--json', '--set', 'predistorter=null', '--set', 'operatingPoint.meanPowerDbm=30.5'],
      terminal,
    );
    expect(code).toBe(0);
    const report = JSON.parse(out) as Report;
    expect(report.corrected).toBeNull();
    expect(report.uncorrected.meanPowerDbm).toBeCloseTo(30.5, 2); // levelling within 0.01 dB
    expect(Object.keys(report.scenario.operatingPoint)).toEqual(['meanPowerDbm']);
  });

  test('without a correction there is no corrected column', async () => {
    const { out } = await kneepoint(['run', 'bench.json', '--set', 'predistorter=null'], withScenario(SMALL_SCENARIO));
    expect(out).toMatch(/^ +uncorrected +ideal limiter$/m);
    expect(out).not.toContain('Predistorter:');
  });

  test('--out writes the report, the spectrum, two pictures and one page that loads nothing', async () => {
    const terminal = withScenario(SMALL_SCENARIO);
    const { code, err, folder } = await kneepoint(['run', 'bench.json', '--out', 'deep/er'], terminal);
    expect(code).toBe(0);
    const written = (name: string) => readFileSync(join(folder, 'deep', 'er', name), 'utf8');
    expect(readdirSync(join(folder, 'deep', 'er')).sort()).toEqual([
      'ccdf.svg',
      'checklist.html',
      'predistorter.json',
      'report.html',
      'report.json',
      'spectrum.csv',
      'spectrum.svg',
    ]);
    expect(err).toContain(
      'wrote report.json, spectrum.csv, spectrum.svg, ccdf.svg, report.html, checklist.html, predistorter.json in deep/er',
    );
    const report = JSON.parse(written('report.json')) as Report;
    expect(report.kneepoint.format).toBe(1);
    const html = written('report.html');
    expect(html.replaceAll('\u00a0', ' ')).toContain(report.answer);
    expect(html.match(/<svg /g)!.length).toBeGreaterThanOrEqual(2);
    expect(html).not.toMatch(/<script|<link|<img|url\(|src=/);
    expect(html.replace('http://www.w3.org/2000/svg', '').replace('http://www.w3.org/2000/svg', '')).not.toMatch(
      /https?:/,
    );
    for (const caution of cautions) expect(html).toContain(caution.slice(0, 20));
    const csv = written('spectrum.csv').split('\r\n');
    expect(csv[0]).toMatch(/^"offset \(Hz\)","waveform \(dBm per [\d.]+.kHz\)","uncorrected/);
    expect(csv).toHaveLength(8192 + 2);
  });

  test('a missed limit is code 1 only when asked, and the exit says which output misses it', async () => {
    const strict = changed((scenario) => {
      scenario['limits'] = [{ reading: 'aclr', requiredDb: 119 }];
    });
    expect((await kneepoint(['run', 'bench.json'], withScenario(strict))).code).toBe(0);
    const failed = await kneepoint(['run', 'bench.json', '--fail-on-limit'], withScenario(strict));
    expect(failed.code).toBe(1);
    expect(failed.err).toContain('exit 1: the corrected output misses 1 of its limits');
    expect(failed.out).toContain('✕ over');
    expect((await kneepoint(['run', 'bench.json', '--fail-on-limit'], withScenario(SMALL_SCENARIO))).code).toBe(0);
  });

  test('the carrier frequency stands beside the title', async () => {
    const titled = changed((s) => Object.assign(s, { title: 'Hop', carrierFrequencyHz: 3.46e9 }));
    expect((await kneepoint(['run', 'bench.json'], withScenario(titled))).out).toMatch(/^Hop at 3\.46.GHz\n/);
    const without = changed((s) => Object.assign(s, { title: 'Hop', carrierFrequencyHz: null }));
    expect((await kneepoint(['run', 'bench.json'], withScenario(without))).out).toMatch(/^Hop\n/);
  });

  test('unequal power stands in the text, on stderr and in the exit (F9)', async () => {
    const terminal = withScenario(SMALL_SCENARIO);
    const options = { set: [], failOnLimit: true } as const;
    const code = await run(terminal.session, 'bench.json', options, (input, runOptions) =>
      runWithFaults(input, runOptions ?? {}, { correctedPowerOffsetDb: 0.5 }),
    );
    expect(code).toBe(1);
    expect(terminal.out).toMatch(/UNEQUAL POWER: corrected and uncorrected outputs differ by 0\.(49|50|51) dB/);
    expect(terminal.err).toContain('UNEQUAL POWER');
    expect(terminal.err).toContain('exit 1: the outputs are not at equal power, so no verdict holds');
  });

  test('progress is one line on a terminal, and goes away', async () => {
    const { out, err } = await kneepoint(['run', 'bench.json'], withScenario(SMALL_SCENARIO, { isTerminal: true }));
    const shown = err.split('\r');
    expect(shown.length).toBeGreaterThan(3);
    expect(shown.every((line) => !line.includes('\n') || shown.indexOf(line) === shown.length - 1)).toBe(true);
    expect(shown.some((line) => /^ +\d+ % {2}\S/.test(line))).toBe(true);
    expect(shown.at(-2)!.trim()).toBe('');
    expect(out).not.toContain('\r');
  });
});

describe('unusable scenarios: all faults at once, code 2, nothing written', () => {
  test.each<[string, unknown, RegExp[]]>([
    [
      'a wrong type',
      changed((s) => (s['waveform'].carriers[0].occupiedBandwidthHz = 'wide')),
      [/waveform\.carriers\.0\.occupiedBandwidthHz must be a number from 1000 to 2000000000 Hz, got "wide"; set/],
    ],
    [
      'a missing field',
      changed((s) => delete s['operatingPoint']),
      [/operatingPoint is required, got nothing; add operatingPoint/],
    ],
    [
      'a value out of range',
      changed((s) => (s['amplifier'].gainDb = 500)),
      [/amplifier\.gainDb must be a number from -20 to 120 dB, got 500; /],
    ],
    [
      'an unknown field',
      changed((s) => (s['amplifier'].gianDb = 30)),
      [/amplifier\.gianDb is not a field of amplifier, got 30; remove it; did you mean gainDb\?/],
    ],
    [
      'a carrier outside ±fs/2',
      changed((s) => (s['waveform'].carriers[0].offsetHz = 60e6)),
      [/waveform\.carriers\.0\S* .*got .*; /],
    ],
    [
      'a memory longer than the record',
      changed((s) => {
        s['waveform'].sampleCount = 4096;
        s['amplifier'].model = {
          kind: 'memoryPolynomial',
          nonlinearOrders: [1],
          memoryDepth: 64,
          coefficients: Array.from({ length: 64 }, () => ({ re: 0.1, im: 0 })),
          driveRange: 1,
          modelRateHz: 1e6,
        };
      }),
      [/amplifier\.model\.\S+ must .*got .*; /],
    ],
    [
      'two powers at once',
      changed((s) => (s['operatingPoint'] = { outputBackoffDb: 8, meanPowerDbm: 30 })),
      [
        /operatingPoint must give exactly one of outputBackoffDb, meanPowerDbm, meanPowerW, antennaMeanDbm, got .*; keep one of them/,
      ],
    ],
    [
      'not JSON',
      '{ "title": "x", }',
      [/must be JSON, and is not at line 1, column 17, got "}"; check for a missing or superfluous comma/],
    ],
    ['not an object', '[1, 2]', [/bench\.json must be an object \{ … \}, got \[1,2\]/]],
    [
      'five faults together',
      {
        waveform: { carriers: [], symbolCount: 0 },
        amplifier: { model: { kind: 'triode' }, saturatedPowerDbm: 40 },
        operatingPoint: { outputBackoffDb: 99 },
        seed: 1,
      },
      [
        /waveform\.carriers/,
        /waveform\.symbolCount/,
        /amplifier\.model/,
        /operatingPoint\.outputBackoffDb/,
        /seed is not a field of a scenario/,
      ],
    ],
  ])('%s', async (_name, scenario, wanted) => {
    for (const command of ['run', 'check', 'wave']) {
      const terminal = withScenario(scenario);
      const { code, out, err, folder } = await kneepoint(
        [command, 'bench.json', '--out', 'result'].slice(0, command === 'check' ? 2 : 4),
        terminal,
      );
      expect(code).toBe(2);
      expect(out).toBe('');
      for (const pattern of wanted) expect(err).toMatch(pattern);
      expect(err).not.toMatch(/ at .*\.ts:\d+/); // no stack trace
      expect(readdirSync(folder)).toEqual(['bench.json']);
    }
  });

  test('an unknown name lists the presets, a near one is proposed, a folder and a faulty --set are told', async () => {
    expect(await kneepoint(['run', 'quary-link'])).toMatchObject({
      code: 2,
      err: 'kneepoint: SCENARIO must be a preset or a JSON file, got "quary-link"; did you mean the preset quarry-link?\n',
    });
    expect((await kneepoint(['run', 'elsewhere'])).err).toContain(`the presets are ${presetNames.join(', ')}`);
    expect((await kneepoint(['run', '.'])).code).toBe(2);
    expect(await kneepoint(['run', '--set', 'operatingPoint'])).toMatchObject({ code: 2 });
    const field = await kneepoint(['run', '--set', 'operatingPoint.outputBackoffDb=loud']);
    expect(field).toMatchObject({ code: 2, out: '' });
    expect(field.err).toContain('operatingPoint.outputBackoffDb must be a number from 0.05 to 60 dB, got "loud"');
  });

  test('a place that cannot be written is the user’s to change', async () => {
    const terminal = withScenario(SMALL_SCENARIO);
    const { code, err } = await kneepoint(['run', 'bench.json', '--out', 'bench.json/inside'], terminal);
    expect(code).toBe(2);
    expect(err).toMatch(/must be a place that can be written, got (a part of the path is not a folder|.*EEXIST.*)/);
  });
});

describe('check, presets and help', () => {
  test('check prints the resolved scenario, in whose waveform nothing is left to choose', async () => {
    const { code, out } = await kneepoint(['check', 'bench.json', '--json'], withScenario(SMALL_SCENARIO));
    expect(code).toBe(0);
    const resolved = JSON.parse(out);
    expect(resolved.waveform.sampleRateHz).toBe(122.88e6);
    // Without symbols the channel filter has nothing to filter and stays as asked.
    expect(JSON.stringify({ ...resolved.waveform, spectralEdge: null })).not.toContain('auto');
    expect(resolved.seeds).toEqual({ judging: 1, training: 2, selection: 3 });
    const preset = (await kneepoint(['check', 'quarry-link', '--json'])).out;
    expect((await kneepoint(['check', '-', '--json'], openTerminal({ stdin: preset }))).out).toBe(preset);
    const text = await kneepoint(['check', 'bench.json'], withScenario(SMALL_SCENARIO));
    expect(text.out).toContain('Small bench: the scenario is sound');
    expect(text.out).toContain('ACLR adjacent ≥ 30 dB');
  });

  test('every preset is listed with title and story, and checks', async () => {
    const { out } = await kneepoint(['presets']);
    for (const name of presetNames) {
      expect(out).toMatch(new RegExp(`^${name} +\\S`, 'm'));
      expect((await kneepoint(['check', name])).code).toBe(0);
    }
    const list = JSON.parse((await kneepoint(['presets', '--json'])).out);
    expect(list.map((one: { name: string }) => one.name)).toEqual(presetNames);
    expect(list.filter((one: { isDefault: boolean }) => one.isDefault)).toHaveLength(1);
  });

  test.each([['--help'], ['run', '--help'], ['measure', '--help'], ['amplify', '--help'], ['wave', '--help']])(
    '%s %s carries the cautions and ends well',
    async (...args) => {
      const { code, out, err } = await kneepoint(args);
      expect(code).toBe(0);
      expect(err).toBe('');
      for (const caution of cautions) expect(out.replace(/\s+/g, ' ')).toContain(caution);
    },
  );

  test.each([
    [['rum'], /unknown command 'rum'\n\(Did you mean run\?\)/],
    [['run', '--jsno'], /unknown option '--jsno'\n\(Did you mean --json\?\)/],
    [['run', 'a', 'b'], /too many arguments/],
    [['measure'], /missing required argument 'RECORD'/],
    [['amplify', 'x'], /required option '--with <MODEL>' not specified/],
    [['measure', 'x', '--spacing', 'wide'], /write for example 9e6/],
    [['wave', '--record', 'other'], /Allowed choices are judging, training, selection/],
    [['serve', '--port', '-1'], /write a whole number/],
  ])('%j is a mistake of use: code 2, on stderr', async (args, pattern) => {
    const { code, out, err } = await kneepoint(args);
    expect(code).toBe(2);
    expect(out).toBe('');
    expect(err).toMatch(pattern);
    expect(err).toMatch(/^kneepoint: /);
  });

  test('without a command the help is shown and the code says that nothing was done', async () => {
    const { code, err } = await kneepoint([]);
    expect(code).toBe(2);
    expect(err).toContain('Usage: kneepoint');
  });

  test('a fault of our own is code 3, with what is needed to report it', async () => {
    const terminal = openTerminal();
    const stdout = () => {
      throw new RangeError('estimateSpectrum: broken');
    };
    const { code, err } = await kneepoint(['presets'], { ...terminal, session: { ...terminal.session, stdout } });
    expect(code).toBe(3);
    expect(terminal.err + err).toContain('kneepoint: internal fault, please report it');
    expect(terminal.err + err).toContain('RangeError: estimateSpectrum: broken');
  });

  test('serve serves the page on the loopback address until it is interrupted', async () => {
    const terminal = openTerminal();
    let page = '';
    const untilInterrupted = async () => {
      page = await (await fetch(/http:\S+/.exec(terminal.out)![0])).text();
    };
    const { code } = await kneepoint(['serve', '--port', '0'], {
      ...terminal,
      session: { ...terminal.session, untilInterrupted },
    });
    expect(code).toBe(0);
    expect(terminal.out).toMatch(/^Kneepoint is at http:\/\/127\.0\.0\.1:\d+\/\n$/);
    expect(page).toContain('<html');
    await expect(fetch(/http:\S+/.exec(terminal.out)![0])).rejects.toThrow();
  });
});
