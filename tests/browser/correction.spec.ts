// The correction on the page: a table in place of a polynomial, an observation that sees too little, and the question
// whether a frozen correction holds, each against the library on the same scenario.
import AxeBuilder from '@axe-core/playwright';
import { quarryLink } from '../../shared/presets/quarryLink.ts';
import type { TaskOutcome } from '../../shared/schema/studyReport.ts';
import { encodeFragment } from '../../src/app/state/addressBar.ts';
import { createRunMemory, evaluateStudy, runScenario, runTask } from '../../src/engine/index.ts';
import { expect, test } from './bench.ts';

/** A short record: what is asked for is the page, not the figure. */
const scenario = {
  ...quarryLink,
  waveform: { ...quarryLink.waveform, symbolCount: 2 },
  predistorter: {
    kind: 'memoryPolynomial',
    nonlinearOrders: [1, 3, 5, 7],
    memoryDepth: 3,
    learning: { passCount: 2, bestDrivePassCount: 0 },
  },
};

function byLibrary(predistorter: object) {
  const outcome = runScenario({ ...scenario, predistorter });
  if (outcome.kind !== 'report') throw new Error(JSON.stringify(outcome));
  return outcome.report;
}

test('a table is chosen and run; an observation too narrow costs ACLR and says so', async ({ bench, page }) => {
  await bench.open(await encodeFragment(scenario));
  await bench.block('Predistorter').click();
  await bench.settledAfter(() => bench.field('Structure').selectOption('envelopeTable'));
  const table = { kind: 'envelopeTable', memoryDepth: 3, learning: { passCount: 2, bestDrivePassCount: 0 } };
  const tabled = byLibrary(table);
  await expect(bench.answer).toHaveText(tabled.answer);
  const cost = tabled.predistorter?.cost;
  await expect(page.locator('kp-settings .cost')).toContainText(
    `${cost?.coefficientCount} coefficients, ${cost?.realMultipliesPerSample} real multiplies a sample in 3 tables`,
  );
  await expect(bench.block('Predistorter')).toContainText('table of 32; memory 3');

  await bench.block('Observation').click();
  await expect(bench.block('Observation')).toContainText('ideal');
  await bench.settledAfter(() => page.getByLabel('Observe through a real receiver').check());
  await bench.field('Bandwidth: full').uncheck();
  await bench.settledAfter(() => bench.fill('Bandwidth', '12'));
  await expect(bench.block('Observation')).toContainText('12');
  const narrow = byLibrary({ ...table, observation: { bandwidthHz: 12e6 } });
  const worst = ({ corrected }: typeof narrow) => Math.min(...(corrected?.aclr ?? []).map(({ aclrDb }) => aclrDb ?? 0));
  expect(worst(narrow)).toBeLessThan(worst(tabled) - 5);
  await expect(bench.answer).toHaveText(narrow.answer);
  const warning = narrow.warnings.find(({ code }) => code.startsWith('observation'));
  expect(warning).toBeDefined();
  await expect(page.locator('kp-warnings').filter({ hasText: warning?.message ?? '' })).toHaveCount(1);
  const axe = new AxeBuilder({ page }).include({ fromShadowDom: ['kneepoint-app', 'kp-settings'] });
  expect((await axe.analyze()).violations.map(({ id }) => id)).toEqual([]);
});

/** The library's report on the same question. */
function askLibrary(question: object) {
  const known = new Map<string, TaskOutcome>();
  const memory = createRunMemory();
  for (;;) {
    const evaluation = evaluateStudy({ scenario, question }, known);
    if (evaluation.kind === 'invalid') throw new Error(JSON.stringify(evaluation.issues));
    if (evaluation.pending.length === 0) return evaluation.report;
    for (const task of evaluation.pending) known.set(task.key, runTask(task, memory));
  }
}

test('does it hold: answer, worst cell and its spectrum are the library’s', async ({ bench, page }) => {
  await bench.open(await encodeFragment(scenario));
  await page.locator('kp-doors').getByRole('button', { name: 'Does it hold?' }).click();
  const studies = page.locator('kp-studies');
  const values = studies.getByLabel('Values', { exact: true });
  await studies.locator('kp-hold-view select').selectOption('saturatedPower');
  await values.fill('-1, 0');
  await values.press('Enter');
  await expect(page.locator('kp-run-bar')).toContainText('all done', { timeout: 60_000 });
  const report = askLibrary({ kind: 'hold', axis: 'saturatedPower', values: [-1, 0] });
  await expect(studies.locator('.answer')).toHaveText(report.answer);
  if (report.result.kind !== 'hold') throw new Error('no answer about holding');
  const { worst } = report.result;
  const worstCell = studies.getByRole('button', { name: /the worst$/ });
  await expect(worstCell).toContainText(worst?.reading.worstAclrDb?.toFixed(1) ?? 'nothing');
  await worstCell.focus();
  await worstCell.press('Enter');
  await expect(studies.locator('.read-out')).toContainText('lost by not retraining');
  await expect(studies.getByRole('heading', { name: 'The worst of them' })).toBeVisible();
  const axe = new AxeBuilder({ page }).include({ fromShadowDom: ['kneepoint-app', 'kp-studies'] });
  expect((await axe.analyze()).violations.map(({ id }) => id)).toEqual([]);
});
