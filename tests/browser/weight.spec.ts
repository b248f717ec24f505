// What a first visit loads. The aims are those of the project's design: 70 kB of script before the first screen.
import { gzipSync } from 'node:zlib';
import { expect, note, test } from './bench.ts';

const SCRIPT_LIMIT_KB = 70;

test('the script that the first screen waits for weighs less than 70 kB packed', async ({ bench, page }) => {
  const scripts = new Map<string, Promise<Buffer>>();
  page.on('response', (response) => {
    if (response.url().endsWith('.js')) scripts.set(response.url(), response.body());
  });
  await bench.open();
  const weights = new Map<string, number>();
  for (const [url, body] of scripts)
    weights.set(url.replace(/.*\//, ''), gzipSync(await body, { level: 9 }).length / 1000);
  const list = [...weights].map(([name, kilobytes]) => `${name} ${kilobytes.toFixed(1)} kB`);
  note(list.join(', '));
  // The entry and the chunks it cannot start without; what is loaded later is named by the running page, not by its file.
  const file = await (await page.request.get('./')).text();
  const urls = [...file.matchAll(/<(?:script|link rel="modulepreload")[^>]* (?:src|href)="([^"]+\.js)"/g)];
  expect(urls.length).toBeGreaterThan(0);
  const names = urls.map(([, url]) => url!.replace(/.*\//, ''));
  const total = names.reduce((sum, name) => sum + weights.get(name)!, 0);
  note(`${names.join(' + ')}: ${total.toFixed(1)} kB`);
  expect(total).toBeLessThan(SCRIPT_LIMIT_KB);
});
