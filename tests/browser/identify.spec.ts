// Which model fits a capture: a pair made here of a known amplifier and a known receiver is dropped on the page; its figures
// are those of the library, the amplifier goes into the scenario and is run.
import AxeBuilder from '@axe-core/playwright';
import type { Locator, Page } from '@playwright/test';
import { formatFixed, formatQuantity } from '../../shared/format/numbers.ts';
import type { AmplifierModelSettings } from '../../shared/schema/scenario.ts';
import { amplifyRecord, identifyAmplifier, readCsv } from '../../src/engine/index.ts';
import { type Bench, expect, test } from './bench.ts';

const SAMPLE_RATE_HZ = 122.88e6;
const SAMPLE_COUNT = 8192;
/** Half the tones: 2 · 300 · 15 kHz is 9 MHz. */
const TONE_COUNT = 300;
/** What the receiver adds; the page has to find it. */
const DELAY_SAMPLES = 5.3;
const GAIN_DB = -1.2;
const PHASE_DEG = 25;
const NOISE_DB = -50;
/** Third order with one delay, within a drive of 0.5: compresses by about 1.5 dB. */
const AMPLIFIER: AmplifierModelSettings = {
  kind: 'memoryPolynomial',
  modelRateHz: SAMPLE_RATE_HZ,
  driveRange: 'none',
  saturatedAmplitude: 1,
  nonlinearOrders: [1, 3],
  memoryDepth: 2,
  coefficients: [
    { re: 1, im: 0 },
    { re: -0.6, im: 0.15 },
    { re: 0.05, im: -0.03 },
    { re: -0.05, im: 0.04 },
  ],
};

/** Numbers in [0, 1), the same at every run. */
function uniform(seed: number): () => number {
  let state = seed;
  return () => {
    state = (1664525 * state + 1013904223) % 2 ** 32;
    return state / 2 ** 32;
  };
}

/** Tones of random phase on whole cycles, so that a delay of part of a sample is exact: x(t − delay). */
function toneSignal(delaySamples: number) {
  const random = uniform(7);
  const [re, im] = [new Float64Array(SAMPLE_COUNT), new Float64Array(SAMPLE_COUNT)];
  for (let bin = -TONE_COUNT; bin <= TONE_COUNT; bin++) {
    const step = (2 * Math.PI * bin) / SAMPLE_COUNT;
    const start = 2 * Math.PI * random() - step * delaySamples;
    for (let n = 0; n < SAMPLE_COUNT; n++) {
      re[n] = (re[n] ?? 0) + Math.cos(start + step * n);
      im[n] = (im[n] ?? 0) + Math.sin(start + step * n);
    }
  }
  // rms 0.17: peaks reach about half of full scale.
  const factor = 0.17 / Math.sqrt(2 * TONE_COUNT + 1);
  return { re: re.map((x) => factor * x), im: im.map((x) => factor * x) };
}

/** The amplifier's output as a receiver sees it: delayed, scaled, turned, with white noise. */
function observation() {
  const outcome = amplifyRecord({ signal: toneSignal(DELAY_SAMPLES), sampleRateHz: SAMPLE_RATE_HZ }, AMPLIFIER);
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  const { re, im } = outcome.record.signal;
  const power = re.reduce((sum, x, n) => sum + x * x + (im[n] ?? 0) ** 2, 0) / SAMPLE_COUNT;
  const random = uniform(11);
  // Uniform in ±a has a variance of a²/3, twice for both parts.
  const spread = Math.sqrt(1.5 * power * 10 ** (NOISE_DB / 10));
  const gain = 10 ** (GAIN_DB / 20);
  const [c, s] = [gain * Math.cos((Math.PI * PHASE_DEG) / 180), gain * Math.sin((Math.PI * PHASE_DEG) / 180)];
  const noisy = (x: number) => x + gain * spread * (2 * random() - 1);
  return {
    re: re.map((x, n) => noisy(c * x - s * (im[n] ?? 0))),
    im: re.map((x, n) => noisy(s * x + c * (im[n] ?? 0))),
  };
}

function csv({ re, im }: { re: Float64Array; im: Float64Array }): Buffer {
  return Buffer.from(Array.from(re, (x, n) => `${x},${im[n]}`).join('\n'));
}

const FILES = [
  { name: 'mast.sent.csv', buffer: csv(toneSignal(0)), mimeType: 'text/csv' },
  { name: 'mast.received.csv', buffer: csv(observation()), mimeType: 'text/csv' },
] as const;
/** Small limits, so that the search is short; the page and the library get the same. */
const SEARCH = { highestOrder: 5, memoryDepth: 2, crossReachSamples: 0, outputPowerDbm: 35, saturatedPowerDbm: 44 };

function libraryReport() {
  const [drive, observed] = FILES.map(({ buffer }) => {
    const outcome = readCsv(new Uint8Array(buffer), { sampleRateHz: SAMPLE_RATE_HZ });
    if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
    return outcome.record;
  });
  const outcome = identifyAmplifier({ drive: drive!, observed: observed!, ...SEARCH });
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.report;
}

const view = (page: Page): Locator => page.locator('kp-identify');

async function openDoor(bench: Bench): Promise<void> {
  // The first run goes on meanwhile: records do not wait for it.
  await bench.page.goto('./');
  await bench.page.getByRole('button', { name: 'Which model fits a capture?' }).click();
}

async function dropOnPage(page: Page, files: readonly { name: string; buffer: Buffer }[]): Promise<void> {
  const packed = files.map(({ name, buffer }) => ({ name, base64: buffer.toString('base64') }));
  await page.evaluate((given) => {
    const transfer = new DataTransfer();
    for (const { name, base64 } of given) {
      transfer.items.add(new File([Uint8Array.from(atob(base64), (character) => character.charCodeAt(0))], name));
    }
    const target = document.querySelector('kneepoint-app')!.shadowRoot!.querySelector('.page')!;
    target.dispatchEvent(new DragEvent('drop', { dataTransfer: transfer, bubbles: true, cancelable: true }));
  }, packed);
}

async function fillNumber(page: Page, label: string, value: number): Promise<void> {
  const field = view(page).getByLabel(label, { exact: true });
  await field.fill(String(value));
  await field.press('Enter');
}

async function setSearch(page: Page): Promise<void> {
  await view(page).getByText('Limits of the search').click();
  await fillNumber(page, 'Highest order', SEARCH.highestOrder);
  await fillNumber(page, 'Memory depth', SEARCH.memoryDepth);
  await fillNumber(page, 'Reach of cross terms', SEARCH.crossReachSamples);
  await fillNumber(page, 'Mean output power', SEARCH.outputPowerDbm);
  await fillNumber(page, 'Saturated power', SEARCH.saturatedPowerDbm);
}

const row = (page: Page, label: RegExp): Locator => view(page).getByRole('row', { name: label }).first();

test('two records dropped: alignment, verdict and figures of the library; the amplifier is used and run', async ({
  bench,
  page,
}) => {
  await openDoor(bench);
  await setSearch(page);
  await dropOnPage(page, [...FILES].reverse());
  // The order was guessed by name; text records lack their rate, and both places say so.
  await expect(view(page)).toContainText('mast.sent was sent and mast.received was seen');
  await expect(view(page).getByRole('group', { name: 'Drive', exact: true })).toContainText('sample rate is required');
  await fillNumber(page, 'Sample rate of CSV', SAMPLE_RATE_HZ / 1e6);

  const report = libraryReport();
  const { alignment, chosen } = report;
  // What was put in comes out: the bounds leave room for the noise of 8192 samples and for gain within the model.
  expect(Math.abs(alignment.delaySamples - DELAY_SAMPLES)).toBeLessThan(0.05);
  expect(Math.abs(chosen.heldOutNmseDb - NOISE_DB)).toBeLessThan(0.5);
  const distance = formatQuantity(-chosen.heldOutNmseDb, 'dB');
  await expect(view(page).locator('.answer')).toContainText(
    `Good within ${distance}, with limits: a memory polynomial`,
  );
  await expect(view(page).locator('.reasons')).toContainText('no second pair was given');
  await expect(row(page, /^Delay/)).toContainText(formatFixed(1e9 * alignment.delayS, 3));
  await expect(row(page, /^Phase/)).toContainText(formatQuantity(alignment.phaseDeg, '°', 2));
  await expect(row(page, /^Held-out error/)).toContainText(formatFixed(chosen.heldOutNmseDb, 2));
  await expect(row(page, /^Saturated power/)).toContainText('44.00');
  const lower = report.aclr.find(({ channel, side }) => channel === 'adjacent' && side === 'lower')!;
  await expect(row(page, /^adjacent, lower/)).toContainText(formatFixed(lower.predictedDb!, 1));
  await expect(row(page, /^taken/)).toContainText(String(chosen.coefficientCount));
  await expect(
    view(page).getByRole('slider', { name: /spectra of observation, prediction and residual/ }),
  ).toBeVisible();
  const { violations } = await new AxeBuilder({ page })
    .include({ fromShadowDom: ['kneepoint-app', 'kp-identify'] })
    .analyze();
  expect(violations.flatMap(({ id, nodes }) => nodes.map(({ target }) => `${id} ${target}`))).toEqual([]);

  await view(page).getByRole('button', { name: 'Use this amplifier' }).click();
  await expect(bench.block('Amplifier')).toContainText('44.0');
  await expect(bench.block('Amplifier')).toContainText('memory polynomial');
  await view(page).getByRole('button', { name: 'How clean is it now?' }).click();
  await bench.settled();
  await expect(bench.answer).toContainText('ACLR');
  await bench.settledAfter(() => page.getByRole('button', { name: 'Undo' }).click());
  await expect(bench.block('Amplifier')).not.toContainText('memory polynomial');
});

test('exchanged records say so at their place and are swapped; a saved model is dropped back in', async ({
  bench,
  page,
}) => {
  await openDoor(bench);
  await setSearch(page);
  const place = (name: string) => view(page).getByRole('group', { name, exact: true });
  await place('Drive').getByLabel('Drive: Choose files').setInputFiles([FILES[1]]);
  await expect(view(page).locator('.answer')).toContainText('Now the observation');
  await fillNumber(page, 'Sample rate of CSV', SAMPLE_RATE_HZ / 1e6);
  await place('Observation').getByLabel('Observation: Choose files').setInputFiles([FILES[0]]);
  await expect(place('Drive')).toContainText('the two are exchanged; give the drive first');
  await view(page).getByRole('button', { name: 'Swap drive and observation' }).click();
  await expect(view(page).locator('.answer')).toContainText('Good within');
  const download = page.waitForEvent('download');
  await view(page).getByRole('button', { name: 'Save the model' }).click();
  const file = await download;
  expect(file.suggestedFilename()).toBe('mast-received-model.json');
  const chunks: Buffer[] = [];
  for await (const chunk of await file.createReadStream()) chunks.push(chunk as Buffer);
  const buffer = Buffer.concat(chunks);
  expect(JSON.parse(buffer.toString())).toMatchObject({ kind: 'memoryPolynomial', modelRateHz: SAMPLE_RATE_HZ });
  await dropOnPage(page, [{ name: 'model.json', buffer }]);
  await expect(page.locator('kp-header')).toContainText('the model of model.json is in the scenario now');
  await expect(bench.block('Amplifier')).toContainText('45.5');
  await expect(bench.block('Amplifier')).toContainText('memory polynomial');
  await dropOnPage(page, [{ name: 'broken.json', buffer: Buffer.from('{"kind": "valve"}') }]);
  await expect(page.locator('kp-record-faults')).toContainText('broken.json');
});
