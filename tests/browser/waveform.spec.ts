// The waveform's editor: carriers as rows and as handles, the exceedance curve beside them, records from files.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import AxeBuilder from '@axe-core/playwright';
import type { Locator, Page } from '@playwright/test';
import { type Bench, expect, test } from './bench.ts';

const handle = (page: Page, number: number): Locator =>
  page.getByRole('slider', { name: new RegExp(`^Carrier ${number}, offset`) });
const row = (page: Page, number: number): Locator =>
  page.getByRole('group', { name: `Carrier ${number}`, exact: true });

async function openData(bench: Bench): Promise<void> {
  await bench.open();
  await bench.block('Data').click();
}

async function addCarrier(bench: Bench): Promise<void> {
  await bench.settledAfter(() => bench.page.getByRole('button', { name: 'Add a carrier' }).click());
}

/** Drops files on the page as a file manager would. */
async function drop(page: Page, files: readonly { name: string; bytes: Buffer }[]): Promise<void> {
  const packed = files.map(({ name, bytes }) => ({ name, base64: bytes.toString('base64') }));
  await page.evaluate((given) => {
    const transfer = new DataTransfer();
    for (const { name, base64 } of given) {
      const bytes = Uint8Array.from(atob(base64), (character) => character.charCodeAt(0));
      transfer.items.add(new File([bytes], name));
    }
    const target = document.querySelector('kneepoint-app')!.shadowRoot!.querySelector('.page')!;
    target.dispatchEvent(new DragEvent('drop', { dataTransfer: transfer, bubbles: true, cancelable: true }));
  }, packed);
}

const CAPTURE = 'harbour-link-10mhz.drive';
const capture = ['sigmf-meta', 'sigmf-data'].map((ending) => {
  const name = `${CAPTURE}.${ending}`;
  return { name, bytes: readFileSync(join(import.meta.dirname, '..', 'captures', name)) };
});

test('carriers are added, changed in kind, duplicated and removed as rows', async ({ bench, page }) => {
  await openData(bench);
  await addCarrier(bench);
  await expect(row(page, 2).getByLabel('Offset')).toHaveValue('10');
  await bench.settledAfter(() => row(page, 2).getByLabel('Kind').selectOption({ label: 'single carrier' }));
  await expect(row(page, 2).getByLabel('Symbol rate', { exact: true })).toHaveValue('7.6');
  await expect(row(page, 2).getByLabel('Offset')).toHaveValue('10');
  await expect(bench.block('Data')).toContainText('2 carriers');
  await row(page, 2).getByLabel('Modulation', { exact: true }).selectOption('16APSK');
  await row(page, 2).getByText('Further').click();
  await expect(row(page, 2).getByLabel('Ring ratio', { exact: true })).toBeVisible();
  await bench.settledAfter(() => page.getByRole('button', { name: 'Duplicate carrier 2' }).click());
  await expect(row(page, 3).getByRole('button', { expanded: true })).toContainText('16APSK');
  await expect(handle(page, 3)).toBeVisible();
  await bench.settledAfter(() => page.getByRole('button', { name: 'Remove carrier 3' }).click());
  await expect(row(page, 3)).toHaveCount(0);
});

test('a carrier is dragged along the plot: figures follow, the axis stands still, one step to undo', async ({
  bench,
  page,
}) => {
  await openData(bench);
  await addCarrier(bench);
  const before = await bench.answer.textContent();
  const range = async () => [
    await bench.plot.getAttribute('aria-valuemin'),
    await bench.plot.getAttribute('aria-valuemax'),
  ];
  const axis = await range();
  await handle(page, 2).scrollIntoViewIfNeeded();
  const box = (await handle(page, 2).boundingBox())!;
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  await page.mouse.move(x, y);
  await page.mouse.down();
  for (let i = 1; i <= 20; i++) {
    await page.mouse.move(x + 3 * i, y);
    await page.waitForTimeout(16);
  }
  await expect(page.locator('kp-spectrum-panel')).toContainText('short record');
  expect(await range()).toEqual(axis);
  const moved = Number(await row(page, 2).getByLabel('Offset').inputValue());
  expect(moved).toBeGreaterThan(12);
  // On the channel raster of 100 kHz.
  expect(Math.abs(10 * moved - Math.round(10 * moved))).toBeLessThan(1e-9);
  await page.mouse.up();
  await bench.settled();
  expect(await bench.answer.textContent()).not.toBe(before);
  await bench.settledAfter(() => page.getByRole('button', { name: 'Undo' }).click());
  await expect(row(page, 2).getByLabel('Offset')).toHaveValue('10');
});

test('arrow keys move a carrier by its raster, and Escape gives up a drag', async ({ bench, page }) => {
  await openData(bench);
  await addCarrier(bench);
  await handle(page, 2).focus();
  await bench.settledAfter(() => page.keyboard.press('ArrowRight'));
  await expect(handle(page, 2)).toHaveAttribute('aria-label', /^Carrier 2, offset \+10\.10\sMHz$/);
  await bench.settledAfter(() => page.keyboard.press('PageUp'));
  await expect(row(page, 2).getByLabel('Offset')).toHaveValue('11.1');
  await handle(page, 2).scrollIntoViewIfNeeded();
  const box = (await handle(page, 2).boundingBox())!;
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  await page.mouse.down();
  await page.mouse.move(box.x + box.width / 2 + 60, box.y + box.height / 2);
  await page.keyboard.press('Escape');
  await page.mouse.up();
  await bench.settled();
  await expect(row(page, 2).getByLabel('Offset')).toHaveValue('11.1');
});

test('a place that the engine refuses is marked on the handle, told in the row, and the last result stays', async ({
  bench,
  page,
}) => {
  await openData(bench);
  await addCarrier(bench);
  const before = await bench.answer.textContent();
  await row(page, 2).getByLabel('Offset').fill('3');
  await expect(handle(page, 2)).toHaveAttribute('aria-valuetext', /^\+3\.00\sMHz, refused$/);
  await expect(row(page, 2).locator('.issue').first()).toContainText('clear of carrier');
  await expect(bench.answer).toHaveText(before!);
});

test('the exceedance curve beside the settings tells each stage’s level and follows the target', async ({
  bench,
  page,
}) => {
  await openData(bench);
  const shaped = page.locator('kp-crest-curve').getByRole('row', { name: /Shaped/ });
  const level = async () => Number.parseFloat((await shaped.getByRole('cell').textContent())!);
  // Quarry Link is shaped to 8.0 dB at 1e-4.
  expect(Math.abs((await level()) - 8)).toBeLessThan(0.2);
  await bench.block('Crest factor').click();
  await bench.settledAfter(() => bench.fill('Target', '7'));
  await expect.poll(level).toBeLessThan(7.4);
});

test('a SigMF pair dropped on the page becomes the waveform; after a reload it is asked for again', async ({
  bench,
  page,
}) => {
  await bench.open();
  await drop(page, capture);
  await expect(page.locator('kp-header')).toContainText('is the waveform now');
  await bench.settled();
  await expect(bench.block('Data')).toContainText(`record ${CAPTURE}`);
  await expect(row(page, 1)).toContainText('122.88');
  await expect(bench.answer).toContainText('ACLR');
  const answer = await bench.answer.textContent();
  await page.reload();
  await expect(bench.answer).toContainText('There is no result yet');
  await bench.block('Data').click();
  await expect(row(page, 1).locator('.issue')).toContainText('must name a record that is at hand');
  const chooser = row(page, 1).getByLabel(`Bring ${CAPTURE} in again`);
  await chooser.setInputFiles(
    capture.map(({ name, bytes }) => ({ name, mimeType: 'application/octet-stream', buffer: bytes })),
  );
  await expect(bench.answer).toHaveText(answer!);
  // Another record of that name is refused until it is said to be meant.
  const [meta, data] = capture;
  const changed = Buffer.from(data!.bytes);
  changed[0] = changed[0]! ^ 1;
  const free = JSON.parse(meta!.bytes.toString());
  delete free.global['core:sha512'];
  await drop(page, [
    { name: meta!.name, bytes: Buffer.from(JSON.stringify(free)) },
    { name: data!.name, bytes: changed },
  ]);
  await expect(row(page, 1).locator('.issue')).toContainText('must be the digest of record');
  await row(page, 1).getByRole('button', { name: 'Take this one' }).click();
  await expect(row(page, 1).locator('.issue')).toHaveCount(0);
  await bench.settled();
  await expect(bench.block('Data')).not.toContainText('refused');
});

test('a file without its other half, and CSV without a rate, say what they lack', async ({ bench, page }) => {
  await bench.open();
  const before = await bench.answer.textContent();
  await drop(page, capture.slice(0, 1));
  const faults = page.locator('kp-record-faults');
  await expect(faults).toContainText('lacks its .sigmf-data file');
  await faults.getByRole('button', { name: 'Close' }).click();
  await expect(faults).toHaveCount(0);
  const tones = Array.from({ length: 8192 }, (_, n) => {
    const [a, b] = [(2 * Math.PI * 133 * n) / 8192, (2 * Math.PI * 211 * n) / 8192];
    return `${Math.cos(a) + Math.cos(b)},${Math.sin(a) - Math.sin(b)}`;
  });
  await drop(page, [{ name: 'tones.csv', bytes: Buffer.from(tones.join('\n')) }]);
  await expect(faults).toContainText('sample rate is required');
  await expect(bench.answer).toHaveText(before!);
  await faults.getByLabel('Sample rate').fill('30.72');
  await faults.getByRole('button', { name: 'Read again' }).click();
  await expect(faults).toHaveCount(0);
  await expect(bench.block('Data')).toContainText('record tones');
});

for (const theme of ['light', 'dark'] as const) {
  test(`axe finds nothing in the editor in ${theme}: open rows, handles, curve, faults of records`, async ({
    bench,
    page,
  }) => {
    await page.emulateMedia({ colorScheme: theme });
    await openData(bench);
    await addCarrier(bench);
    await bench.settledAfter(() => row(page, 2).getByLabel('Kind').selectOption({ label: 'record' }));
    for (const further of await page.getByText(/^Further:/).all()) await further.click();
    await handle(page, 1).focus();
    await drop(page, [{ name: 'tones.csv', bytes: Buffer.from('1,0\n0,1\n') }]);
    await expect(page.locator('kp-record-faults')).toBeVisible();
    await expect(page.locator('main.stale')).toHaveCount(0);
    const { violations } = await new AxeBuilder({ page }).analyze();
    expect(violations.flatMap(({ id, nodes }) => nodes.map(({ target }) => `${id} ${target}`))).toEqual([]);
  });
}
