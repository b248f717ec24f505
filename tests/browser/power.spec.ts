// DC power and heat on the page: what the model brings along, what is stated over it, and what follows in the table.
import AxeBuilder from '@axe-core/playwright';
import { quarryLink } from '../../shared/presets/quarryLink.ts';
import { encodeFragment } from '../../src/app/state/addressBar.ts';
import { expect, test } from './bench.ts';

test('class and factor of the model stand beside the settings; heat, junction and reflected power follow', async ({
  bench,
}) => {
  const { page } = bench;
  const { sampleRateHz, carriers } = quarryLink.waveform;
  const waveform = { sampleRateHz, carriers, symbolCount: 4 };
  const amplifier = { ...quarryLink.amplifier, model: { kind: 'published', id: 'Saleh_1981_TWT' } as const };
  await bench.open(await encodeFragment({ ...quarryLink, waveform, amplifier, predistorter: null, limits: [] }));
  await bench.block('Amplifier').click();

  const figure = (label: RegExp) =>
    page.locator('kp-powers').getByRole('row', { name: label }).getByRole('cell').first();
  const read = async (label: RegExp) => Number(await figure(label).textContent());
  const classes = bench.field('Class');
  await expect(classes.locator('option').first()).toHaveText('class A (model)');
  await expect(page.locator('kp-settings')).toContainText('travelling-wave tube');
  // A tube draws twice its saturated 35.5 W, whatever it sends.
  await expect(figure(/^DC power, ideal/)).toHaveText('71');
  await expect(figure(/^Junction/)).toHaveCount(0);
  await expect(figure(/^Reflected, mean, dBm/)).toHaveCount(0);

  await bench.settledAfter(() => classes.selectOption('AB'));
  await expect(page.locator('kp-powers')).toContainText('ideal class AB');
  await bench.settledAfter(() => bench.fill('VSWR of the load', '2'));
  for (const [label, value] of [
    ['Case temperature', '60'],
    ['Thermal resistance', '2'],
  ] as const) {
    await bench.settledAfter(() => bench.field(`${label}: not stated`).uncheck());
    await bench.settledAfter(() => bench.fill(label, value));
  }
  await expect(figure(/^Junction/)).toBeVisible();
  // 2 K for every watt; a ninth of the mean output of 36.5 dBm comes back: 9.54 dB less.
  expect(Math.abs((await read(/^Junction/)) - 60 - 2 * (await read(/^Heat, ideal/)))).toBeLessThan(0.2);
  await expect(figure(/^Reflected, mean, dBm/)).toHaveText('26.96');
  await expect(page.locator('kp-powers')).toContainText('return loss 9.54\u2009dB');

  const axe = new AxeBuilder({ page }).include({ fromShadowDom: ['kneepoint-app', 'kp-detail', 'kp-powers'] });
  expect((await axe.analyze()).violations.map(({ id }) => id)).toEqual([]);
});
