import { copyFileSync, readdirSync, readFileSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { parseAmplifierModel, parseAmplifierSection } from '../../shared/schema/parseAmplifierModel.ts';
import { wellFormednessFault } from '../shared/wellFormed.ts';
import { kneepoint, openTerminal, SMALL_SCENARIO, type Terminal } from './terminal.ts';

const captures = join(import.meta.dirname, '..', 'captures');
const HARBOUR = ['harbour-link-10mhz.drive', 'harbour-link-10mhz.observed'] as const;
const SECOND = ['harbour-link-10mhz-second.drive', 'harbour-link-10mhz-second.observed'] as const;
/** A small search: what it finds is the business of the engine's tests. */
const SMALL = ['--order-limit', '7', '--memory-limit', '2', '--cross-limit', '0'];

function withCaptures(names: readonly string[]): Terminal {
  const terminal = openTerminal();
  for (const name of names) {
    for (const ending of ['meta', 'data']) {
      copyFileSync(join(captures, `${name}.sigmf-${ending}`), join(terminal.folder, `${name}.sigmf-${ending}`));
    }
  }
  return terminal;
}

function editMeta(terminal: Terminal, name: string, edit: (global: Record<string, unknown>) => void): void {
  const path = join(terminal.folder, `${name}.sigmf-meta`);
  const meta = JSON.parse(readFileSync(path, 'utf8'));
  edit(meta.global);
  writeFileSync(path, JSON.stringify(meta));
}

function unsigned(global: Record<string, unknown>): void {
  delete global['core:sha512'];
}

const flat = (text: string) => text.replace(/\s+/g, ' ');

describe('identify', () => {
  test('says how far to trust the model, what was aligned, what each structure reaches', async () => {
    const terminal = withCaptures([...HARBOUR, ...SECOND]);
    const { code, out, err } = await kneepoint(['identify', ...HARBOUR, ...SMALL, '--validate', ...SECOND], terminal);
    expect(code).toBe(0);
    expect(flat(out)).toMatch(/Trust: held-out samples are predicted to −5\d\.\d dB; the second pair/);
    expect(out).toMatch(/^ {2}delay +190\.\d+ ns ± 0\.\d+ ns \(23\.4\d+ samples\)$/m);
    expect(out).toMatch(/^ {2}carrier leak +−40\.7 dBc, of the receiver; taken out$/m);
    expect(out).toMatch(/^ {2}image +−49\.\d\sdB, of the receiver; taken out$/m);
    for (const label of ['linear', 'static, odd orders', 'memory, odd orders', 'memory, all orders', 'taken']) {
      expect(out).toMatch(new RegExp(`^${label} +\\d+ +−\\d+\\.\\d\\d +−\\d+\\.\\d\\d$`, 'm'));
    }
    expect(out).not.toContain('Cross terms');
    expect(out).toMatch(/^Second pair, predicted and never fitted$/m);
    expect(out).toMatch(/^ {2}output back-off +–$/m);
    expect(flat(err)).toContain('warning (scale-unknown)');
    expect(out.split('\n').filter((line) => [...line].length > 80)).toEqual([]);
  });

  test('--out writes a model that amplify, --set and a scenario file take; --json prints the same report', async () => {
    const terminal = withCaptures(HARBOUR);
    const power = ['--output-power-dbm', '36 dBm', '--saturated-power-dbm', '46'];
    const { code, out, err, folder } = await kneepoint(
      ['identify', ...HARBOUR, ...SMALL, ...power, '--json', '--out', 'found'],
      terminal,
    );
    expect(code).toBe(0);
    const files = ['model.json', 'amplifier.json', 'report.json', 'spectrum.svg', 'loops.svg', 'report.html'];
    expect(flat(err)).toContain(`wrote ${files.join(', ')} in found`);
    expect(readdirSync(join(folder, 'found')).sort()).toEqual([...files].sort());
    expect(err).not.toContain('scale-unknown');
    expect(readFileSync(join(folder, 'found', 'report.json'), 'utf8')).toBe(out);
    const { kneepoint: tool, identification, model } = JSON.parse(out);
    expect(tool).toMatchObject({ format: 1 });
    expect(identification.scale).toMatchObject({ meanOutputDbm: 36, saturatedPowerDbm: 46, outputBackoffDb: 10 });
    const written = JSON.parse(readFileSync(join(folder, 'found', 'model.json'), 'utf8'));
    expect(written).toEqual(model);
    expect(parseAmplifierModel(written)).toEqual({ kind: 'model', model });
    const amplifier = JSON.parse(readFileSync(join(folder, 'found', 'amplifier.json'), 'utf8'));
    expect(amplifier).toMatchObject({ model, saturatedPowerDbm: 46, gainDb: 0 });
    expect(parseAmplifierSection(amplifier)).toEqual({ kind: 'amplifier', amplifier });
    const page = readFileSync(join(folder, 'found', 'report.html'), 'utf8');
    expect(page).toContain('Trust within limits: held-out samples are predicted to');
    for (const file of ['spectrum.svg', 'loops.svg']) {
      const picture = readFileSync(join(folder, 'found', file), 'utf8');
      expect(wellFormednessFault(picture)).toBeNull();
      expect(page).toContain(picture.trim());
    }

    terminal.err = '';
    const amplified = await kneepoint(['amplify', HARBOUR[0], '--with', 'found/model.json', '--out', 'made'], terminal);
    expect(amplified.code).toBe(0);
    expect(flat(amplified.err)).toContain('output back-off 10.00 dB');
    expect(amplified.err).not.toContain('drive-held');

    // The record through the model is the observation: NMSE after one gain is the receiver's own −40 dB (leak and image).
    terminal.out = '';
    const compared = await kneepoint(['measure', HARBOUR[1], '--reference', 'made', '--json'], terminal);
    const { nmseDb, gainDb } = JSON.parse(compared.out).record.reference;
    expect(nmseDb).toBeLessThan(-39);
    expect(Math.abs(gainDb)).toBeLessThan(0.01);

    const scenario = {
      ...SMALL_SCENARIO,
      amplifier: { ...SMALL_SCENARIO.amplifier, model: 'model.json', saturatedPowerDbm: 46 },
      operatingPoint: { outputBackoffDb: 10 },
    };
    writeFileSync(join(folder, 'found', 'bench.json'), JSON.stringify(scenario));
    terminal.out = '';
    const run = await kneepoint(['run', 'found/bench.json', '--json'], terminal);
    expect(run.code).toBe(0);
    const report = JSON.parse(run.out);
    expect(report.scenario.amplifier.model).toEqual(model);
    expect(report.uncorrected.meanPowerDbm).toBeCloseTo(36, 1);
    // The captured amplifier at the captured level: its adjacent ratio is the capture's 34 dB within 1 dB for another signal
    // of the same bandwidth.
    const worst = Math.min(
      ...report.uncorrected.aclr.flatMap((one: { channel: string; aclrDb: number }) =>
        one.channel === 'adjacent' ? [one.aclrDb] : [],
      ),
    );
    expect(Math.abs(worst - 34.4)).toBeLessThan(1);
    expect(report.corrected.aclr[0].aclrDb).toBeGreaterThan(worst + 5);

    const set = await kneepoint(['check', 'paper-bench', '--set', 'amplifier.model=found/model.json'], terminal);
    expect(set.code).toBe(0);
    const study = ['ladder', 'found/bench.json', '--from', '10', '--to', '12', '--step', '2', '--workers', '1'];
    expect((await kneepoint(study, terminal)).code).toBe(0);
  });

  test('a model file that is not there is one clear fault', async () => {
    const { code, err } = await kneepoint(['check', 'paper-bench', '--set', 'amplifier.model=nowhere.json']);
    expect(code).toBe(2);
    expect(flat(err)).toContain('amplifier.model must be a model or the name of a model file, got "nowhere.json"');
  });
});

test('20 000 samples as text give what the same samples give as SigMF (F6)', async () => {
  const terminal = withCaptures(HARBOUR);
  const count = 20_000;
  for (const [i, name] of HARBOUR.entries()) {
    const path = join(terminal.folder, `${name}.sigmf-data`);
    const bytes = readFileSync(path).subarray(0, 4 * count);
    writeFileSync(path, bytes);
    editMeta(terminal, name, unsigned);
    const samples = Array.from({ length: count }, (_, n) => [bytes.readInt16LE(4 * n), bytes.readInt16LE(4 * n + 2)]);
    const lines = samples.map(([re = 0, im = 0]) => `${re / 32768},${im / 32768}`);
    writeFileSync(join(terminal.folder, `${['sent', 'seen'][i]}.csv`), `i,q\n${lines.join('\n')}\n`);
  }
  const read = async (pair: readonly string[], ...more: string[]) => {
    terminal.out = '';
    const { code, out, err } = await kneepoint(['identify', ...pair, ...SMALL, ...more, '--json'], terminal);
    expect(code, err).toBe(0);
    return JSON.parse(out);
  };
  const ofText = await read(['sent.csv', 'seen.csv'], '--sample-rate', '122.88 MHz');
  const ofSigmf = await read(HARBOUR, '--traces');
  expect(ofText).not.toHaveProperty('traces');
  expect(ofSigmf.traces.spectra.residual.level).toHaveLength(2048);
  expect(ofSigmf.traces.loops.aligned.gain.counts).toHaveLength(144 * 96);
  expect(ofText.identification).toEqual(ofSigmf.identification);
  expect(ofText.model).toEqual(ofSigmf.model);
  const { chosen, heldOutSampleCount, trainingSampleCount, warnings } = ofText.identification;
  expect(chosen.heldOutNmseDb).toBeLessThan(-50);
  // Half of what the ends that do not meet leave, less the guards between the blocks.
  expect(warnings.map(({ code }: { code: string }) => code)).toContain('not-one-period');
  expect(heldOutSampleCount / (heldOutSampleCount + trainingSampleCount)).toBeGreaterThan(0.48);
  const { err } = await kneepoint(['identify', 'sent.csv', 'seen.csv'], terminal);
  expect(flat(err)).toContain('sample rate');
});

describe('identify: records that are no pair, each with its own fault', () => {
  const failing = async (terminal: Terminal, args: readonly string[]) => {
    const { code, out, err } = await kneepoint(['identify', ...args, ...SMALL], terminal);
    expect(code).toBe(2);
    expect(out).toBe('');
    return flat(err);
  };

  test('exchanged', async () => {
    const err = await failing(withCaptures(HARBOUR), [HARBOUR[1], HARBOUR[0]]);
    expect(err).toContain('the two are exchanged; give the drive first');
  });

  test('truncated', async () => {
    const terminal = withCaptures(HARBOUR);
    truncateSync(join(terminal.folder, `${HARBOUR[1]}.sigmf-data`), 100_000);
    // The digest of the metadata tells it first; without one the lengths do.
    expect(await failing(terminal, HARBOUR)).toContain('sha512');
    editMeta(terminal, HARBOUR[1], unsigned);
    expect(await failing(terminal, HARBOUR)).toContain(
      'observed must be as long as the drive, 52608 samples, or within 1 % of it, got 25000 samples; one of the files may be truncated',
    );
  });

  test('truncated by a little: identified, with a warning', async () => {
    const terminal = withCaptures(HARBOUR);
    truncateSync(join(terminal.folder, `${HARBOUR[1]}.sigmf-data`), 4 * 52_400);
    editMeta(terminal, HARBOUR[1], unsigned);
    const { code, out, err } = await kneepoint(['identify', ...HARBOUR, ...SMALL], terminal);
    expect(code).toBe(0);
    expect(flat(err)).toContain(
      'holds 52608 samples and its observation 52400: the last 208 of the drive are left out',
    );
    expect(flat(out)).toMatch(/held-out samples are predicted to −51\.\d dB/);
  });

  test('of different rates', async () => {
    const terminal = withCaptures(HARBOUR);
    editMeta(terminal, HARBOUR[1], (global) => {
      global['core:sample_rate'] = 61.44e6;
    });
    expect(await failing(terminal, HARBOUR)).toContain('observed.sampleRateHz must be the drive’s, 122880000 Hz');
  });

  test('of different transmissions', async () => {
    const err = await failing(withCaptures([...HARBOUR, ...SECOND]), [HARBOUR[0], SECOND[1]]);
    expect(err).toContain('the two records do not belong together');
  });

  test('clipped: identified, with a warning', async () => {
    const terminal = withCaptures(HARBOUR);
    editMeta(terminal, HARBOUR[1], unsigned);
    const path = join(terminal.folder, `${HARBOUR[1]}.sigmf-data`);
    const bytes = readFileSync(path);
    const samples = new Int16Array(bytes.buffer, bytes.byteOffset, bytes.length / 2);
    for (let i = 0; i < samples.length; i++) samples[i] = Math.max(-12_000, Math.min(12_000, samples[i] as number));
    writeFileSync(path, bytes);
    const { code, err } = await kneepoint(['identify', ...HARBOUR, ...SMALL], terminal);
    expect(code).toBe(0);
    expect(flat(err)).toMatch(/warning \(capture-clipped\): \d+ of 52608 samples of the observed record/);
  });

  test('--validate with one record', async () => {
    const err = await failing(withCaptures(HARBOUR), [...HARBOUR, '--validate', HARBOUR[0]]);
    expect(err).toContain('--validate must stand before two records');
  });
});
