import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import type { Report } from '../../shared/schema/report.ts';
import type { LimitSettings } from '../../shared/schema/scenario.ts';
import { limitSetIds } from '../../shared/tables/limitSets.ts';
import { kneepoint, openTerminal, SMALL_SCENARIO } from './terminal.ts';

/** Noise of a channel of NR, 30 dBm at the antenna port. */
const NOISE = { ...SMALL_SCENARIO, carrierFrequencyHz: 3.46e9 };

function withBench(scenario: unknown = NOISE) {
  const terminal = openTerminal();
  writeFileSync(join(terminal.folder, 'bench.json'), JSON.stringify(scenario));
  return terminal;
}

const readingsOf = (limits: readonly LimitSettings[]) => limits.map(({ reading }) => reading);

describe('limits', () => {
  test('lists every set and every mask with its status, and says to check the current text', async () => {
    const { code, out, err } = await kneepoint(['limits']);
    expect([code, err]).toEqual([0, '']);
    for (const id of limitSetIds) expect(out).toContain(`  ${id} `);
    const statuses = [...out.matchAll(/ (read|read\+recalled|recalled)$/gm)];
    // 38 masks of base stations, two of user equipment, one rule.
    expect(statuses).toHaveLength(41);
    expect(out.replace(/\s+/g, ' ')).toContain('Check the current text of the standard.');
    const listed = JSON.parse((await kneepoint(['limits', '--json'])).out);
    expect(listed.sets.map(({ id }: { id: string }) => id)).toEqual(limitSetIds);
    expect(listed.masks).toHaveLength(38);
  });

  test('prints what a set writes: limits with source and status, pieces with their bandwidth, notes on stderr', async () => {
    const { code, out, err } = await kneepoint(['limits', 'lte-medium-range', 'quarry-link']);
    expect(code).toBe(0);
    const text = out.replaceAll('\u2009', ' ');
    expect(text).toContain(
      'ACLR adjacent ≥ 45 dB or ≤ −25.0 dBm/MHz\n  TS 36.104 Table 6.6.2.1-1, Medium Range (recalled)',
    );
    expect(text).toMatch(/50 kHz to 5\.05 MHz +−53 to −60 dB re rated power +in 100 kHz/);
    expect(text).toContain('Measured channels: ts36104');
    expect(err).toMatch(/note: The mask ends 10 MHz from the channel’s edge/);
  });

  test('as JSON it is a piece of a scenario; --set changes what the set sees', async () => {
    const args = ['limits', 'us-point-to-point', 'quarry-link', '--json', '--set', 'carrierFrequencyHz=23e9'];
    const { out } = await kneepoint(args);
    const { limits, measurement } = JSON.parse(out);
    expect(readingsOf(limits)).toEqual(['mask', 'occupiedBandwidth']);
    expect(limits[0].source).toContain('above 15 GHz');
    expect(measurement).toEqual({ channels: 'auto' });
  });

  test('a carrier that does not fit is told with every reason and a remedy, and nothing is printed', async () => {
    const { code, out, err } = await kneepoint(['limits', 'nr-wide-area-a', 'quarry-link']);
    expect([code, out]).toEqual([2, '']);
    expect(err).toContain('waveform.carriers.0.standard must be an NR carrier for the set nr-wide-area-a, got "lte"');
    const unknown = await kneepoint(['limits', 'nr-wide-area-q']);
    expect(unknown.code).toBe(2);
    expect(unknown.err).toContain('did you mean nr-wide-area-a?');
  });
});

describe('--limits', () => {
  test('check: plain limits and the channels’ rule stand in the scenario; --set changes them again', async () => {
    const own = ['--set', 'limits.0.requiredDb=50', '--set', 'measurement.spectrum.segmentLength=4096'];
    const { code, out } = await kneepoint(
      ['check', 'bench.json', '--limits', 'nr-medium-range', '--json', ...own],
      withBench(),
    );
    expect(code).toBe(0);
    const scenario = JSON.parse(out);
    expect(readingsOf(scenario.limits)).toEqual(['aclr', 'aclr', 'mask', 'occupiedBandwidth']);
    expect(scenario.limits[0]).toMatchObject({ requiredDb: 50, absoluteDbmPerMHz: -25, status: 'read' });
    expect(scenario.measurement.channels).toBe('ts38104');
    expect(scenario.measurement.spectrum.segmentLength).toBe(4096);
  });

  test('the limits before are gone, even ones that the scenario could not keep', async () => {
    const old = { reading: 'evm', requiredPercent: 1 };
    const terminal = withBench({
      ...NOISE,
      limits: [old],
      measurement: { channels: [{ offsetHz: 1, bandwidthHz: 9e6 }] },
    });
    const before = await kneepoint(['check', 'bench.json'], terminal);
    expect(before.code).toBe(2);
    const { code, out } = await kneepoint(['check', 'bench.json', '--limits', 'nr-wide-area-b', '--json'], terminal);
    expect(code).toBe(0);
    expect(readingsOf(JSON.parse(out).limits)).not.toContain('evm');
  });

  test('what limits --json prints can be given again as a file', async () => {
    const terminal = withBench();
    const { out } = await kneepoint(['limits', 'nr-medium-range', 'bench.json', '--json'], terminal);
    writeFileSync(join(terminal.folder, 'own.json'), out);
    const bySet = await kneepoint(['check', 'bench.json', '--limits', 'nr-medium-range', '--json'], withBench());
    terminal.out = '';
    const byFile = await kneepoint(['check', 'bench.json', '--limits', 'own.json', '--json'], terminal);
    expect(byFile.out).toBe(bySet.out);
    const none = await kneepoint(['check', 'bench.json', '--limits', 'nowhere'], withBench());
    expect([none.code, none.err.includes('must be a limit set or a JSON file of limits')]).toEqual([2, true]);
  });

  test('run: every limit of the set has its verdict, and the mask its reading', async () => {
    const args = ['run', 'bench.json', '--limits', 'nr-medium-range', '--json', '--set', 'predistorter=null'];
    const { code, out } = await kneepoint(args, withBench());
    expect(code).toBe(0);
    const report = JSON.parse(out) as Report;
    expect(report.uncorrected.masks).toHaveLength(1);
    expect(report.uncorrected.masks[0]).toMatchObject({ status: 'read+recalled', judgedToHz: 40e6, isComplete: true });
    const judged = report.verdicts.map(({ limit }) => limit).sort();
    expect(judged).toEqual(['aclr', 'aclr', 'mask', 'occupiedBandwidth']);
    const text = await kneepoint([...args.filter((arg) => arg !== '--json')], withBench());
    expect(text.out).toMatch(/^room under the mask Medium Range, operating band, dB +−?\d+\.\d/m);
    expect(text.out.replace(/\s+/g, ' ')).toMatch(
      /Mask Medium Range, operating band \(boundaries read, slopes recalled\)/,
    );
  });

  test('studies: the ladder judges the set', async () => {
    const args = [
      'ladder',
      'bench.json',
      '--limits',
      'nr-wide-area-a',
      '--from',
      '8',
      '--to',
      '10',
      '--step',
      '2',
      '--json',
    ];
    const { code, out } = await kneepoint([...args, '--workers', '1', '--set', 'predistorter=null'], withBench());
    expect(code).toBe(0);
    expect(out).toContain('Wide Area A, operating band');
  });
});
