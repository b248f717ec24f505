// The numpy program of the bench is a second pipeline written on its own: same job, other tools. What both report must
// agree, or the bench compares nothing.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { describeJob, type Figures, scenarioOf, timeRun } from './probe.ts';

const hasNumpy = spawnSync('python3', ['-c', 'import numpy'], { stdio: 'ignore' }).status === 0;

function textbookFigures(scenario: unknown): Figures {
  const folder = mkdtempSync(join(tmpdir(), 'kneepoint-textbook-'));
  try {
    const { job, symbols } = describeJob(scenario);
    writeFileSync(join(folder, 'job.json'), JSON.stringify(job));
    writeFileSync(join(folder, 'symbols.f64'), symbols);
    const program = join(import.meta.dirname, 'textbook.py');
    const { stdout, stderr } = spawnSync('python3', [program, folder], { input: 'run\n', encoding: 'utf8' });
    const [, answer] = stdout.trim().split('\n');
    if (answer === undefined) throw new Error(stderr);
    return JSON.parse(answer).figures;
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

describe.skipIf(!hasNumpy)('Quarry Link in numpy', () => {
  const scenario = scenarioOf('quarry-link', 4);
  let theirs: Figures;
  let ours: Figures;
  beforeAll(() => {
    theirs = textbookFigures(scenario);
    ours = timeRun(scenario, () => performance.now()).figures;
  });

  test('has as many samples and learning passes', () => {
    expect(ours.sampleCount).toBe(theirs.sampleCount);
    expect(ours.learningPasses).toBe(theirs.learningPasses);
  });

  // Tolerances: both level to ±0.002 dB, by other steps; near 9 dB output back-off that moves the uncorrected ACLR by
  // some thousandths of a dB, and the corrected one, which lives on what learning leaves over, by hundredths.
  test('agrees in ACLR and EVM', () => {
    expect(Math.abs(ours.uncorrectedAclrDb - theirs.uncorrectedAclrDb)).toBeLessThan(0.01);
    expect(Math.abs(ours.correctedAclrDb - theirs.correctedAclrDb)).toBeLessThan(0.05);
    expect(Math.abs(ours.correctedEvmPercent - theirs.correctedEvmPercent)).toBeLessThan(0.01);
  });

  test('levels in no fewer passes of the amplifier', () => {
    expect(ours.amplifierPasses).toBeLessThanOrEqual(theirs.amplifierPasses);
  });
});
