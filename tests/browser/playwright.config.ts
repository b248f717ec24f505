// Tests of the built page in Chromium. Run all of them through `npm test`, or some with
// `npx playwright test -c tests/browser/playwright.config.ts smoke`.
import { defineConfig } from '@playwright/test';
import { findChromium } from '../../src/tools/browser.mjs';

// Every run has a port of its own, so two people can test on one machine. Playwright evaluates this file again in each
// worker, which must come to the same port.
process.env.KNEEPOINT_TEST_PORT ??= String(20_000 + (process.pid % 20_000));
const port = process.env.KNEEPOINT_TEST_PORT;
const baseURL = `http://127.0.0.1:${port}/`;
const executablePath = findChromium();

export default defineConfig({
  testDir: '.',
  testMatch: '**/*.spec.ts',
  outputDir: '../../test-results',
  // The page computes on several threads itself: two pages at once make gestures late on two cores.
  workers: 1,
  forbidOnly: Boolean(process.env.CI),
  timeout: 120_000,
  expect: { timeout: 30_000 },
  use: {
    baseURL,
    browserName: 'chromium',
    // The page sets its figures in the reader's language; uPlot refuses malformed ones that some builds report.
    locale: 'en-US',
    trace: 'retain-on-failure',
    launchOptions: {
      ...(executablePath === null ? {} : { executablePath }),
      args: [
        '--no-sandbox',
        '--disable-gpu',
        '--disable-quic',
        '--no-first-run',
        '--disable-background-networking',
        '--disable-component-update',
        '--disable-sync',
      ],
    },
  },
  webServer: {
    command: `node src/tools/start.mjs --port ${port}`,
    cwd: '../..',
    url: baseURL,
    reuseExistingServer: false,
    timeout: 120_000,
  },
});
