// The questions on the page: a ladder with progress, cancel and resume, limits moved by hand, every other question, what
// is given away and brought back, claim cards. Small records and structures, so that each question takes seconds.
import { mkdirSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import AxeBuilder from '@axe-core/playwright';
import type { Page } from '@playwright/test';
import { quarryLink } from '../../shared/presets/quarryLink.ts';
import type { TaskOutcome } from '../../shared/schema/studyReport.ts';
import { encodeFragment } from '../../src/app/state/addressBar.ts';
import { createRunMemory, evaluateStudy, runTask } from '../../src/engine/index.ts';
import { type Bench, expect, note, test } from './bench.ts';

const PICTURES = join(tmpdir(), 'kneepoint-pictures');
mkdirSync(PICTURES, { recursive: true });

/** A question of a dozen small runs on a busy machine. */
const STUDY_MS = 120_000;

const scenario = {
  ...quarryLink,
  waveform: { ...quarryLink.waveform, symbolCount: 3 },
  predistorter: { kind: 'memoryPolynomial', nonlinearOrders: [1, 3, 5], memoryDepth: 2 },
};

class Questions {
  readonly bench: Bench;
  readonly page: Page;

  constructor(bench: Bench, page: Page) {
    this.bench = bench;
    this.page = page;
  }

  async open(): Promise<void> {
    await this.bench.open(await encodeFragment(scenario));
  }

  async ask(question: string): Promise<void> {
    await this.page.locator('kp-doors').getByRole('button', { name: question }).click();
    await expect(this.page.locator('kp-studies section')).toHaveAttribute('aria-label', question);
  }

  get answer() {
    return this.page.locator('kp-studies .answer');
  }

  get bar() {
    return this.page.locator('kp-run-bar');
  }

  async progressText(): Promise<string> {
    return (await this.bar.getByRole('status').textContent()) ?? '';
  }

  /** Waits until what is asked now has been evaluated and nothing is left to run. */
  async complete(): Promise<void> {
    await expect(this.page.locator('kp-studies section')).toHaveAttribute('aria-busy', 'false', { timeout: STUDY_MS });
    await expect(this.bar).toContainText('all done', { timeout: STUDY_MS });
  }

  async set(label: string, value: string): Promise<void> {
    const box = this.page.locator('kp-studies').getByLabel(label, { exact: true });
    await box.fill(value);
    await box.press('Enter');
  }

  async taken(form: string): Promise<{ name: string; text: string }> {
    const download = this.page.waitForEvent('download');
    await this.page.locator('kp-take-away').getByRole('button', { name: form, exact: true }).click();
    const file = await download;
    const chunks: Buffer[] = [];
    for await (const chunk of await file.createReadStream()) chunks.push(chunk as Buffer);
    return { name: file.suggestedFilename(), text: Buffer.concat(chunks).toString('utf8') };
  }
}

function numbers(data: unknown, path = '', found = new Map<string, number>()): Map<string, number> {
  if (typeof data === 'number') found.set(path, data);
  if (typeof data !== 'object' || data === null) return found;
  for (const [key, value] of Object.entries(data)) numbers(value, path === '' ? key : `${path}.${key}`, found);
  return found;
}

/** The same study in Node, to its end. */
function reportInNode(study: unknown) {
  const known = new Map<string, TaskOutcome>();
  const memory = createRunMemory();
  for (;;) {
    const evaluation = evaluateStudy(study, known);
    if (evaluation.kind === 'invalid') throw new Error(JSON.stringify(evaluation.issues));
    if (evaluation.pending.length === 0) return evaluation.report;
    for (const task of evaluation.pending) known.set(task.key, runTask(task, memory));
  }
}

/** From now on every message to a worker takes longer on its way; their order stays. */
async function slowWorkers(page: Page, delayMs: number): Promise<void> {
  await page.evaluate((wait) => {
    const { prototype } = Worker;
    const { postMessage } = prototype;
    prototype.postMessage = function (this: Worker, ...given: unknown[]) {
      setTimeout(() => Reflect.apply(postMessage, this, given), wait);
    };
  }, delayMs);
}

async function faultsOf(page: Page): Promise<string[]> {
  const { violations } = await new AxeBuilder({ page }).analyze();
  return violations.flatMap(({ id, nodes }) =>
    nodes.map(({ target, failureSummary }) => `${id} ${target} ${failureSummary}`),
  );
}

test('a ladder is drawn as it comes, is cancelled, resumed, and agrees with the library to 1e-9', async ({
  bench,
  page,
}) => {
  test.setTimeout(300_000);
  const questions = new Questions(bench, page);
  await questions.open();
  await questions.ask('How much back-off?');
  await expect(questions.bar.getByRole('progressbar')).toBeVisible();
  await expect(questions.bar).toContainText(/\d+ of at least \d+ runs on \d+ workers?, (about|a moment)/, {
    timeout: STUDY_MS,
  });
  // Partial: a sentence and a picture before the end.
  await expect(questions.answer).toContainText(/^\s*So far: /, { timeout: STUDY_MS });
  await expect(page.locator('kp-ladder-view kp-line-plot.upper canvas')).toBeVisible();
  await questions.bar.getByRole('button', { name: 'Cancel' }).click();
  await expect(questions.bar).toContainText('what is done is kept');
  const stopped = await questions.progressText();
  const doneCount = Number(/after (\d+) of/.exec(stopped)?.[1]);
  expect(doneCount).toBeGreaterThan(0);
  await page.waitForTimeout(1500);
  expect(await questions.progressText()).toBe(stopped);
  await questions.bar.getByRole('button', { name: /^Resume/ }).click();
  await questions.complete();
  await expect(questions.answer).toContainText(/^\s*You need \d+\.\d dB of output back-off: /);

  const { name, text } = await questions.taken('Figures');
  expect(name).toBe('quarry-link-ladder.json');
  const onPage = JSON.parse(text);
  const inNode = reportInNode(onPage.study);
  expect(onPage.answer).toBe(inNode.answer);
  const [shown, expected] = [numbers(onPage.result), numbers(JSON.parse(JSON.stringify(inNode.result)))];
  expect([...shown.keys()].sort()).toEqual([...expected.keys()].sort());
  let worst = { path: '', difference: 0 };
  for (const [path, value] of expected) {
    const difference = Math.abs((shown.get(path) ?? Number.NaN) - value) / Math.max(1, Math.abs(value));
    if (!(difference <= worst.difference)) worst = { path, difference };
  }
  note(`${expected.size} figures, worst difference ${worst.difference.toExponential(1)} (${worst.path})`);
  expect(worst.difference, worst.path).toBeLessThan(1e-9);
});

test('a moved limit rewrites the sentence at once and runs only the ends of the searches', async ({ bench, page }) => {
  test.setTimeout(300_000);
  const questions = new Questions(bench, page);
  await questions.open();
  await questions.ask('How much back-off?');
  await questions.complete();
  const runsOf = async () => Number(/(\d+) runs/.exec(await questions.progressText())?.[1]);
  const before = { answer: await questions.answer.textContent(), runs: await runsOf() };
  const handle = page.locator('kp-ladder-view kp-line-plot.upper').getByRole('slider', { name: /^Limit: at least/ });
  await expect(handle).toHaveAttribute('aria-valuetext', '45\u2009dB');

  await handle.scrollIntoViewIfNeeded();
  const box = (await handle.boundingBox())!;
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  await page.mouse.down();
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2 + 25, { steps: 5 });
  // The hand is still on the line: the sentence follows with an estimate or with what is known.
  await expect(questions.answer).not.toHaveText(before.answer!, { timeout: 3000 });
  await page.mouse.up();
  const moved = Number(await handle.getAttribute('aria-valuenow'));
  expect(moved).toBeLessThan(45);
  await questions.complete();
  expect(await questions.answer.textContent()).toMatch(/^\s*You need /);

  await handle.focus();
  await page.keyboard.press('ArrowUp');
  await expect(handle).toHaveAttribute('aria-valuenow', String(moved + 0.5));
  await questions.set('ACLR adjacent at least', '45');
  await expect(questions.answer).toHaveText(before.answer!, { timeout: STUDY_MS });
  await questions.complete();
  expect(await runsOf()).toBe(before.runs);
});

test('another scenario leaves the old answer dimmed until it is asked again', async ({ bench, page }) => {
  test.setTimeout(300_000);
  const questions = new Questions(bench, page);
  await questions.open();
  await questions.ask('How firm is it?');
  await questions.complete();
  await bench.fill('Knee sharpness', '1.4');
  await expect(page.locator('kp-studies .banner')).toContainText('The scenario has changed');
  await expect(questions.bar.getByRole('button', { name: 'Run 8 scenarios' })).toBeVisible();
  await page.getByRole('button', { name: 'Undo' }).click();
  await expect(page.locator('kp-studies .banner')).toHaveCount(0);
  await questions.complete();
});

test('every question answers, and axe finds nothing in light and dark', async ({ bench, page }) => {
  test.setTimeout(600_000);
  const questions = new Questions(bench, page);
  await questions.open();
  const settings: readonly (readonly [string, readonly (readonly [string, string])[], RegExp])[] = [
    ['How much back-off?', [['in steps of', '4']], /You need|Even/],
    ['Is correction worth it?', [], /Correction buys|Yes|No/],
    ['Which crest factor?', [['Targets', '7.5']], /Aim at|Leave/],
    [
      'Which order?',
      [
        ['Orders', '1, 3, 5'],
        ['Taps', '1, 2'],
      ],
      /The cheapest structure|No structure/,
    ],
    ['Which amplifier?', [['Crest factors', '8']], /you need a saturated power/],
    ['How firm is it?', [['Seeds', '3']], /Over 3 seeds/],
  ];
  for (const [question, fields, answer] of settings) {
    await questions.ask(question);
    for (const [label, value] of fields) await questions.set(label, value);
    await questions.complete();
    await expect(questions.answer).toContainText(answer);
    const summary = page.locator('kp-studies details summary').first();
    if ((await summary.count()) > 0) await summary.click();
    for (const colorScheme of ['light', 'dark'] as const) {
      await page.emulateMedia({ colorScheme });
      expect(await faultsOf(page), `${question}, ${colorScheme}`).toEqual([]);
    }
  }
});

test('the order map is read by keyboard, and its wanted margin needs no run', async ({ bench, page }) => {
  test.setTimeout(300_000);
  const questions = new Questions(bench, page);
  await questions.open();
  await questions.ask('Which order?');
  await questions.set('Orders', '1, 3, 5');
  await questions.set('Taps', '1, 2');
  await questions.complete();
  const grid = page.locator('kp-order-grid').first();
  await expect(grid.getByRole('button')).toHaveCount(6);
  await grid.locator('button[tabindex="0"]').focus();
  await page.keyboard.press('Home');
  await page.keyboard.press('ArrowUp');
  await page.keyboard.press('ArrowUp');
  await expect(grid.locator('button[aria-pressed="true"]')).toHaveAttribute(
    'aria-label',
    /^1st order × 1 tap, margin −/,
  );
  await expect(page.locator('kp-order-view .cell')).toContainText('1st order × 1 tap');
  const before = await questions.progressText();
  await questions.set('Margin wanted', '19');
  await expect(questions.answer).toContainText('No structure keeps the wanted margin');
  expect(await questions.progressText()).toBe(before);
});

test('outcomes are taken away and brought back: nothing is run again', async ({ bench, page, context }) => {
  test.setTimeout(300_000);
  const questions = new Questions(bench, page);
  await questions.open();
  await slowWorkers(page, 300);
  await questions.ask('How firm is it?');
  // Typed before the first figures come, and still there when they have.
  const seeds = page.locator('kp-studies').getByLabel('Seeds', { exact: true });
  await seeds.fill('3');
  await expect(page.locator('kp-spread-view')).toContainText('of 8 seeds');
  await expect(seeds).toHaveValue('3');
  await seeds.press('Enter');
  await questions.complete();
  await expect(questions.answer).toContainText('Over 3 seeds');
  const { name, text } = await questions.taken('Outcomes');
  expect(name).toBe('quarry-link-spread-outcomes.jsonl');
  const lines = text.trim().split('\n');
  // Eight are asked for by default before three are.
  expect(lines.length).toBeGreaterThanOrEqual(3);
  for (const line of lines) expect(JSON.parse(line).key).toMatch(/^[0-9a-f]{64}$/);
  const answer = await questions.answer.textContent();

  const other = await context.newPage();
  const again = new Questions(bench, other);
  await other.goto(`./${await encodeFragment(scenario)}`);
  await again.ask('How firm is it?');
  await again.bar.getByRole('button', { name: 'Cancel' }).click();
  await again.set('Seeds', '3');
  await other.locator('kp-take-away input[type=file]').setInputFiles({
    name,
    mimeType: 'application/jsonl',
    buffer: Buffer.from(`${text}{"key":"cut off`),
  });
  await expect(other.locator('kp-take-away')).toContainText('outcomes brought in, 1 lines damaged');
  await again.complete();
  await expect(again.answer).toHaveText(answer!);
  await other.close();
});

test('a claim card is run again: it holds, and a changed figure is found', async ({ bench, page }) => {
  test.setTimeout(300_000);
  await bench.open(await encodeFragment(scenario));
  const { name, text } = await bench.exported('Claim card');
  expect(name).toBe('quarry-link-claim.html');
  const dialog = page.getByRole('dialog', { name: 'Check a claim card' });
  // Dropped on the page.
  await page.evaluate((card) => {
    const data = new DataTransfer();
    data.items.add(new File([card], 'claim.html', { type: 'text/html' }));
    const target = document.querySelector('kneepoint-app')!.shadowRoot!.querySelector('.page')!;
    target.dispatchEvent(new DragEvent('drop', { dataTransfer: data, bubbles: true, cancelable: true }));
  }, text);
  await expect(dialog).toContainText('The claim holds.', { timeout: STUDY_MS });
  expect(await faultsOf(page)).toEqual([]);
  await page.keyboard.press('Escape');

  await page.locator('kp-header summary').click();
  await page.locator('kp-header').getByRole('button', { name: 'Check a claim card' }).click();
  const changed = text.replace(
    /("rmsPercent": )(\d)/,
    (_all, head: string, digit: string) => `${head}${Number(digit) + 1}`,
  );
  expect(changed).not.toBe(text);
  await dialog.locator('input[type=file]').setInputFiles({
    name: 'claim.html',
    mimeType: 'text/html',
    buffer: Buffer.from(changed),
  });
  await expect(dialog).toContainText('The claim does not hold.', { timeout: STUDY_MS });
  await expect(dialog).toContainText('evm.rmsPercent');
  await expect(dialog).toContainText('The digest does not fit');
});

test('reports of a run and of a question, and the lab check list', async ({ bench, page }) => {
  test.setTimeout(300_000);
  const questions = new Questions(bench, page);
  await questions.open();
  for (const entry of ['Report', 'Lab check list']) {
    const { text } = await bench.exported(entry);
    expect(text, entry).toMatch(/^<!doctype html>/);
  }
  await questions.ask('How firm is it?');
  await questions.complete();
  await slowWorkers(page, 1000);
  await questions.set('Seeds', '3');
  // Asked for at once, while the answer for eight still stands there: what is given away waits for the one for three.
  const asked = JSON.parse((await questions.taken('Figures')).text);
  expect(asked.study.question).toMatchObject({ kind: 'spread', seedCount: 3 });
  expect(asked.answer).toMatch(/^Over 3 seeds/);
  await questions.complete();
  await expect(questions.answer).toContainText('Over 3 seeds');
  expect((await questions.taken('Report')).text).toContain('<svg');
  expect((await questions.taken('Table')).text).toMatch(/\r\n/);
  expect(JSON.parse((await questions.taken('Study')).text).question).toMatchObject({ kind: 'spread', seedCount: 3 });
});

test('pictures of the questions at three widths, light and dark: nothing runs out of the page', async ({
  bench,
  page,
}) => {
  test.setTimeout(600_000);
  const questions = new Questions(bench, page);
  await questions.open();
  const asked = [
    ['How much back-off?', 'ladder'],
    ['Is correction worth it?', 'worth'],
    ['Which order?', 'order'],
    ['How firm is it?', 'spread'],
  ] as const;
  for (const [question, stem] of asked) {
    // On a phone the questions are a list to choose from, without buttons.
    await page.setViewportSize({ width: 1440, height: 900 });
    await questions.ask(question);
    await questions.complete();
    for (const width of [1440, 1024, 390]) {
      await page.setViewportSize({ width, height: width === 390 ? 844 : width === 1024 ? 768 : 900 });
      for (const theme of ['light', 'dark'] as const) {
        await page.emulateMedia({ colorScheme: theme });
        await page.waitForTimeout(150);
        await page.screenshot({ path: join(PICTURES, `${stem}-${width}-${theme}.png`), fullPage: true });
        const overflow = await page.evaluate(
          () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
        );
        expect(overflow, `${stem} at ${width} px`).toBeLessThanOrEqual(0);
      }
    }
  }
});
