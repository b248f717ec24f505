import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { SIMULATION_CAUTION } from '../../shared/cautions.ts';
import { studies, studyNames } from '../../shared/studies/index.ts';
import { answerStudy, BURST_BENCH, SMALL_BENCH, SMALL_KINDS, type SmallKind, smallStudy } from './smallStudies.ts';
import { kneepoint, openTerminal } from './terminal.ts';

function withFiles(files: Readonly<Record<string, unknown>>, options: Parameters<typeof openTerminal>[0] = {}) {
  const terminal = openTerminal(options);
  for (const [name, value] of Object.entries(files)) {
    writeFileSync(join(terminal.folder, name), typeof value === 'string' ? value : JSON.stringify(value));
  }
  return terminal;
}

const RANGE = ['--from', '6', '--to', '15', '--step', '3 dB'];

describe('the studies', () => {
  test.each(SMALL_KINDS)('%s --json prints exactly what the library says (F35)', async (kind) => {
    const terminal = withFiles({ 'study.json': smallStudy(kind) });
    const { code, out, err } = await kneepoint([kind, 'study.json', '--json'], terminal);
    expect(code).toBe(0);
    const { report, known } = answerStudy(smallStudy(kind));
    // One runtime: identical, which is within the 1e-9 asked for between runtimes.
    expect(JSON.parse(out)).toEqual(JSON.parse(JSON.stringify(report)));
    expect(report.complete).toBe(true);
    expect(err).toContain(`${known.size} runs made\n`);
  });

  test('the answer comes first, then tables with units, conditions, floors and the caution; nothing else', async () => {
    const { code, out, err } = await kneepoint(
      ['ladder', 'bench.json', ...RANGE],
      withFiles({ 'bench.json': SMALL_BENCH }),
    );
    expect(code).toBe(0);
    const lines = out.split('\n');
    expect(lines[0]).toBe('Small bench: how much back-off');
    expect(lines[1]).toMatch(/^You need \d+\.\d dB of output back-off: \d+\.\d dBm, [\d.]+ W\./);
    const parts = [
      'Smallest output back-off that meets each limit',
      'What correction buys at the same clean power, and what it costs',
      'Readings against output back-off',
      'Limit: ACLR adjacent ≥ 40 dB; source: made up.',
      'What bounds the first channel’s ACLR, worse side, over the runs',
      SIMULATION_CAUTION.slice(0, 40),
    ];
    const places = parts.map((part) => out.indexOf(part));
    expect(places).toEqual([...places].sort((a, b) => a - b));
    expect(places[0]).toBeGreaterThan(0);
    expect(out).toMatch(/^ {2}ideal limiter +\d+\.\d to \d+\.\d dB {2}a perfect inverse/m);
    expect(out).not.toMatch(/NaN|undefined|Infinity|\[object/);
    expect(err).not.toContain('\r');
  });

  test('options replace fields of the question, --set fields of the scenario', async () => {
    const asked = async (args: readonly string[]) => {
      const { code, out, err } = await kneepoint([...args, '--json'], withFiles({ 'bench.json': SMALL_BENCH }));
      expect(code, err).toBe(0);
      return JSON.parse(out);
    };
    const ladder = await asked(['ladder', 'bench.json', ...RANGE, '--set', 'limits.0.requiredDb=38']);
    expect(ladder.study.question.outputBackoff).toEqual({ fromDb: 6, toDb: 15, stepDb: 3 });
    expect(ladder.scenario.limits[0].requiredDb).toBe(38);
    const shape = await asked(['shape', 'bench.json', ...RANGE, '--targets', '7, 8.5']);
    expect(shape.study.question.targetPaprDb).toEqual([7, 8.5]);
    const map = await asked(['map', 'bench.json', '--orders', '3,5', '--depths', '1', '--margin', '1']);
    expect(map.study.question).toMatchObject({ highestOrders: [3, 5], memoryDepths: [1], wantedMarginDb: 1 });
    const way = ['--targets', '8', '--structures', '5x1', ...RANGE];
    const ask = await asked(['ask', 'bench.json', '--power', '1 W', ...way]);
    expect(ask.study.question.wantedAntennaMeanDbm).toBe(30);
    expect(ask.study.question.structures).toEqual([{ highestOrder: 5, memoryDepth: 1 }]);
    const spread = await asked(['spread', 'bench.json', '--seeds', '2', '--units', '0']);
    expect(spread.study.question).toMatchObject({ seedCount: 2, unitCount: 0 });
    const places = ['--from', '20', '--to', '24', '--step', '2', '--spacing', '2MHz'];
    const tones = await asked(['tones', 'bench.json', ...places, '--spacings', '100kHz, 1e6', '--level', '12']);
    expect(tones.study.question).toMatchObject({
      toneBackoff: { fromDb: 20, toDb: 24, stepDb: 2 },
      toneSpacingHz: 2e6,
      spacingsHz: [1e5, 1e6],
      spacingToneBackoffDb: 12,
      withCorrection: false,
    });
    expect(tones.result.levels[0].corrected).toBeNull();
    const both = await asked([
      'tones',
      'bench.json',
      '--from',
      '8',
      '--to',
      '9',
      '--spacings',
      '1MHz',
      '--with-correction',
    ]);
    expect(both.result.levels[0].corrected).toHaveLength(2);
  });

  test('hold: what changes, its values and what is trained on; code 1 where a frozen cell misses a limit', async () => {
    const ask = (...args: readonly string[]) =>
      kneepoint(['hold', 'bench.json', '--json', ...args], withFiles({ 'bench.json': SMALL_BENCH }));
    const { out } = await ask('--axis', 'analogueGain', '--values', '-3,1', '--trained-on', 'own');
    const { result } = JSON.parse(out);
    expect(result.conditions.map(({ value }: { value: number }) => value)).toEqual([-3, 0, 1]);
    expect(result.cells.map(({ trainedOn }: { trainedOn: number }) => trainedOn)).toEqual([1, 1, 1]);
    // Learned 3 dB lower, 35.7 dB at +2 dB: 40 dB are missed.
    const missed = await ask('--values', '-3,2', '--fail-on-limit');
    expect(missed.code).toBe(1);
    expect(missed.err).toMatch(/exit 1: frozen coefficients miss a limit in 1 of 9 cells: −3\sdB at \+2\sdB/);
    expect((await ask('--axis', 'weather')).code).toBe(2);
  });

  test('burst: times with their units, a percentage, and code 1 where a burst does not settle', async () => {
    const asked = async (...args: string[]) =>
      kneepoint(['burst', 'bench.json', '--records', '1', '--json', ...args], withFiles({ 'bench.json': BURST_BENCH }));
    const { code, out, err } = await asked('--silences', '200us, 5ms,0.05', '--within', '1.5 %');
    expect(code, err).toBe(0);
    const { study, result } = JSON.parse(out);
    expect(study.question).toMatchObject({ silencesS: [2e-4, 5e-3, 0.05], recordCount: 1, evmWithinPercent: 1.5 });
    expect(result.bursts.map(({ silenceS }: { silenceS: number }) => silenceS)).toEqual([2e-4, 5e-3, 0.05]);
    // No symbol reads nothing at all.
    const strict = await asked('--silences', '5ms', '--within', '0.01', '--fail-on-limit');
    expect(strict).toMatchObject({
      code: 1,
      err: expect.stringMatching(/exit 1: after 5\sms of silence the burst does not/),
    });
    expect((await asked('--silences', '5 parsecs')).err).toContain('write for example 0.2ms,5ms');
  });

  test('a power not asked for is the scenario’s own at the antenna port, and said', async () => {
    const way = ['--targets', '8', '--structures', '5x1', ...RANGE, '--json'];
    const { out, err } = await kneepoint(['ask', 'bench.json', ...way], withFiles({ 'bench.json': SMALL_BENCH }));
    // 40 dBm saturated, 9 dB below it, 1 dB of output loss.
    expect(JSON.parse(out).result.wantedAntennaMeanDbm).toBeCloseTo(30, 9);
    expect(err).toContain('wanted power: 30.00 dBm at the antenna port');
  });

  test('map: a clock is taken with its unit, and a run tells what its number format costs', async () => {
    const files = () => withFiles({ 'bench.json': SMALL_BENCH });
    const way = ['--orders', '5', '--depths', '1', '--clock', '245.76MHz', '--json'];
    const { out, code, err } = await kneepoint(['map', 'bench.json', ...way], files());
    expect(code, err).toBe(0);
    expect(JSON.parse(out).study.question.clockHz).toBe(245.76e6);
    expect((await kneepoint(['map', 'bench.json', '--clock', 'noon'], files())).code).toBe(2);
    const run = await kneepoint(['run', 'bench.json', '--set', 'predistorter.numbers.dataBitCount=8'], files());
    expect(run.out.replace(/\s+/g, ' ')).toMatch(/format costs −?[\d.]+ dB of ACLR \([\d.]+ dB in double precision\)/);
  });

  test('a scenario from standard input, and a study that names a preset', async () => {
    const terminal = withFiles({}, { stdin: JSON.stringify(SMALL_BENCH) });
    expect((await kneepoint(['spread', '-', '--seeds', '2', '--json'], terminal)).code).toBe(0);
    const named = { scenario: 'quarry-link', question: { kind: 'spread', seedCount: 2 } };
    const set = ['--set', 'waveform.symbolCount=4', '--set', 'predistorter=null'];
    const { code, out } = await kneepoint(
      ['spread', 'study.json', '--json', ...set],
      withFiles({ 'study.json': named }),
    );
    expect(code).toBe(0);
    expect(JSON.parse(out).scenario).toMatchObject({ title: 'Quarry Link', predistorter: null });
  });

  test('each kind of study has a ready-made one that is asked when none is named', async () => {
    for (const kind of SMALL_KINDS) {
      const { out } = await kneepoint([kind, '--help']);
      const name = /default: "([\w-]+)"/.exec(out.replace(/\s+/g, ' '))?.[1] ?? '';
      expect(studyNames, kind).toContain(name);
      expect(studies[name]?.question.kind).toBe(kind);
    }
  });
});

describe('what --out writes', () => {
  const main: Readonly<Record<SmallKind, readonly string[]>> = {
    ladder: ['correction.csv', 'crossings.csv', 'ladder.svg'],
    shape: ['crest-trade.svg'],
    map: ['front.csv', 'margin-against-cost.svg', 'order-map.svg', 'orders.svg'],
    ask: ['ways.svg'],
    spread: ['spread.svg', 'yield.csv'],
    burst: ['burst.svg', 'bursts.csv'],
    path: ['path.svg'],
    hold: ['hold.svg', 'hold-worst.svg', 'conditions.csv'],
    tones: ['intercept.csv', 'spacings.csv', 'tones-level.svg', 'tones-spacing.svg'],
  };

  test.each(SMALL_KINDS)('%s: report, table, pictures and a study that repeats it', async (kind) => {
    const terminal = withFiles({ 'study.json': smallStudy(kind) });
    const store = ['--store', 'results.jsonl'];
    const first = await kneepoint([kind, 'study.json', '--out', 'deep/er', '--json', ...store], terminal);
    expect(first.code).toBe(0);
    const folder = join(terminal.folder, 'deep', 'er');
    const names = readdirSync(folder);
    for (const name of ['report.html', 'report.json', 'study.json', 'table.csv', ...main[kind]]) {
      expect(names).toContain(name);
    }
    expect(readFileSync(join(folder, 'report.json'), 'utf8')).toBe(first.out);
    expect(readFileSync(join(folder, 'table.csv'), 'utf8').split('\r\n').length).toBeGreaterThan(2);
    // The study written is resolved: the same runs, all of them known.
    terminal.err = '';
    const again = await kneepoint([kind, 'deep/er/study.json', '--json', ...store], terminal);
    expect(again.err).toContain('0 runs made');
  });
});

describe('exit codes', () => {
  test('--fail-on-limit is code 1 when the question has no answer within the limits', async () => {
    const hard = { ...SMALL_BENCH, limits: [{ reading: 'aclr', requiredDb: 119 }] };
    const files = { 'hard.json': hard, 'bench.json': SMALL_BENCH };
    const end = async (args: readonly string[]) => {
      const { code, err } = await kneepoint([...args, '--json'], withFiles(files));
      return { code, said: /exit 1: (.*)/.exec(err)?.[1] ?? null };
    };
    const way = ['--targets', '8', '--structures', '5x1', ...RANGE];
    const cells = ['--orders', '3', '--depths', '1'];
    expect((await end(['ladder', 'hard.json', ...RANGE])).code).toBe(0);
    const strict = '--fail-on-limit';
    expect(await end(['ladder', 'hard.json', strict, ...RANGE])).toEqual({
      code: 1,
      said: 'no output back-off within the range meets all limits, corrected',
    });
    expect((await end(['shape', 'hard.json', strict, '--targets', '8', ...RANGE])).code).toBe(1);
    expect((await end(['map', 'hard.json', strict, ...cells])).code).toBe(1);
    expect((await end(['ask', 'hard.json', strict, '--power', '30', ...way])).code).toBe(1);
    // The way exists, but only with a larger amplifier.
    expect((await end(['ask', 'bench.json', strict, '--power', '39', ...way])).code).toBe(1);
    expect((await end(['ask', 'bench.json', strict, '--power', '25', ...way])).code).toBe(0);
    expect((await end(['spread', 'hard.json', strict, '--seeds', '2'])).said).toContain(
      'the corrected output fails ACLR',
    );
    expect((await end(['ladder', 'bench.json', strict, ...RANGE])).code).toBe(0);
    const levels = (from: string, to: string) => ['--from', from, '--to', to, '--step', '2', '--spacings', '1MHz'];
    expect((await end(['tones', 'bench.json', strict, ...levels('20', '26')])).code).toBe(0);
    expect(await end(['tones', 'bench.json', strict, ...levels('7', '11')])).toEqual({
      code: 1,
      said: 'the levels allow no single intercept',
    });
  });

  test('unusable input: told on stderr, nothing on stdout, code 2', async () => {
    const files = { 'map.json': smallStudy('map'), 'bench.json': SMALL_BENCH, 'list.json': '[]' };
    const fault = async (args: readonly string[]) => {
      const { code, out, err } = await kneepoint(args, withFiles(files));
      expect({ code, out }, args.join(' ')).toEqual({ code: 2, out: '' });
      return err;
    };
    expect(await fault(['ladder', 'map.json'])).toContain(
      'must ask the question "ladder", got "map"; use kneepoint map',
    );
    expect(await fault(['ladder', 'quary-link-ladder'])).toContain('did you mean quarry-link-ladder?');
    expect(await fault(['ladder', 'nowhere'])).toContain('the ready-made studies are quarry-link-ladder');
    expect(await fault(['ladder', 'list.json'])).toContain('fault');
    expect(await fault(['ladder', 'bench.json', '--set', 'limits=[]'])).toContain(
      'scenario.limits must hold at least one',
    );
    expect(await fault(['ladder', 'bench.json', '--from', '15', '--to', '6'])).toContain('must rise');
    expect(await fault(['ladder', 'bench.json', '--from', 'near'])).toContain('write for example 8');
    expect(await fault(['ladder', 'bench.json', '--workers', '0'])).toContain('--workers must be at least 1');
    expect(await fault(['map', 'bench.json', '--set', 'predistorter=null'])).toContain(
      'scenario.predistorter must be present',
    );
    expect(await fault(['ask', 'bench.json', '--power', '-3 W'])).toContain('write for example 36.5');
    expect(await fault(['ask', 'bench.json', '--structures', '9'])).toContain('9x3,7x3');
    expect(await fault(['spread', 'bench.json', '--seeds', '1', '--set', 'x=1'])).toMatch(/scenario\.x|seedCount/);
  });

  test('check finds a study sound without a run, or tells its faults', async () => {
    const terminal = withFiles({
      'study.json': smallStudy('ladder'),
      'bad.json': { ...smallStudy('ladder'), scenario: {} },
    });
    const sound = await kneepoint(['check', 'study.json'], terminal);
    expect(sound).toMatchObject({ code: 0 });
    expect(sound.out).toContain('Small ladder: the study is sound; it asks ladder and begins with 4 runs');
    expect((await kneepoint(['check', 'bad.json'], terminal)).code).toBe(2);
    expect((await kneepoint(['check', 'quarry-link-map'])).out).toContain('it asks map');
  });
});

describe('progress', () => {
  test('is one line on a terminal with runs done, runs needed and the time left, and goes away', async () => {
    const { err } = await kneepoint(
      ['spread', 'bench.json', '--seeds', '3'],
      withFiles({ 'bench.json': SMALL_BENCH }, { isTerminal: true }),
    );
    const shown = err.split('\r');
    expect(shown.some((line) => /^0 of 3 runs known to be needed/.test(line))).toBe(true);
    expect(shown.some((line) => /^2 of 3 runs known to be needed, about \d+ s left/.test(line))).toBe(true);
    expect(err).toMatch(/\r {59}\r3 runs made\n$/);
  });
});
