// The amplifier's settings: from a data sheet, the literature, points, a pair of records; slow states; the model as a file.
import AxeBuilder from '@axe-core/playwright';
import type { Locator, Page } from '@playwright/test';
import { quarryLink } from '../../shared/presets/quarryLink.ts';
import { encodeFragment } from '../../src/app/state/addressBar.ts';
import { type Bench, expect, test } from './bench.ts';

const settings = (page: Page): Locator => page.locator('kp-amplifier-settings');
const row = (page: Page, text: string): Locator => settings(page).locator('.figure-row').filter({ hasText: text });

/** Quarry Link with a short record and without correction: what is tested here is the amplifier by itself. */
async function openShort(bench: Bench): Promise<void> {
  const { sampleRateHz, carriers } = quarryLink.waveform;
  const waveform = { sampleRateHz, carriers, symbolCount: 4 };
  await bench.open(await encodeFragment({ ...quarryLink, waveform, predistorter: null, limits: [] }));
}

async function comeFrom(bench: Bench, origin: string): Promise<void> {
  await bench.settledAfter(() => bench.page.getByRole('radio', { name: origin, exact: true }).check());
}

async function state(bench: Bench, figure: string, value: string): Promise<void> {
  const { page } = bench;
  const notStated = settings(page).getByLabel(`${figure}: not stated`, { exact: true });
  if (await notStated.isChecked()) await notStated.uncheck();
  await bench.settledAfter(() => bench.fill(figure, value));
}

/** A soft curve of 30 dB of gain as a CSV file, dropped as a file manager would. */
async function dropPoints(page: Page, count: number): Promise<void> {
  const rows = Array.from({ length: count }, (_, i) => {
    const input = i - 20;
    return `${input},${(30 - 5 * Math.log10(1 + 10 ** ((input - 14) / 5))).toFixed(3)}`;
  });
  await settings(page)
    .locator('.drop')
    .evaluate(
      (box, text) => {
        const transfer = new DataTransfer();
        transfer.items.add(new File([text], 'points.csv'));
        box.dispatchEvent(
          new DragEvent('drop', { dataTransfer: transfer, bubbles: true, composed: true, cancelable: true }),
        );
      },
      ['input dBm,gain dB', ...rows].join('\n'),
    );
}

async function faults(page: Page, part: string): Promise<string[]> {
  const axe = new AxeBuilder({ page }).include({ fromShadowDom: ['kneepoint-app', part] });
  const { violations } = await axe.analyze();
  return violations.flatMap(({ id, nodes }) => nodes.map(({ failureSummary }) => `${id} ${failureSummary}`));
}

test('a data sheet is typed in and met; figures that contradict each other are both named', async ({ bench, page }) => {
  await openShort(bench);
  await comeFrom(bench, 'a data sheet');
  // Stated from now on, a figure begins with what the model reads.
  await bench.settledAfter(() => settings(page).getByLabel('P1dB: not stated', { exact: true }).uncheck());
  await expect(row(page, 'P1dB')).toContainText('✓ met');
  await state(bench, 'P1dB', '44');
  await state(bench, 'OIP3', '54');
  await expect(row(page, 'P1dB')).toContainText(/reads 4[34]\.\d\d\sdBm\s+✓ met/);
  await expect(row(page, 'OIP3')).toContainText('✓ met');
  const curve = page.locator('kp-amplifier-curve');
  await expect(curve.getByRole('row', { name: /^output at 1 dB compression 44\.00/ })).toContainText('✓ met');
  await expect(curve.getByRole('slider', { name: /amplifier’s gain/ })).toBeVisible();
  expect(await faults(page, 'kp-amplifier-curve')).toEqual([]);
  expect(await faults(page, 'kp-settings')).toEqual([]);
  // A little too much: nearest curve, and the pair by name.
  await state(bench, 'OIP3', '44.3');
  await expect(row(page, 'P1dB')).toContainText(/✕ 0\.\d\d\sdB low/);
  const note = settings(page).locator('.note');
  await expect(note).toContainText(/outputAtOneDbCompressionDbm .*stand against each other/);
  await expect(note).toContainText(/outputInterceptDbm .*stand against each other/);
  // Impossible: the last result stays, both rows are marked.
  await state(bench, 'P1dB', '46');
  await expect(row(page, 'P1dB').locator('kp-field')).toContainText('must lie below the saturated power');
  await expect(row(page, 'Saturated power').first()).toContainText('does not go with another figure');
});

test('points are pasted with their power scale, faults come with their lines, a point is removed', async ({
  bench,
  page,
}) => {
  await openShort(bench);
  await comeFrom(bench, 'points');
  const box = settings(page).getByLabel(/^Paste points/);
  const points = [
    'Pin;Pout;phase',
    '-10;20;0',
    '0;30,1;1',
    '5;35;3',
    '10;39,5;7',
    '13;42;11',
    '16;43,5;14',
    '18;44;16',
  ];
  await bench.settledAfter(async () => {
    await box.fill(points.join('\n'));
    await box.blur();
  });
  await expect(settings(page).getByRole('status')).toContainText('7 points taken');
  await expect(bench.field('Saturated power')).toHaveValue('44');
  await expect(bench.field('Gain')).toHaveValue('30');
  const readings = page.locator('kp-amplifier-curve');
  await expect(readings.getByRole('row', { name: /^1 dB compression/ })).toContainText('42.00');
  await box.fill('0 10\n2 x\n1 11\n');
  await box.blur();
  const list = settings(page).getByRole('alert');
  await expect(list).toContainText('line 2 must hold a number in column 2');
  await expect(settings(page).getByLabel('Point 7, input, dBm')).toHaveValue('18');
  await bench.settledAfter(() => settings(page).getByRole('button', { name: 'Remove point 7' }).click());
  await expect(readings.getByRole('row', { name: /^largest output/ })).toContainText('44.00');
  await expect(settings(page).locator('.note')).toContainText('43.50');
  await bench.settledAfter(() => settings(page).getByRole('button', { name: 'Take the points’ own' }).click());
  await expect(bench.field('Saturated power')).toHaveValue('43.5');
  // Dropped on their box, a file's points are taken, and the page does not take it for a record.
  await bench.settledAfter(() => dropPoints(page, 40));
  await expect(settings(page)).toContainText(/40 points, input −20\.0\sdBm to\s+19\.0\sdBm/);
  await expect(page.locator('kp-record-faults')).toHaveCount(0);
});

test('the literature tells source and mark; slow states change the answer; the model leaves and comes back as a file', async ({
  bench,
  page,
}) => {
  await openShort(bench);
  await comeFrom(bench, 'the literature');
  await expect(settings(page)).toContainText('Saleh 1981');
  await expect(settings(page)).toContainText('from memory');
  await expect(settings(page).locator('.facts')).toContainText(/held at \+6\.0\sdB re the knee/);
  const slider = page.locator('kp-amplifier-curve').getByRole('slider', { name: /amplifier’s gain/ });
  await slider.press('End');
  await expect(slider).toHaveAttribute('aria-valuetext', /^output 45\.5\sdBm, .*gain −6\.02\sdB, phase 22\.4°$/);
  const before = await bench.answer.textContent();
  await bench.settledAfter(() => settings(page).getByLabel('Gain follows heat and traps').check());
  expect(await bench.answer.textContent()).not.toBe(before);
  const download = page.waitForEvent('download');
  await settings(page).getByRole('button', { name: 'Save the model' }).click();
  const file = await (await download).createReadStream();
  const chunks: Buffer[] = [];
  for await (const chunk of file) chunks.push(chunk as Buffer);
  const buffer = Buffer.concat(chunks);
  expect(JSON.parse(buffer.toString('utf8'))).toMatchObject({ kind: 'saleh', betaPhase: 9.104 });
  await bench.settledAfter(() =>
    settings(page).getByLabel('Model', { exact: true }).selectOption('published:GaN_2GHz'),
  );
  await expect(settings(page)).toContainText('3GPP R4-165901');
  await bench.settledAfter(() =>
    settings(page).getByLabel('Model file…').setInputFiles({ name: 'tube.json', mimeType: 'application/json', buffer }),
  );
  await expect(settings(page).getByLabel('Model', { exact: true })).toHaveValue('saleh');
  await page.getByRole('button', { name: 'a pair of records' }).click();
  await expect(page.locator('kp-doors [aria-current]')).toHaveText('Which model fits a capture?');
});
