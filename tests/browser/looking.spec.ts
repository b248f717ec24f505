// The page is looked at: by axe, by keyboard, and as pictures for a person to judge.
import { mkdirSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import AxeBuilder from '@axe-core/playwright';
import type { Page } from '@playwright/test';
import { expect, test } from './bench.ts';

const PICTURES = join(tmpdir(), 'kneepoint-pictures');
mkdirSync(PICTURES, { recursive: true });

/** Faults of the whole page, or of one part of it. */
async function faultsOf(page: Page, part?: string): Promise<string[]> {
  const axe = new AxeBuilder({ page });
  const { violations } = await (part === undefined
    ? axe
    : axe.include({ fromShadowDom: ['kneepoint-app', part] })
  ).analyze();
  return violations.flatMap(({ id, nodes }) =>
    nodes.map(({ target, failureSummary }) => `${id} ${target} ${failureSummary}`),
  );
}

for (const theme of ['light', 'dark'] as const) {
  test(`axe finds nothing in ${theme}, in any block, with a refused field, in the dialogs`, async ({ bench, page }) => {
    test.setTimeout(180_000);
    await page.emulateMedia({ colorScheme: theme });
    await bench.open();
    expect(await faultsOf(page), 'the page').toEqual([]);
    for (const block of ['Data', 'Crest factor', 'Predistorter', 'Antenna port', 'Observation', 'Amplifier']) {
      await bench.block(block).click();
      expect(await faultsOf(page, 'kp-settings'), block).toEqual([]);
    }
    await bench.fill('Gain', '999');
    await expect(page.locator('kp-field .issue')).toHaveCount(1);
    await page.getByRole('button', { name: 'About Gain' }).click();
    expect(await faultsOf(page, 'kp-settings'), 'a refused field').toEqual([]);
    await bench.settledAfter(() => page.getByRole('button', { name: 'Undo' }).click());
    // What is being replaced is dimmed; what is judged here is the page at rest.
    await expect(page.locator('main.stale')).toHaveCount(0);
    for (const [name, part] of [
      ['As text', 'kp-scenario-text'],
      ['All cautions', 'kp-leaflet'],
      ['Terms', 'kp-leaflet'],
    ] as const) {
      await page.getByRole('button', { name }).click();
      await expect(page.getByRole('dialog')).toBeVisible();
      expect(await faultsOf(page, part), name).toEqual([]);
      await page.keyboard.press('Escape');
    }
    await page.locator('kp-spectrum-panel summary').click();
    expect(await faultsOf(page, 'kp-spectrum-panel'), 'table').toEqual([]);
    await page.locator('kp-header summary').click();
    expect(await faultsOf(page, 'kp-header'), 'menu').toEqual([]);
  });
}

test('the theme is chosen on the page and reaches the canvas', async ({ bench, page }) => {
  await page.emulateMedia({ colorScheme: 'light' });
  await bench.open();
  const ink = () => page.evaluate(() => getComputedStyle(document.body).getPropertyValue('background-color'));
  const light = await ink();
  await page.getByLabel('Theme').selectOption('dark');
  await expect.poll(ink).not.toBe(light);
  await page.reload();
  await bench.settled();
  expect(await ink()).not.toBe(light);
});

test('the plot is read by keyboard', async ({ bench, page }) => {
  await bench.open();
  await bench.plot.focus();
  await page.keyboard.press('Home');
  await expect(bench.plot).toHaveAttribute('aria-valuetext', /^−\d+\.\d\d\u2009MHz: Waveform −?\d/);
  const start = Number(await bench.plot.getAttribute('aria-valuenow'));
  await page.keyboard.press('ArrowRight');
  await page.keyboard.press('Shift+ArrowRight');
  const step = (Number(await bench.plot.getAttribute('aria-valuenow')) - start) / 65;
  // One bin of 122.88 MHz over 8192.
  expect(step).toBeCloseTo(122.88 / 8192, 6);
  await expect(page.locator('kp-spectrum-panel .read-out')).toContainText('MHz');
});

test('traces are switched off and on', async ({ bench, page }) => {
  await bench.open();
  const button = page.locator('kp-spectrum-panel').getByRole('button', { name: 'Ideal limiter' });
  await expect(button).toHaveAttribute('aria-pressed', 'true');
  await button.click();
  await expect(button).toHaveAttribute('aria-pressed', 'false');
  await bench.plot.focus();
  await page.keyboard.press('Home');
  await expect(bench.plot).not.toHaveAttribute('aria-valuetext', /Ideal limiter/);
});

test('cautions are one click away and the first is always there', async ({ bench, page }) => {
  await bench.open();
  await expect(page.locator('footer')).toContainText('A simulation is not a measurement');
  await page.getByRole('button', { name: 'All cautions' }).click();
  await expect(page.getByRole('dialog')).toContainText('RF burns');
});

for (const width of [1440, 1024, 390]) {
  for (const theme of ['light', 'dark'] as const) {
    test(`pictures at ${width} px, ${theme}: nothing runs out of the page`, async ({ bench, page }) => {
      await page.setViewportSize({ width, height: width === 390 ? 844 : width === 1024 ? 768 : 900 });
      await page.emulateMedia({ colorScheme: theme });
      await bench.open();
      await page.waitForTimeout(200);
      await page.screenshot({ path: join(PICTURES, `${width}-${theme}.png`) });
      await page.screenshot({ path: join(PICTURES, `${width}-${theme}-whole.png`), fullPage: true });
      const overflow = await page.evaluate(
        () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
      );
      expect(overflow).toBeLessThanOrEqual(0);
    });
  }
}
