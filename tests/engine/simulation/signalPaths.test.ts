// The two paths inside a run of the reference bench (Quarry Link at 9 dB of output back-off, 7th order × 3 taps).
import { describe, expect, test } from 'vitest';
import { quarryLink } from '../../../shared/presets/quarryLink.ts';
import type { Report } from '../../../shared/schema/report.ts';
import { createRunMemory } from '../../../src/engine/simulation/runMemory.ts';
import { runScenario } from '../../../src/engine/simulation/runScenario.ts';

const memory = createRunMemory();

interface Paths {
  readonly observation?: Record<string, unknown>;
  readonly transmitter?: Record<string, unknown>;
}

/** A sixth of the preset's record: one run takes a second, and the worse side moves by 0.5 dB at most. */
function run({ observation, transmitter }: Paths): Report {
  const predistorter = { ...quarryLink.predistorter, observation: observation ?? null };
  const scenario = {
    ...quarryLink,
    waveform: { ...quarryLink.waveform, symbolCount: 4 },
    operatingPoint: { outputBackoffDb: 9 },
    predistorter,
    transmitter: transmitter ?? null,
  };
  const outcome = runScenario(scenario, { memory });
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.report;
}

const first = ({ aclr }: Report['uncorrected']) => aclr.filter(({ channel }) => channel === 'adjacent');
const worse = (report: Report) =>
  Math.min(...first(report.corrected ?? report.uncorrected).map(({ aclrDb }) => aclrDb));
const codes = ({ warnings }: Report) => warnings.map(({ code }) => code);
const clear = run({});

// Source: pitfall P21 and F19 of the hand-outs, computed independently with numpy: worse side ±1.5 dB.
describe('observation narrower than the regrowth', () => {
  test.each([
    [10e6, 32, true],
    [15.36e6, 39, true],
    [20e6, 49, false],
    [30.72e6, 52, false],
  ])('%d Hz brick wall: %d dB, doubted: %s', (bandwidthHz, aclrDb, isNarrow) => {
    const report = run({ observation: { bandwidthHz } });
    expect(Math.abs(worse(report) - aclrDb)).toBeLessThan(1.5);
    expect(codes(report).includes('observation-narrow')).toBe(isNarrow);
    const message = report.warnings.find(({ code }) => code === 'observation-narrow')?.message ?? '';
    expect(message.includes('9 MHz') && message.includes('18 MHz')).toBe(isNarrow);
    expect(report.observation?.rows.map(({ effect }) => effect)).toEqual(['bandwidth']);
  });
});

// Source: pitfall P22: 25 dB of SNR −50, 40 dB −52, none −52.3 dBc, ±1.5 dB.
test.each([
  [25, 50],
  [40, 52],
])('observation noise of %d dB: %d dB', (snrDb, aclrDb) => {
  expect(Math.abs(worse(run({ observation: { snrDb } })) - aclrDb)).toBeLessThan(1.5);
});

test('without any effect: 52.3 dB, as P22 has it', () => {
  expect(Math.abs(worse(clear) - 52.3)).toBeLessThan(1.5);
  expect([clear.observation, clear.transmitter]).toEqual([null, null]);
});

// Source: pitfall P23, ±1.5 dB, taken from the third pass as there; the taps absorb an observation that comes early by
// one sample and not one that comes late by four. A run keeps its best pass: late by four samples it is the first.
describe('delay error, positive late', () => {
  test.each([
    [-16.3e-9, 48.6],
    [8.1e-9, 52.6],
    [16.3e-9, 46],
    [32.6e-9, 25],
  ])('%d s: %d dB after three passes', (delayErrorS, aclrDb) => {
    const report = run({ observation: { delayErrorS } });
    expect(Math.abs((report.learning?.passes[2].worstAclrDb ?? 0) - aclrDb)).toBeLessThan(1.5);
  });
});

describe('a lower rate of the observation', () => {
  test('folds, and says so, until its filter is as narrow', () => {
    const report = run({ observation: { sampleRateHz: 30.72e6 } });
    expect(codes(report)).toContain('observation-folds');
    const filtered = run({ observation: { sampleRateHz: 30.72e6, bandwidthHz: 30.72e6 } });
    expect(codes(filtered)).not.toContain('observation-folds');
    expect(Math.abs(worse(filtered) - 52)).toBeLessThan(1.5);
  });
});

describe('image of the transmitter (F39)', () => {
  const report = run({ transmitter: { imageDb: -30 } });

  // Source: ME-13: an image of −30 dB is an error of 3.162 %, −30 dB; no odd-order term of x contains x*, so it stays.
  test('an ordinary memory polynomial leaves it: the residual stands at −30 dB', () => {
    expect(clear.corrected?.nmseDb).toBeLessThan(-40);
    expect(Math.abs((report.corrected?.nmseDb ?? 0) + 30)).toBeLessThan(1);
    const [residual] = report.learning?.passes.map(({ nmseDb }) => nmseDb).slice(-1) ?? [];
    expect(Math.abs((residual ?? 0) + 30)).toBeLessThan(1);
  });

  test('is told, with what it costs alone', () => {
    expect(codes(report)).toContain('image-not-corrected');
    expect(codes(clear)).not.toContain('image-not-corrected');
    const [row, ...others] = report.transmitter?.rows ?? [];
    expect(others).toEqual([]);
    expect(row.effect).toBe('image');
    expect(Math.abs(row.errorPercent - 3.162)).toBeLessThan(0.05);
    expect(report.transmitter?.together).toEqual({
      errorDb: row.errorDb,
      errorPercent: row.errorPercent,
      aclrDb: row.aclrDb,
    });
  });

  test('acts on the uncorrected output too, and not on the ideal limiter', () => {
    expect(report.uncorrected.nmseDb).toBeGreaterThan(clear.uncorrected.nmseDb + 0.5);
    expect(report.ideal.nmseDb).toBe(clear.ideal.nmseDb);
  });
});

// Source: arithmetic of rails: 6 dB of headroom over the rms of a rail clips every 16th sample of a Gaussian rail or so;
// ACLR falls with it whatever the correction.
test('a drive converter without headroom clips, and says how often', () => {
  const report = run({ transmitter: { converterBitCount: 12, converterHeadroomDb: 6 } });
  expect(codes(report)).toContain('transmit-converter-clips');
  expect(worse(report)).toBeLessThan(worse(clear) - 3);
});
