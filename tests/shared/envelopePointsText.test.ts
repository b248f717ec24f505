// Points from text, in the forms that instruments and spreadsheets write; every fault with its line.
import { describe, expect, test } from 'vitest';
import { readEnvelopePoints } from '../../shared/schema/envelopePointsText.ts';

function pointsOf(text: string) {
  const outcome = readEnvelopePoints(text);
  if (outcome.kind === 'invalid') expect.fail(JSON.stringify(outcome.issues));
  return outcome.points.map(({ inputDbm, outputDbm, phaseDeg }) => [inputDbm, outputDbm, phaseDeg]);
}

function issuesOf(text: string) {
  const outcome = readEnvelopePoints(text);
  return outcome.kind === 'invalid' ? outcome.issues.map(({ path, rule, value }) => `${path}: ${rule}, ${value}`) : [];
}

const expected = [
  [-10, 20, 0],
  [0, 29.5, 1.5],
  [5, 32, -4],
];

describe('one table in many forms', () => {
  test.each([
    ['commas, no header', '-10,20,0\n0,29.5,1.5\n5,32,-4'],
    ['commas and blanks, Windows line ends, a last empty line', '-10, 20, 0\r\n0, 29.5, 1.5\r\n5, 32, -4\r\n\r\n'],
    ['tabs', '-10\t20\t0\n0\t29.5\t1.5\n5\t32\t-4\n'],
    ['blanks', '-10 20 0\n0  29.5  1.5\n5 32 -4\n'],
    ['semicolons, decimal commas', 'Pin dBm; Pout dBm; phase deg\n-10;20;0\n0;29,5;1,5\n5;32;-4'],
    ['a header, other order', 'phase (deg),output dBm,input dBm\n0,20,-10\n1.5,29.5,0\n-4,32,5'],
    ['gain in place of output', 'inputDbm,gainDb,phaseDeg\n-10,30,0\n0,29.5,1.5\n5,27,-4'],
    ['a column nobody asked for', 'inputDbm,dc A,outputDbm,phaseDeg\n-10,1,20,0\n0,1,29.5,1.5\n5,2,32,-4'],
    ['a byte order mark and remarks', '\ufeff# bench 3\n-10,20,0\n# turned up\n0,29.5,1.5\n5,32,-4'],
    ['exponents', '-1e1,2e1,0\n0,2.95e1,1.5\n5,3.2e1,-4'],
  ])('%s', (_name, text) => {
    expect(pointsOf(text)).toEqual(expected);
  });
  test('no phase column: the phase is 0', () => {
    expect(pointsOf('-10,20\n0,29.5\n5,32')).toEqual([
      [-10, 20, 0],
      [0, 29.5, 0],
      [5, 32, 0],
    ]);
  });
});

describe('faults', () => {
  test('all at once, each with its line', () => {
    const issues = issuesOf('# bench\ninputDbm,outputDbm\n-10,20\nzero,29.5\n5,\n');
    expect(issues).toEqual([
      'line 4: must hold a number in column 1, "zero"',
      'line 5: must hold a number in column 2, ""',
    ]);
  });
  test('input powers that do not rise', () => {
    expect(issuesOf('-10,20\n0,29.5\n0,30\n5,32\n-3,1')).toEqual([
      'line 3: must have a higher input power than the line before, 0 dBm after 0 dBm',
      'line 5: must have a higher input power than the line before, -3 dBm after 5 dBm',
    ]);
  });
  test.each([
    ['nothing', '', 'points: must hold points, no lines'],
    ['two points', '-10,20\n0,29.5', 'points: must hold 3 to 4096 points, 2 points'],
    ['no input column', 'outputDbm,phaseDeg\n20,0\n29,1\n32,2', 'line 1: must name the input power'],
    ['no output column', 'inputDbm,phaseDeg\n-10,0\n0,1\n5,2', 'line 1: must name the output power or the gain'],
    ['a column twice', 'Pin,input dBm,Pout\n-10,-10,20\n0,0,29\n5,5,32', 'line 1: must name each column once'],
    ['one column', '-10\n0\n5', 'line 1: must hold a number in column 2, ""'],
    ['infinity', '-10,20\n0,Infinity\n5,32', 'line 2: must hold a number in column 2, "Infinity"'],
  ])('%s', (_name, text, start) => {
    expect(issuesOf(text)[0]).toContain(start);
  });
  test('too many points', () => {
    const lines = Array.from({ length: 4097 }, (_, i) => `${i / 100},${i / 100}`);
    expect(issuesOf(lines.join('\n'))).toEqual(['points: must hold 3 to 4096 points, 4097 points']);
  });
});
