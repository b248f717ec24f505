// The amplifier over its band on the page: switched on, hopped, its points edited, its rows shown.
import AxeBuilder from '@axe-core/playwright';
import type { Page } from '@playwright/test';
import { quarryLink } from '../../shared/presets/quarryLink.ts';
import { encodeFragment } from '../../src/app/state/addressBar.ts';
import { expect, test } from './bench.ts';

async function faults(page: Page, part: string): Promise<string[]> {
  const axe = new AxeBuilder({ page }).include({ fromShadowDom: ['kneepoint-app', part] });
  const { violations } = await axe.analyze();
  return violations.flatMap(({ id, nodes }) => nodes.map(({ failureSummary }) => `${id} ${failureSummary}`));
}

test('a band is switched on, hopped through and edited; rows, powers and faults follow', async ({ bench, page }) => {
  const { sampleRateHz, carriers } = quarryLink.waveform;
  const waveform = { sampleRateHz, carriers, symbolCount: 4 };
  await bench.open(await encodeFragment({ ...quarryLink, waveform, predistorter: null, limits: [] }));
  const settings = page.locator('kp-over-band-settings');
  const view = page.locator('kp-over-band-view');
  await bench.settledAfter(() => settings.getByLabel('Gain and power change with frequency').check());
  await expect(view.getByRole('row', { name: /^3\.46\sGHz, channel 36\.00/ })).toBeVisible();
  await expect(view.getByRole('slider', { name: /gain over its band/ })).toBeVisible();
  expect(await faults(page, 'kp-amplifier-curve')).toEqual([]);
  expect(await faults(page, 'kp-settings')).toEqual([]);
  // Hop to the last point: 1 dB less gain and 0.5 dB less power, so less output back-off at the same dBm. The largest CW
  // output is 0.18 dB over saturated power, |1.02 − 0.05j| of the output taps.
  await bench.settledAfter(() => settings.getByRole('radio', { name: 'Point 3: take it as the channel' }).check());
  await expect(view.getByRole('row', { name: /^3\.633\sGHz, channel 35\.00 0\.0 45\.18/ })).toBeVisible();
  await expect(bench.answer).toContainText(/8\.5\sdB output back-off/);
  // The printed carrier frequency follows when asked to.
  await bench.settledAfter(() => settings.getByRole('button', { name: 'Print the channel' }).click());
  await expect(settings.getByRole('button', { name: 'Print the channel' })).toHaveCount(0);
  // A new point, edited: its row and the channel between two points.
  await bench.settledAfter(() => settings.getByRole('button', { name: 'Add a point' }).click());
  const gain = settings.getByLabel('Point 2, gain against the amplifier’s, dB');
  await expect(gain).toHaveValue('-0.5');
  await gain.fill('-3');
  await bench.settledAfter(() => gain.press('Enter'));
  await expect(view.getByRole('row', { name: /^3\.3735\sGHz 33\.00/ })).toBeVisible();
  await bench.settledAfter(() => bench.fill('Channel', '3400'));
  await expect(view.getByRole('row', { name: /^3\.4\sGHz, channel/ })).toBeVisible();
  // Outside the points there is no amplifier.
  await bench.fill('Channel', '4000');
  await expect(settings.locator('kp-field')).toContainText('must lie within the points');
});
