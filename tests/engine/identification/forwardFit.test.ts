// Amplifier A of the reference bench identified from its own drive and output: what is memory and what is left.
import { describe, expect, test } from 'vitest';
import { quarryLink } from '../../../shared/presets/quarryLink.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { candidateStructures } from '../../../src/engine/identification/candidateStructures.ts';
import { splitSamples } from '../../../src/engine/identification/samplePart.ts';
import { bestOf, searchStructures } from '../../../src/engine/identification/searchStructures.ts';
import { type ComplexSignal, identifyAmplifier } from '../../../src/engine/index.ts';
import { driveUncorrected, makeRecords } from '../../../src/engine/simulation/chain.ts';
import { checkScenario } from '../../../src/engine/simulation/checkScenario.ts';
import { createRunMemory } from '../../../src/engine/simulation/runMemory.ts';
import { observe } from './syntheticPair.ts';

function bench() {
  const checked = checkScenario({
    ...quarryLink,
    waveform: { ...quarryLink.waveform, symbolCount: 8 },
    operatingPoint: { outputBackoffDb: 9 },
    predistorter: null,
  });
  if (checked.kind === 'invalid') throw new Error(JSON.stringify(checked.issues));
  const records = makeRecords(checked.setup, createRunMemory(), {});
  const levelled = driveUncorrected(checked.setup, records.judging.waveform);
  if ('rule' in levelled) throw new Error(JSON.stringify(levelled));
  return { drive: levelled.drive, output: levelled.output, sampleRateHz: checked.setup.waveform.sampleRateHz };
}

const { drive, output, sampleRateHz } = bench();

// The handed-out forward fit (pitfalls.md P37), computed with numpy on the same formula: static −39.9 dB, 2 taps −46.1,
// 3 −47.4, 5 −47.6; odd orders, no delay taken out. 1.5 dB: other symbols.
describe('amplifier A forwards (P37)', () => {
  const limits = { highestOrder: 9, memoryDepth: 5, crossReachSamples: 0, coefficientCount: 100 };
  const odd = candidateStructures(limits).filter((one) => one.leadSamples === 0 && !one.nonlinearOrders.includes(2));
  const search = searchStructures(odd, drive, output, splitSamples(0, drive.re.length, 8));
  const reached = (taps: number) =>
    bestOf(search?.tried ?? [], ({ memoryDepth }) => memoryDepth === taps)?.heldOutNmseDb ?? 0;

  test.each([
    [1, -39.9],
    [2, -46.1],
    [3, -47.4],
    [5, -47.6],
  ])('%d taps reach %d dB on held-out samples', (taps, wanted) => {
    expect(Math.abs(reached(taps) - wanted)).toBeLessThan(1.5);
  });

  test('memory is −40 dB of it, what no structure explains −47 dB', () => {
    const memoryDb = 10 * Math.log10(10 ** (reached(1) / 10) - 10 ** (reached(5) / 10));
    expect(Math.abs(memoryDb + 40)).toBeLessThan(1.5);
    expect(Math.abs(reached(5) + 47)).toBeLessThan(1.5);
  });
});

describe('the same through identify', () => {
  const pairOf = (observed: ComplexSignal) => ({
    drive: { signal: drive, sampleRateHz },
    observed: { signal: observed, sampleRateHz },
    crossReachSamples: 0,
    memoryDepth: 4,
  });
  const reportOf = (observed: ComplexSignal) => {
    const outcome = identifyAmplifier(pairOf(observed));
    if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
    return outcome.report;
  };
  const receiver = { delaySamples: 1, gainDb: 0, phaseDeg: 0, leakDbc: -300, imageDb: -300, snrDb: 60 };
  const report = reportOf(observe(output, receiver, createRandom(1, 'receiver')));

  test('delay, memory, noise and model error are told apart', () => {
    // The best static curve stands 0.035 samples later than the drive: that much of the memory is delay, so that static
    // error and memory lie 1.2 and 1.6 dB below those of a fit at no delay.
    expect(Math.abs(report.alignment.delaySamples - 1.035)).toBeLessThan(0.01);
    const { staticNmseDb, memoryDb, noiseDb, modelErrorDb } = report.shares;
    expect(Math.abs(staticNmseDb + 39.9)).toBeLessThan(1.5);
    expect(memoryDb).toBeLessThan(-40);
    expect(memoryDb).toBeGreaterThan(-43);
    expect(Math.abs((modelErrorDb ?? 0) + 47)).toBeLessThan(1.5);
    expect(Math.abs((noiseDb ?? 0) + 60)).toBeLessThan(0.5);
  });

  test('one sample of delay looks like heavy memory until it is taken out (P36)', () => {
    const { asRecorded, aligned } = report.loops;
    expect(asRecorded.phaseDeg / aligned.phaseDeg).toBeGreaterThan(10);
    expect(asRecorded.gainDb / aligned.gainDb).toBeGreaterThan(10);
    // 2π·f a sample: a flat band of 9 MHz at 122.88 Msps turns by 2π·(9/122.88)/√12 = 0.133 rad rms, half of it phase.
    expect(asRecorded.phaseDeg).toBeGreaterThan(3);
    expect(aligned.phaseDeg).toBeLessThan(0.5);
  });
});
