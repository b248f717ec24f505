// `amplify --with POINTS.csv`: a record through measured points, amplitude 1 being 0 dBm on both sides.
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { kneepoint, openTerminal } from './terminal.ts';

const COUNT = 256;

/** One turn a period, amplitude rising to 1: −60 to 0 dBm. */
function withFiles(points: string) {
  const terminal = openTerminal();
  const lines = Array.from({ length: COUNT }, (_, n) => {
    const r = (n + 1) / COUNT;
    return `${r * Math.cos((2 * Math.PI * n) / COUNT)}, ${r * Math.sin((2 * Math.PI * n) / COUNT)}`;
  });
  writeFileSync(join(terminal.folder, 'drive.csv'), `${lines.join('\n')}\n`);
  writeFileSync(join(terminal.folder, 'points.csv'), points);
  return terminal;
}

test('a linear amplifier of 20 dB with 10° turns by 10° and gives ten times the amplitude', async () => {
  const terminal = withFiles('input dBm; output dBm; phase deg\n-20,0; 0; 10\n-10; 10; 10\n0; 20; 10\n');
  const { code, err } = await kneepoint(
    ['amplify', 'drive.csv', '--sample-rate', '1e6', '--with', 'points.csv', '--out', 'through'],
    terminal,
  );
  expect({ code, err }).toMatchObject({ code: 0 });
  expect(err).toContain('Measured points (3)');
  expect(err.replace(/\s+/g, ' ')).not.toContain('held at');
  const output = readFileSync(join(terminal.folder, 'through.sigmf-data'));
  for (let n = 0; n < COUNT; n++) {
    const angle = (2 * Math.PI * n) / COUNT + Math.PI / 18;
    // Single precision.
    expect(Math.abs(output.readFloatLE(8 * n) - (10 * (n + 1) * Math.cos(angle)) / COUNT)).toBeLessThan(1e-6);
    expect(Math.abs(output.readFloatLE(8 * n + 4) - (10 * (n + 1) * Math.sin(angle)) / COUNT)).toBeLessThan(1e-6);
  }
});

test('samples beyond the last point are held and told', async () => {
  const terminal = withFiles('-20,0\n-10,10\n-6,13\n');
  const { code, err } = await kneepoint(
    ['amplify', 'drive.csv', '--sample-rate', '1e6', '--with', 'points.csv'],
    terminal,
  );
  expect(code).toBe(0);
  // Amplitudes 1/256 … 1: 128 of them above 0.5012.
  expect(err.replace(/\s+/g, ' ')).toMatch(/50\.0 % of the drive’s samples were held at 0\.5012/);
});

test('a faulty table is refused with its lines', async () => {
  const terminal = withFiles('-20,0\nten,10\n0,20\n-5,\n');
  const { code, out, err } = await kneepoint(
    ['amplify', 'drive.csv', '--sample-rate', '1e6', '--with', 'points.csv'],
    terminal,
  );
  expect({ code, out }).toEqual({ code: 2, out: '' });
  expect(err).toMatch(/points\.csv: 2 faults/);
  expect(err).toMatch(/line 2 must hold a number in column 1, got "ten"/);
});
