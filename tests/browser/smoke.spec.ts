import { expect, test } from '@playwright/test';

test('the built page defines its element and says nothing on the console', async ({ page }) => {
  const messages: string[] = [];
  page.on('console', (message) => messages.push(`${message.type()}: ${message.text()}`));
  page.on('pageerror', (error) => messages.push(`error: ${error.message}`));

  await page.goto('./');
  await page.waitForFunction(() => customElements.get('kneepoint-app') !== undefined);
  await expect(page.locator('kneepoint-app')).toHaveCount(1);
  const text = await page.evaluate(() => document.querySelector('kneepoint-app')?.shadowRoot?.textContent?.trim());

  expect(text).toBeTruthy();
  expect(messages).toEqual([]);
});
