// Scenario S3 of the hand-outs (scenarios.md), computed there with numpy/scipy on the same amplifier formula: tolerance
// 1.5 dB. Slots are mean densities over 3.84 MHz against the mean of the carriers at ±5 MHz.
import { describe, expect, test } from 'vitest';
import { fourSlotUplink } from '../../../shared/presets/fourSlotUplink.ts';
import type { Report } from '../../../shared/schema/report.ts';
import type { RunFaults } from '../../../src/engine/simulation/faults.ts';
import { createRunMemory } from '../../../src/engine/simulation/runMemory.ts';
import { runWithFaults } from '../../../src/engine/simulation/runScenario.ts';
import { completeStudy, engineRunner, resultOf } from '../study/drive.ts';

const memory = createRunMemory();

function run(outputBackoffDb: number, faults: RunFaults = {}, change: Record<string, unknown> = {}): Report {
  const outcome = runWithFaults(
    { ...fourSlotUplink, operatingPoint: { outputBackoffDb }, ...change },
    { memory },
    faults,
  );
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.report;
}

function slotDb(output: Report['uncorrected'] | null, name: string): number {
  const reading = output?.slots.find((slot) => slot.name === name);
  if (reading === undefined) throw new Error(`no slot ${name}`);
  return reading.ratioDb;
}

describe('Four-Slot Uplink', () => {
  test.each([
    [4, 17.5],
    [6, 21.0],
    [8, 24.2],
    [10, 27.2],
    [12, 30.1],
  ])('uncorrected at %d dB the empty slot lies %f dB down', (outputBackoffDb, expectedDb) => {
    const report = run(outputBackoffDb, {}, { predistorter: null });
    expect(Math.abs(slotDb(report.uncorrected, 'middle') - expectedDb)).toBeLessThan(0.5);
  });

  test.each([
    [6, 35.3],
    [7, 43.9],
    [8, 50.1],
  ])('corrected at %d dB: %f dB', (outputBackoffDb, expectedDb) => {
    const report = run(outputBackoffDb);
    expect(Math.abs(slotDb(report.corrected, 'middle') - expectedDb)).toBeLessThan(1.5);
    expect(report.correctionUsed).toBe(true);
  });

  // Source: scenarios.md: the sides at ±15 MHz differ by 1.2 dB because the carriers are unequal (pitfall P28).
  test('the products outside differ by 1.2 dB between the sides', () => {
    const { uncorrected } = run(8, {}, { predistorter: null });
    const difference = slotDb(uncorrected, 'above') - slotDb(uncorrected, 'below');
    expect(Math.abs(difference - 1.2)).toBeLessThan(0.3);
  });

  // Pitfall P4: 9th × 3 taps at 4 dB, the last pass kept: 4.3 dB in the hand-out. Fitted to the drive sent, ours reads 14.5
  // of 17.3 dB uncorrected; fitted to the drive requested it is destroyed as there.
  test('at 4 dB the last pass destroys the slot; the default keeps a better one or none', () => {
    const destroyed = run(4, { keepLastPass: true, fitRequestedDrive: true });
    expect(slotDb(destroyed.corrected, 'middle')).toBeLessThan(slotDb(destroyed.uncorrected, 'middle') - 10);
    const kept = run(4);
    if (kept.correctionUsed) {
      expect(slotDb(kept.corrected, 'middle')).toBeGreaterThan(slotDb(kept.uncorrected, 'middle'));
    }
  });

  test('verdicts name the slots, worst first', () => {
    const report = run(6);
    const own = report.verdicts.filter(({ of }) => of === 'corrected');
    expect(own.map(({ limit }) => limit)).toEqual(['slot', 'slot', 'slot']);
    expect(new Set(own.map(({ name }) => name))).toEqual(new Set(['middle', 'below', 'above']));
    expect(own.every(({ state }) => state === 'pass')).toBe(true);
    expect(report.verdicts.some(({ of, state }) => of === 'uncorrected' && state === 'fail')).toBe(true);
    const [before, after] = [report.uncorrected, report.corrected].map((output) =>
      Math.min(...['middle', 'below', 'above'].map((name) => slotDb(output, name))).toFixed(1),
    );
    expect(report.answer).toContain(`the worst slot from ${before} to ${after} dB`);
  });

  // Source: definition: a flat density exactly at the limit over the slot reads the required ratio.
  test('each slot has a limit line 30 dB under the density of its reference carriers', () => {
    const { traces, uncorrected } = run(8, {}, { predistorter: null });
    const line = traces.limitLines.find(({ label }) => label === 'middle 30 dB');
    const { frequencyHz, level } = traces.spectra.uncorrected;
    const inSlot = [...level].filter((_, i) => Math.abs(frequencyHz[i]) < 1.92e6).map((db) => 10 ** (db / 10));
    const meanDb = 10 * Math.log10(inSlot.reduce((sum, power) => sum + power, 0) / inSlot.length);
    expect(line?.fromHz).toBe(-1.92e6);
    expect((line?.level ?? 0) - meanDb).toBeCloseTo(slotDb(uncorrected, 'middle') - 30, 1);
  });

  // Source: scenarios.md: 12 dB without correction, under 6 dB with.
  test('the ladder finds about 12 dB without correction and 6 dB or less with it', () => {
    // A quarter of the record moves the crossings by some hundredths of a dB.
    const shorter = { ...fourSlotUplink, waveform: { ...fourSlotUplink.waveform, sampleCount: 2 ** 16 } };
    const question = { kind: 'ladder', outputBackoff: { fromDb: 5, toDb: 13, stepDb: 4 } };
    const result = resultOf(completeStudy({ scenario: shorter, question }, engineRunner()), 'ladder');
    const needed = (subject: string) =>
      result.crossings.find(({ of, limit }) => of === subject && limit === 'all limits')?.outputBackoffDb ?? Number.NaN;
    expect(Math.abs(needed('uncorrected') - 12)).toBeLessThan(0.5);
    expect(needed('corrected')).toBeLessThan(6);
  }, 300_000);
});
