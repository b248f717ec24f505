// What the tests of the page share: a page that must stay silent on its console, and the words for driving it.
import { writeSync } from 'node:fs';
import { test as base, expect, type Locator, type Page } from '@playwright/test';

export { expect } from '@playwright/test';

/** Full records of the published amplifier take seconds on a busy machine. */
export const FULL_RUN_MS = 90_000;

/** A measured figure, for whoever reads the log. */
export function note(text: string): void {
  writeSync(1, `  ${text}\n`);
}

export class Bench {
  readonly page: Page;

  constructor(page: Page) {
    this.page = page;
  }

  async open(fragment = ''): Promise<void> {
    await this.page.goto(`./${fragment}`);
    await this.settled();
  }

  /** Waits until what is shown answers what is set, from the full record. */
  async settled(): Promise<void> {
    await expect(this.page.locator('main')).toHaveAttribute('aria-busy', 'false', { timeout: FULL_RUN_MS });
  }

  /** Waits until a run has begun and ended. */
  async settledAfter(action: () => Promise<unknown>): Promise<void> {
    await action();
    await this.settled();
  }

  get answer(): Locator {
    return this.page.locator('kp-answer .answer');
  }

  get plot(): Locator {
    return this.page.getByRole('slider', { name: /Cursor on the emission plot/ });
  }

  block(name: string): Locator {
    return this.page.locator('kp-chain').getByRole('button', { name: new RegExp(`^${name}`) });
  }

  field(label: string): Locator {
    return this.page.locator('kp-settings').getByLabel(label, { exact: true });
  }

  async fill(label: string, value: string): Promise<void> {
    await this.field(label).fill(value);
    await this.field(label).press('Enter');
  }

  async choosePreset(title: string): Promise<void> {
    await this.settledAfter(() => this.page.getByLabel('Scenario', { exact: true }).selectOption({ label: title }));
  }

  /** The file that one entry of the export menu gives. */
  async exported(entry: string): Promise<{ name: string; text: string }> {
    const download = this.page.waitForEvent('download');
    await this.page.locator('kp-header summary').click();
    await this.page
      .locator('kp-header')
      .getByRole('button', { name: new RegExp(`^${entry}`) })
      .click();
    const file = await download;
    const chunks: Buffer[] = [];
    for await (const chunk of await file.createReadStream()) chunks.push(chunk as Buffer);
    return { name: file.suggestedFilename(), text: Buffer.concat(chunks).toString('utf8') };
  }
}

/** Every test fails on any message of the page's console. */
export const test = base.extend<{ bench: Bench }>({
  bench: async ({ page }, use) => {
    const messages: string[] = [];
    page.on('console', (message) => messages.push(`${message.type()}: ${message.text()}`));
    page.on('pageerror', (error) => messages.push(`error: ${error.message}`));
    await use(new Bench(page));
    expect(messages).toEqual([]);
  },
});
