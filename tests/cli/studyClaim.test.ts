// Claim cards (F32): what they hold, and that a changed one is found.
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { cautions } from '../../shared/cautions.ts';
import type { Claim } from '../../shared/reports/claim.ts';
import { readClaimCard } from '../../shared/reports/claimCard.ts';
import { sha256 } from '../../shared/reports/sha256.ts';
import { runScenario } from '../../src/engine/index.ts';
import { htmlFault } from '../shared/wellFormed.ts';
import { SMALL_BENCH } from './smallStudies.ts';
import { kneepoint, openTerminal } from './terminal.ts';

/** Written by the first test, changed by the others. */
let card = '';

test('run --claim writes one file', async () => {
  const terminal = openTerminal({ stdin: JSON.stringify(SMALL_BENCH) });
  const { code, err } = await kneepoint(['run', '-', '--json', '--claim', 'card.html', '--seeds', '3'], terminal);
  expect(code, err).toBe(0);
  expect(err).toContain('wrote the claim card card.html');
  card = readFileSync(join(terminal.folder, 'card.html'), 'utf8');
  expect(htmlFault(card)).toBeNull();
});

async function check(html: string, ...args: string[]) {
  const terminal = openTerminal();
  writeFileSync(join(terminal.folder, 'card.html'), html);
  return kneepoint(['check', 'card.html', ...args], terminal);
}

/** The card with its data changed, and its digest made to fit again. */
function withData(change: (claim: Claim) => unknown, keepDigest = false): string {
  const claim = readData(card);
  change(claim);
  const text = JSON.stringify(claim, null, 2).replaceAll('<', '\\u003c');
  const [oldText, old] = [dataText(card), sha256(dataText(card))];
  const html = card.replace(oldText, () => text);
  return keepDigest ? html : html.replaceAll(old, sha256(text));
}

const dataText = (html: string) => /id="kneepoint-claim">([\s\S]*?)<\/script>/.exec(html)?.[1] ?? '';
const readData = (html: string) => JSON.parse(dataText(html)) as Claim;

// biome-ignore lint/suspicious/noExplicitAny: a changed claim has no type.
const loose = (claim: Claim) => claim as any;

describe('a claim card', () => {
  test('holds the claim, its conditions, every figure, floors, spread, seeds, version, cautions and the scenario', () => {
    const outcome = runScenario(SMALL_BENCH);
    if (outcome.kind !== 'report') throw new Error('must run');
    const { report } = outcome;
    const text = card.replaceAll('\u00a0', ' ');
    for (const part of [report.answer, ...cautions, 'judging 1, training 2, selection 3', 'Spread', 'ideal limiter']) {
      expect(text).toContain(part);
    }
    const { traces, predistorter: _, ...readings } = report;
    const data = readData(card);
    expect(data.report).toEqual(JSON.parse(JSON.stringify({ ...readings, traces: { conditions: traces.conditions } })));
    expect(data.spread?.seedsRead).toBe(3);
    // Once in the head, once in print. Another program finds the same one: tests/shared/reportsClaim.test.ts.
    expect(card.match(new RegExp(sha256(dataText(card)), 'g'))).toHaveLength(2);
  });

  test('that was not touched holds: every figure is repeated', async () => {
    const { code, out } = await check(card);
    expect(out).toContain('card.html: the claim holds');
    expect(out).toMatch(/All \d{3} figures of the repeated run agree within 0\.01 dB/);
    expect(code).toBe(0);
  });

  test('without --seeds claims no spread', async () => {
    const terminal = openTerminal({ stdin: JSON.stringify(SMALL_BENCH) });
    expect((await kneepoint(['run', '-', '--claim', 'plain.html'], terminal)).code).toBe(0);
    const reading = readClaimCard(readFileSync(join(terminal.folder, 'plain.html'), 'utf8'));
    expect(reading).toMatchObject({ kind: 'claim', claim: { spread: null } });
    expect((await kneepoint(['run', '-', '--seeds', '3'], terminal)).err).toContain(
      '--seeds must stand beside --claim',
    );
  });
});

describe('a changed card is found', () => {
  test.each<[string, (claim: Claim) => unknown, string]>([
    [
      '0.02 dB of ACLR',
      (c) => {
        loose(c).report.corrected.aclr[0].aclrDb += 0.02;
      },
      'report.corrected.aclr.0.aclrDb',
    ],
    [
      '0.3 % of the EVM',
      (c) => {
        loose(c).report.corrected.evm.rmsPercent *= 1.003;
      },
      'report.corrected.evm.rmsPercent',
    ],
    [
      '0.4 % of the watts',
      (c) => {
        loose(c).report.uncorrected.meanPowerW *= 1.004;
      },
      'report.uncorrected.meanPowerW',
    ],
    [
      'a floor',
      (c) => {
        loose(c).report.floors[0].aclrDb += 1;
      },
      'report.floors.0.aclrDb',
    ],
    [
      'a count',
      (c) => {
        loose(c).report.waveform.sampleCount += 1;
      },
      'report.waveform.sampleCount',
    ],
    [
      'the spread',
      (c) => {
        loose(c).spread.readings[0].standardDeviation /= 2;
      },
      'spread.readings.0.standardDeviation',
    ],
    [
      'a figure taken out',
      (c) => {
        delete loose(c).report.corrected.nmseDb;
      },
      'report.corrected.nmseDb',
    ],
    [
      'a reading made null',
      (c) => {
        loose(c).report.ideal.evm.rmsPercent = null;
      },
      'report.ideal.evm.rmsPercent',
    ],
    [
      'the scenario',
      (c) => {
        loose(c).report.scenario.seeds.judging = 7;
      },
      'report.corrected.aclr.0.aclrDb',
    ],
  ])('%s, with a digest that fits', async (_title, change, path) => {
    const { code, out } = await check(withData(change));
    expect(code).toBe(1);
    expect(out).toContain('the claim does not hold');
    expect(out).toContain('Figures that differ');
    expect(out).toContain(path);
    expect(out).not.toContain('The digest does not fit');
  });

  test('less than 0.01 dB is no difference: runtimes differ in their last digits', async () => {
    const { out } = await check(
      withData((c) => {
        loose(c).report.corrected.aclr[0].aclrDb += 1e-9;
      }),
    );
    expect(out).not.toContain('Figures that differ');
  });

  test('a changed digest is named, although all figures agree', async () => {
    const { code, out } = await check(card.replace(/content="[0-9a-f]{64}"/, `content="${'0'.repeat(64)}"`));
    expect(code).toBe(1);
    expect(out).toContain('The digest does not fit the data inside');
    expect(out).toContain('0000000000');
    expect(out).toMatch(/(\d+) of \1 figures agree/);
  });

  test('data that no longer fit their digest are named', async () => {
    const { code, out } = await check(
      withData((c) => {
        loose(c).report.corrected.aclr[0].aclrDb += 0.02;
      }, true),
    );
    expect(code).toBe(1);
    expect(out).toContain('The digest does not fit');
    expect(out).toContain('report.corrected.aclr.0.aclrDb');
  });

  test('a figure changed in print only is found, in a table, in the sentence and in a picture', async () => {
    const figure = /<td>(\d\d\.\d)<\/td>/.exec(card)?.[1] ?? '';
    const inTable = await check(card.replace(`<td>${figure}</td>`, '<td>99.9</td>'));
    expect(inTable.code).toBe(1);
    expect(inTable.out).toContain('Printed otherwise than the data inside say');
    expect(inTable.out).toContain(`prints “99.9”  should be “${figure}”`);
    const inSentence = await check(
      card.replace(/correction takes ACLR from [\d.]+/, 'correction takes ACLR from 20.0'),
    );
    expect(inSentence.code).toBe(1);
    const inPicture = await check(card.replace(/(<text[^>]*>)\d\d\.\d<\/text>/, '$177.7</text>'));
    expect(inPicture.out).toContain('prints “77.7”');
  });

  test('--json says what differs', async () => {
    const { code, out } = await check(
      withData((c) => {
        loose(c).report.corrected.aclr[0].aclrDb += 0.02;
      }),
      '--json',
    );
    expect(code).toBe(1);
    const verdict = JSON.parse(out);
    expect(verdict).toMatchObject({ holds: false, digestHolds: true });
    expect(verdict.differences[0].path).toBe('report.corrected.aclr.0.aclrDb');
  });
});

describe('a file that is no whole card is unusable input', () => {
  test.each([
    ['another page', '<!doctype html><title>x</title>', 'another page'],
    ['no data', () => card.replace(/<script[\s\S]*<\/script>/, ''), 'the data block is missing'],
    ['broken data', () => card.replace('"kneepointClaim"', '"kneepointClaim'), 'the data block is not JSON'],
    [
      'another format',
      () =>
        withData((c) => {
          loose(c).kneepointClaim = 9;
        }),
      'no claim of format 1',
    ],
    [
      'a faulty scenario',
      () =>
        withData((c) => {
          loose(c).report.scenario.operatingPoint = {};
        }),
      'operatingPoint must give exactly one',
    ],
  ])('%s', async (_title, html, reason) => {
    const { code, out, err } = await check(typeof html === 'string' ? html : html());
    expect({ code, out }).toEqual({ code: 2, out: '' });
    expect(err).toContain(reason);
  });
});
