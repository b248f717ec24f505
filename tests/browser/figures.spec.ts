// The page's figures are the library's: read from its export and compared with a run in Node.
import { presets } from '../../shared/presets/index.ts';
import { runScenario } from '../../src/engine/index.ts';
import { expect, note, test } from './bench.ts';

/** Every number of a report by its path; coefficients are compared by the signals they make, which the readings are. */
function numbers(data: unknown, path = '', found = new Map<string, number>()): Map<string, number> {
  if (typeof data === 'number') found.set(path, data);
  if (typeof data !== 'object' || data === null) return found;
  for (const [key, value] of Object.entries(data)) {
    if (key !== 'coefficients' && key !== 'traces') numbers(value, path === '' ? key : `${path}.${key}`, found);
  }
  return found;
}

/** Largest difference over the larger of one and the figure. */
const AGREEMENT = 1e-9;
/** The smallest eigenvalue of normal equations of condition 1e4 carries eps · 1e8 of rounding. */
const CONDITION_AGREEMENT = 1e-6;

/** Errors below this are the rounding of the arithmetic itself and differ between two engines. */
const ROUNDING_DB = -200;

for (const [name, preset] of Object.entries(presets)) {
  test(`${name}: page and library agree to 1e-9`, async ({ bench }) => {
    test.setTimeout(240_000);
    await bench.open();
    if (name !== 'quarry-link') await bench.choosePreset(preset.title!);
    const { name: fileName, text } = await bench.exported('Readings');
    expect(fileName).toBe(`${name}-readings.json`);
    const onPage = numbers(JSON.parse(text));
    const outcome = runScenario(preset);
    if (outcome.kind !== 'report') throw new Error(JSON.stringify(outcome.issues));
    const inNode = numbers(JSON.parse(JSON.stringify(outcome.report)));
    expect([...onPage.keys()].sort()).toEqual([...inNode.keys()].sort());
    let worst = { path: '', difference: 0 };
    for (const [path, value] of inNode) {
      const shown = onPage.get(path)!;
      if (Math.max(value, shown) < ROUNDING_DB) continue;
      const unit = /conditionNumber$/i.test(path) ? CONDITION_AGREEMENT / AGREEMENT : 1;
      const difference = Math.abs(shown - value) / Math.max(1, Math.abs(value)) / unit;
      if (difference > worst.difference) worst = { path, difference };
    }
    note(`${name}: ${inNode.size} figures, worst difference ${worst.difference.toExponential(1)} (${worst.path})`);
    expect(worst.difference, worst.path).toBeLessThan(AGREEMENT);
  });
}

test('exports: scenario, spectrum table, figure', async ({ bench }) => {
  await bench.open();
  const scenario = await bench.exported('Scenario');
  expect(JSON.parse(scenario.text)).toMatchObject({ title: 'Quarry Link', operatingPoint: { meanPowerDbm: 36.5 } });
  const table = await bench.exported('Spectrum');
  expect(table.text.split('\r\n')[0]).toBe('offsetHz,waveformDbm,uncorrectedDbm,correctedDbm,idealDbm');
  const figure = await bench.exported('Emission plot');
  expect(figure.name).toBe('quarry-link-spectrum.svg');
  expect(figure.text).toMatch(/^<svg[\s\S]+<\/svg>\s*$/);
});

test('what the page shows is what the report says', async ({ bench, page }) => {
  await bench.open();
  const report = JSON.parse((await bench.exported('Readings')).text);
  await expect(bench.answer).toHaveText(report.answer);
  const worst = Math.min(
    ...report.corrected.aclr
      .filter(({ channel }: { channel: string }) => channel === 'adjacent')
      .map(({ aclrDb }: { aclrDb: number }) => aclrDb),
  );
  // The reading stands with its scatter: 52.9 ± 0.2 dB.
  await expect(page.locator('kp-limits')).toContainText(new RegExp(`${worst.toFixed(1)} ± \\d\\.\\d\u2009dB`));
  await expect(bench.block('Amplifier')).toContainText(`${report.corrected.meanPowerDbm.toFixed(1)}\u2009dBm`);
});
