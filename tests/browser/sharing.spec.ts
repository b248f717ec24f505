// The scenario in the address bar, as text, undone and redone.
import { expect, test } from './bench.ts';

test('the address holds the scenario and opens it again', async ({ bench, page, context }) => {
  await bench.open();
  await bench.settledAfter(() => bench.fill('Mean output power', '35.5'));
  await expect.poll(() => new URL(page.url()).hash).toMatch(/^#1\./);
  const address = page.url();
  const other = await context.newPage();
  await other.goto(address);
  await expect(other.getByLabel('Mean output power', { exact: true })).toHaveValue('35.5');
  await expect(other.locator('kp-answer .answer')).toContainText('At 35.5 dBm');
  await expect(other.getByLabel('Scenario', { exact: true })).toContainText('from a link');
  await other.close();
});

test('a damaged address gives one clear message and the default scenario', async ({ bench, page }) => {
  await bench.open('#1.this-is-damaged');
  await expect(page.locator('kp-answer')).toContainText('The scenario in the address could not be read');
  await expect(bench.answer).toContainText('At 36.5 dBm');
});

test('an address changed by hand is followed', async ({ bench, page }) => {
  await bench.open();
  const first = page.url();
  await bench.settledAfter(() => bench.fill('Mean output power', '34'));
  await expect.poll(() => page.url()).not.toBe(first);
  await page.evaluate((url) => {
    location.hash = new URL(url).hash;
  }, first);
  await expect(bench.field('Mean output power')).toHaveValue('36.5');
});

test('undo, redo and reset', async ({ bench, page }) => {
  await bench.open();
  const power = bench.field('Mean output power');
  await bench.settledAfter(() => bench.fill('Mean output power', '35'));
  await bench.settledAfter(() => bench.fill('Mean output power', '34'));
  await page.getByRole('button', { name: 'Undo' }).click();
  await expect(power).toHaveValue('35');
  await page.getByRole('button', { name: 'Redo' }).click();
  await expect(power).toHaveValue('34');
  await page.getByRole('button', { name: 'Reset' }).click();
  await expect(power).toHaveValue('36.5');
});

test('the scenario as text: all faults at once, then taken', async ({ bench, page }) => {
  await bench.open();
  await page.getByRole('button', { name: 'As text' }).click();
  const area = page.getByLabel('Scenario as JSON');
  const text = await area.inputValue();
  await area.fill(text.replace('"symbolCount": 24', '"symbolCount": 1').replace('"gainDb"', '"gain"'));
  await page.getByRole('button', { name: 'Use this text' }).click();
  await expect(page.locator('kp-scenario-text')).toContainText('Not taken: 2 faults');
  await expect(page.locator('kp-scenario-text')).toContainText('did you mean gainDb?');
  await area.fill(text.replace('"meanPowerDbm": 36.5', '"meanPowerDbm": 33'));
  await page.getByRole('button', { name: 'Use this text' }).click();
  await expect(area).toBeHidden();
  await expect(bench.field('Mean output power')).toHaveValue('33');
});

test('a file is brought in', async ({ bench, page }) => {
  await bench.open();
  await page.getByRole('button', { name: 'As text' }).click();
  const scenario = JSON.parse(await page.getByLabel('Scenario as JSON').inputValue());
  const content = JSON.stringify({ ...scenario, operatingPoint: { outputBackoffDb: 12 } });
  await page.locator('kp-scenario-text input[type=file]').setInputFiles({
    name: 'mine.json',
    mimeType: 'application/json',
    buffer: Buffer.from(content),
  });
  await expect(bench.field('Output back-off')).toHaveValue('12');
});

test('training and judging records change places', async ({ bench }) => {
  await bench.open();
  await bench.block('Data').click();
  await bench.settledAfter(() => bench.page.getByRole('button', { name: 'Swap training and judging records' }).click());
  await expect(bench.field('Judging')).toHaveValue('2');
  await expect(bench.field('Training')).toHaveValue('1');
  await expect(bench.page.locator('kp-spectrum-panel')).toContainText('judging seed 2');
});
