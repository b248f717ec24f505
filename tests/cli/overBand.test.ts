// An amplifier over its band on the command line: `sheet` and `run` print it, `--json` carries it, `--set` moves the
// channel, and `amplify` takes the channel's model.
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { kneepoint, openTerminal } from './terminal.ts';

const knee = { kind: 'rapp', kneeSharpness: 2 };

const scenario = {
  title: 'Two ends of a band',
  waveform: {
    carriers: [{ kind: 'ofdm', channelBandwidthHz: 10e6, modulation: '64QAM' }],
    symbolCount: 3,
    spectralEdge: { kind: 'channelFilter', tapCount: 129, cutoffHz: 4.8e6, kaiserBeta: 9 },
  },
  amplifier: {
    saturatedPowerDbm: 47,
    gainDb: 40,
    model: knee,
    overBand: {
      channelHz: 312.5e6,
      points: [
        { frequencyHz: 225e6 },
        { frequencyHz: 400e6, gainDb: -3, saturatedPowerDb: -1, model: { kind: 'rapp', kneeSharpness: 4 } },
      ],
    },
  },
  operatingPoint: { outputBackoffDb: 9 },
  predistorter: null,
  measurement: { spectrum: { segmentLength: 4096 } },
};

async function run(...args: string[]) {
  const terminal = openTerminal();
  writeFileSync(join(terminal.folder, 'band.json'), JSON.stringify(scenario));
  const { code, out, err } = await kneepoint(args, terminal);
  // Thin spaces stand between figures and units.
  return { code, out: out.replaceAll('\u2009', ' '), err };
}

/** Cells of the line that begins with this frequency. */
function cellsOf(text: string, frequency: string): string[] {
  const line = text.split('\n').find((one) => one.startsWith(frequency)) ?? '';
  return line
    .slice(frequency.length)
    .trim()
    .split(/\s{2,}/);
}

test('sheet shows every point and the channel between them', async () => {
  const { code, out } = await run('sheet', 'band.json');
  expect(code).toBe(0);
  expect(out).toContain('Amplifier over its band');
  expect(out).toContain('Gain 38.50 dB');
  // Rapp (1991), the gain 1 dB down: (1 + r^2p)^(1/2p) = 10^(1/20), output 10·log10(r²) − 1 dB re saturated power.
  const compressed = (p: number) => (10 / p) * Math.log10(10 ** (p / 10) - 1) - 1;
  const near = (cells: string[], gain: string, saturatedDbm: number, p: number) => {
    expect(cells[0]).toBe(gain);
    expect(Number(cells[2])).toBeCloseTo(saturatedDbm, 2);
    expect(Number(cells[3])).toBeCloseTo(saturatedDbm + compressed(p), 2);
  };
  near(cellsOf(out, '225 MHz'), '40.00', 47, 2);
  near(cellsOf(out, '312.5 MHz, channel'), '38.50', 46.5, 3);
  near(cellsOf(out, '400 MHz'), '37.00', 46, 4);
});

test('the JSON carries the same rows, and --set moves the channel', async () => {
  const { out } = await run('sheet', 'band.json', '--json', '--set', 'amplifier.overBand.channelHz=400e6');
  const { amplifier } = JSON.parse(out);
  expect(amplifier.overBand.channelHz).toBe(400e6);
  expect(amplifier.overBand.rows.map((row: { isChannel: boolean }) => row.isChannel)).toEqual([false, true]);
  expect(amplifier.readBack.gainDb).toBe(37);
});

test('run prints the table; a channel outside the points is refused with the remedy', async () => {
  const { code, out } = await run('run', 'band.json');
  expect(code).toBe(0);
  expect(cellsOf(out, '312.5 MHz, channel')[0]).toBe('38.50');
  const refused = await run('check', 'band.json', '--set', 'amplifier.overBand.channelHz=500e6');
  expect(refused.code).toBe(2);
  expect(refused.err + refused.out).toContain('amplifier.overBand.channelHz');
});

test('amplify takes the model of the channel', async () => {
  const terminal = openTerminal();
  const { folder } = terminal;
  writeFileSync(join(folder, 'drive.csv'), '1,0\n'.repeat(64));
  for (const [channelHz, p] of [
    [225e6, 2],
    [312.5e6, 3],
    [400e6, 4],
  ] as const) {
    const overBand = { ...scenario.amplifier.overBand, channelHz };
    const moved = { ...scenario, amplifier: { ...scenario.amplifier, overBand } };
    writeFileSync(join(folder, 'moved.json'), JSON.stringify(moved));
    const { code } = await kneepoint(
      ['amplify', 'drive.csv', '--sample-rate', '1e6', '--with', 'moved.json', '--out', 'through'],
      terminal,
    );
    expect(code).toBe(0);
    // At the knee a Rapp amplifier gives 2^(−1/2p); single precision.
    expect(readFileSync(join(folder, 'through.sigmf-data')).readFloatLE(8)).toBeCloseTo(2 ** (-1 / (2 * p)), 6);
  }
});

test('points name model files beside the scenario; one that is not there is told at its point', async () => {
  const terminal = openTerminal();
  const write = (name: string, value: unknown) => writeFileSync(join(terminal.folder, name), JSON.stringify(value));
  const [low, high] = scenario.amplifier.overBand.points;
  const withFile = (file: string) => ({
    ...scenario,
    amplifier: {
      ...scenario.amplifier,
      overBand: { ...scenario.amplifier.overBand, points: [low, { ...high, model: file }] },
    },
  });
  write('high.json', { kind: 'rapp', kneeSharpness: 4 });
  write('named.json', withFile('high.json'));
  const named = await kneepoint(['sheet', 'named.json', '--json'], terminal);
  const inline = await run('sheet', 'band.json', '--json');
  expect(JSON.parse(named.out).amplifier.overBand).toEqual(JSON.parse(inline.out).amplifier.overBand);
  write('missing.json', withFile('nowhere.json'));
  terminal.err = '';
  const missing = await kneepoint(['check', 'missing.json'], terminal);
  expect(missing.code).toBe(2);
  expect(missing.err).toContain('amplifier.overBand.points.1.model must be a model or the name of a model file');
});
