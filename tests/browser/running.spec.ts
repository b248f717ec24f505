// The page computes: first result, live sliders, cancel, refused settings.
import type { Page } from '@playwright/test';
import { expect, note, test } from './bench.ts';

/** Counts drawings of the emission plot, and samples of its canvas that were empty, from now on. */
async function watchPlot(page: Page): Promise<void> {
  await page.evaluate(() => {
    const seen = { drawings: 0, samples: 0, blanks: 0 };
    Object.assign(window, { plotSeen: seen });
    addEventListener('plot-drawn', () => {
      seen.drawings += 1;
    });
    const plot = document
      .querySelector('kneepoint-app')!
      .shadowRoot!.querySelector('kp-spectrum-panel')!
      .shadowRoot!.querySelector('kp-spectrum-plot')!;
    const copy = new OffscreenCanvas(300, 200);
    const context = copy.getContext('2d', { willReadFrequently: true })!;
    const sample = () => {
      const canvas = plot.shadowRoot!.querySelector('canvas');
      context.clearRect(0, 0, copy.width, copy.height);
      if (canvas) context.drawImage(canvas, 0, 0, copy.width, copy.height);
      const { data } = context.getImageData(0, 0, copy.width, copy.height);
      let painted = 0;
      for (let i = 3; i < data.length; i += 4) if (data[i] !== 0) painted += 1;
      seen.samples += 1;
      // Columns and traces paint thousands of pixels of the copy; an emptied canvas paints none.
      if (painted < 1000) seen.blanks += 1;
      setTimeout(sample, 40);
    };
    sample();
  });
}

const plotSeen = (page: Page) =>
  page.evaluate(
    () => (window as unknown as { plotSeen: { drawings: number; samples: number; blanks: number } }).plotSeen,
  );

test('the first result comes soon after loading', async ({ bench, page }) => {
  const startedMs = Date.now();
  await page.goto('./');
  await expect(bench.answer).toContainText('dB');
  const firstMs = Date.now() - startedMs;
  await bench.settled();
  note(`first result ${firstMs} ms after the request, full record ${Date.now() - startedMs} ms`);
  // The aim is 3 s on a quiet machine; a loaded one gets three times that.
  expect(firstMs).toBeLessThan(10_000);
});

test('a drag redraws as it goes, never blanks, and ends in the full record', async ({ bench, page }) => {
  await bench.open();
  await watchPlot(page);
  const slider = page.getByRole('slider', { name: 'Mean output power, slider' });
  await slider.scrollIntoViewIfNeeded();
  const box = (await slider.boundingBox())!;
  const before = await bench.answer.textContent();
  await page.mouse.move(box.x + box.width * 0.4, box.y + box.height / 2);
  await page.mouse.down();
  const startedMs = Date.now();
  for (let i = 0; Date.now() - startedMs < 2500; i++) {
    await page.mouse.move(box.x + box.width * (0.4 + 0.2 * Math.sin(i / 12)), box.y + box.height / 2);
    await page.waitForTimeout(16);
  }
  const during = await plotSeen(page);
  const seconds = (Date.now() - startedMs) / 1000;
  note(
    `${during.drawings} drawings in ${seconds.toFixed(1)} s of dragging: ${(during.drawings / seconds).toFixed(1)} a second`,
  );
  await expect(page.locator('kp-spectrum-panel')).toContainText('short record');
  await page.mouse.up();
  await bench.settled();
  const after = await plotSeen(page);
  expect(during.drawings).toBeGreaterThan(3);
  expect(after.samples).toBeGreaterThan(10);
  expect(after.blanks).toBe(0);
  expect(await bench.answer.textContent()).not.toBe(before);
  await expect(page.locator('kp-spectrum-panel')).not.toContainText('short record');
});

test('a long run shows its progress, is cancelled at once, and the next run works', async ({ bench, page }) => {
  await bench.open();
  const before = await bench.answer.textContent();
  await bench.block('Data').click();
  await bench.fill('Symbols', '600');
  const cancel = page.getByRole('button', { name: 'Cancel' });
  await cancel.click();
  await expect(page.locator('main')).toHaveAttribute('aria-busy', 'false', { timeout: 1000 });
  await expect(cancel).toHaveCount(0);
  await expect(bench.answer).toContainText('dB');
  await page.getByRole('button', { name: 'Undo' }).click();
  await bench.settled();
  await expect(bench.answer).toHaveText(before!);
});

test('a refused field shows the engine’s own issue beside it, and the last result stays', async ({ bench, page }) => {
  await bench.open();
  const before = await bench.answer.textContent();
  await bench.block('Predistorter').click();
  await bench.fill('Memory depth', '99');
  const field = page.locator('kp-field').filter({ hasText: 'Memory depth' });
  await expect(field.locator('.issue')).toHaveText(
    /must be a whole number from 1 to 64, got 99; set memory depth within that range\./,
  );
  await expect(bench.field('Memory depth')).toHaveAttribute('aria-invalid', 'true');
  await expect(bench.block('Predistorter')).toContainText('refused');
  await expect(bench.answer).toHaveText(before!);
  await bench.settledAfter(() => bench.fill('Memory depth', '4'));
  await expect(field.locator('.issue')).toHaveCount(0);
});

test('a power out of reach is answered by the engine with the most there is', async ({ bench, page }) => {
  await bench.open();
  await bench.fill('Mean output power', '45.4');
  await expect(page.locator('kp-field .issue')).toHaveText(/must be within reach: the most this amplifier gives/);
  await expect(page.locator('kp-fault-list')).toContainText('Not computed');
});

test('a list that cannot be read is refused in the engine’s words', async ({ bench, page }) => {
  await bench.open();
  await bench.block('Predistorter').click();
  await page.getByLabel('Orders').fill('1, 3, seven');
  await page.getByLabel('Orders').press('Enter');
  await expect(page.locator('kp-list-field .issue')).toHaveText(/must be a list of orders/);
});

test('a number is typed without being rewritten under the hand', async ({ bench, page }) => {
  await bench.open();
  const box = bench.field('Mean output power');
  await box.click();
  await box.selectText();
  await page.keyboard.type('36.05', { delay: 60 });
  await expect(box).toHaveValue('36.05');
  await bench.settledAfter(() => page.keyboard.press('Enter'));
  await expect(bench.answer).toContainText(/At 36\.[01] dBm/);
});

// Quarry Link at 1.7 dB output back-off lies below what an ideal limiter can do at these limits.
test('correction that does not help is said plainly', async ({ bench, page }) => {
  await bench.open();
  await bench.fill('Mean output power', '43.8');
  await bench.settled();
  await expect(page.locator('kp-answer')).toContainText('Correction not used');
});
