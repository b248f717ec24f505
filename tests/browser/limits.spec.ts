// Limits, readings and the two-tone question in a browser: by keyboard, on a phone, and looked at by axe.
import AxeBuilder from '@axe-core/playwright';
import type { Page } from '@playwright/test';
import { expect, test } from './bench.ts';

async function faultsOf(page: Page, part: string): Promise<string[]> {
  const { violations } = await new AxeBuilder({ page }).include({ fromShadowDom: ['kneepoint-app', part] }).analyze();
  return violations.flatMap(({ id, nodes }) => nodes.map(({ target }) => `${id} ${target}`));
}

/** Chooses the Medium Range set of NR by keyboard and applies it. */
async function applyMediumRange(page: Page): Promise<void> {
  const chooser = page.locator('kp-limit-set-chooser');
  await chooser.getByLabel('Set of a standard').selectOption({ label: 'Medium Range (partly recalled)' });
  await chooser.getByRole('button', { name: /^Apply the set/ }).focus();
  await page.keyboard.press('Enter');
}

test('a set of limits is applied by keyboard in one step, undone in one, and axe finds nothing', async ({
  bench,
  page,
}) => {
  test.setTimeout(180_000);
  await bench.open();
  await bench.choosePreset('Full-band 256QAM-like');
  await bench.block('Antenna port').click();
  const groups = page.locator('kp-limits section');
  await expect(groups).toHaveCount(2);
  await page.locator('kp-limit-set-chooser summary').click();
  await expect(page.locator('kp-limit-set-chooser dd').first()).toContainText('must');
  await bench.settledAfter(() => applyMediumRange(page));
  await expect(groups).toHaveCount(5);
  const mask = groups.filter({ hasText: 'Mask, Medium Range' });
  await expect(mask).toContainText('in 100\u2009kHz, at');
  await expect(mask).toContainText('check the current text');
  await page.locator('kp-settings').getByText('3 pieces', { exact: true }).click();
  await expect(page.getByLabel('Piece 1, from, MHz')).toHaveValue('0.05');
  for (const theme of ['light', 'dark'] as const) {
    await page.emulateMedia({ colorScheme: theme });
    for (const part of ['kp-settings', 'kp-limits', 'kp-detail']) {
      expect(await faultsOf(page, part), `${part}, ${theme}`).toEqual([]);
    }
  }
  await bench.settledAfter(() => page.getByRole('button', { name: 'Undo' }).click());
  await expect(groups).toHaveCount(2);
});

test('limits of one’s own are added, edited and removed', async ({ bench, page }) => {
  await bench.open();
  await bench.block('Antenna port').click();
  const settings = page.locator('kp-settings');
  await settings.getByLabel('Kind of a limit to add').selectOption('emission mask');
  await bench.settledAfter(() => settings.getByRole('button', { name: 'Add limit' }).click());
  const mask = page.locator('kp-limits section').filter({ hasText: 'Mask, own mask' });
  await expect(mask).toContainText('limit −13.0\u2009dBm in 100\u2009kHz');
  await settings.getByText('1 piece', { exact: true }).click();
  const level = page.getByLabel('Piece 1, level at the first distance');
  await level.fill('-20');
  await bench.settledAfter(() => level.press('Tab'));
  await page.getByLabel('Piece 1, level at the last distance').fill('-20');
  await bench.settledAfter(() => page.keyboard.press('Tab'));
  await expect(mask).toContainText('limit −20.0\u2009dBm in 100\u2009kHz');
  await bench.settledAfter(() => settings.getByRole('button', { name: /^Remove limit 3/ }).click());
  await expect(mask).toHaveCount(0);
});

test('a reading’s definition opens beside it, and the table holds on a phone', async ({ bench, page }) => {
  await page.setViewportSize({ width: 390, height: 844 });
  await bench.open();
  const readings = page.locator('kp-readings');
  await readings.getByText('definition', { exact: true }).first().click();
  await expect(readings).toContainText('TS 38.104 clause 6.6.3');
  const region = readings.getByRole('region', { name: 'Readings of every output' });
  const overflow = await region.evaluate((element) => element.scrollWidth - element.clientWidth);
  expect(overflow).toBeLessThanOrEqual(0);
  expect(await faultsOf(page, 'kp-detail')).toEqual([]);
});

test('the carrier whose error vector is shown can be chosen', async ({ bench, page }) => {
  await bench.open();
  await bench.choosePreset('Four-Slot Uplink');
  const view = page.locator('kp-constellations');
  const text = view.locator('figcaption').first();
  await view.getByLabel('Carrier').selectOption({ index: 0 });
  const first = await text.textContent();
  await view.getByLabel('Carrier').selectOption({ index: 3 });
  await expect(text).not.toHaveText(first!);
  await expect(view).toContainText('after the matched filter');
});

test('the two-tone question answers with an intercept and its slope, and axe finds nothing', async ({
  bench,
  page,
}) => {
  test.setTimeout(180_000);
  await bench.open();
  await page.locator('kp-doors').getByRole('button', { name: 'Which intercept?' }).click();
  const section = page.locator('kp-studies section');
  await expect(section).toHaveAttribute('aria-busy', 'false', { timeout: 120_000 });
  await expect(section.locator('.answer')).toContainText('intercept');
  await expect(page.locator('kp-tone-view')).toContainText('dB/dB');
  await expect(page.getByRole('slider', { name: /Cursor on tones and products/ })).toBeVisible();
  expect(await faultsOf(page, 'kp-studies')).toEqual([]);
});
