// "How does a burst start?" on the page: short bursts of Cold Start, the same figures as the library's.
import AxeBuilder from '@axe-core/playwright';
import { coldStart } from '../../shared/presets/coldStart.ts';
import type { TaskOutcome } from '../../shared/schema/studyReport.ts';
import { encodeFragment } from '../../src/app/state/addressBar.ts';
import { createRunMemory, evaluateStudy, runTask } from '../../src/engine/index.ts';
import { expect, test } from './bench.ts';

const scenario = {
  ...coldStart,
  waveform: { ...coldStart.waveform, symbolCount: 4 },
  predistorter: { kind: 'memoryPolynomial', nonlinearOrders: [1, 3, 5], memoryDepth: 2 },
};

/** The library's report on the same question. */
function byLibrary(question: object) {
  const known = new Map<string, TaskOutcome>();
  const memory = createRunMemory();
  for (;;) {
    const evaluation = evaluateStudy({ scenario, question: { kind: 'burst', ...question } }, known);
    if (evaluation.kind === 'invalid') throw new Error(JSON.stringify(evaluation.issues));
    if (evaluation.pending.length === 0) return evaluation.report;
    for (const task of evaluation.pending) known.set(task.key, runTask(task, memory));
  }
}

test('the answer, the table and a symbol under the cursor are the library’s; an amplifier without heat is given some', async ({
  bench,
  page,
}) => {
  const { slowStates: _none, ...plain } = scenario.amplifier;
  await bench.open(await encodeFragment({ ...scenario, amplifier: plain }));
  await page.locator('kp-doors').getByRole('button', { name: 'How does a burst start?' }).click();
  const studies = page.locator('kp-studies');
  await expect(studies.getByRole('alert')).toContainText('scenario.amplifier.slowStates must have a depth');
  await expect(studies.getByRole('button', { name: 'Give this amplifier heat and traps' })).toBeVisible();

  await page.goto('about:blank');
  await bench.open(await encodeFragment(scenario));
  await page.locator('kp-doors').getByRole('button', { name: 'How does a burst start?' }).click();
  const set = async (label: string, value: string) => {
    const box = studies.getByLabel(label, { exact: true });
    await box.fill(value);
    await box.press('Enter');
  };
  await set('Records', '2');
  await set('Silences', '0.2, 50');
  await expect(page.locator('kp-run-bar')).toContainText('2 runs, all done', { timeout: 60_000 });
  const report = byLibrary({ silencesS: [0.2e-3, 50e-3], recordCount: 2 });
  await expect(studies.locator('.answer')).toHaveText(report.answer);
  if (report.result.kind !== 'burst') throw new Error('no burst');
  const [, cold] = report.result.bursts;
  const row = studies.getByRole('row', { name: /^50 / }).first();
  await expect(row).toContainText(cold?.netPercent[0]?.toFixed(2) ?? 'nothing');
  await expect(studies.locator('.condition', { hasText: 'shorter than 3 thermal time constants' })).toBeVisible();
  const plot = studies.getByRole('slider', { name: /Cursor on EVM against the time/ });
  await plot.press('Home');
  await expect(plot).toHaveAttribute(
    'aria-valuetext',
    new RegExp(`^Symbol 0, from 0\\.00\\sms: .*50\\sms off ${cold?.netPercent[0]?.toFixed(2)} ± `),
  );
  const axe = new AxeBuilder({ page }).include({ fromShadowDom: ['kneepoint-app', 'kp-studies'] });
  expect((await axe.analyze()).violations.map(({ id }) => id)).toEqual([]);
});
