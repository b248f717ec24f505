import { describe, expect, test } from 'vitest';
import { quarryLink } from '../../../shared/presets/quarryLink.ts';
import { type ComplexSignal, leastSquaresGain, meanPower, peakPower, zeros } from '../../../src/engine/dsp/complex.ts';
import { powerRatioToDb } from '../../../src/engine/dsp/decibels.ts';
import { fft, inverseFft } from '../../../src/engine/dsp/fft.ts';
import { filterPeriodic, kaiserLowpass } from '../../../src/engine/dsp/fir.ts';
import { createRandom } from '../../../src/engine/dsp/random.ts';
import { ccdf, crestFactorDb, paprAtProbability } from '../../../src/engine/measurement/ccdf.ts';
import { measureEvm } from '../../../src/engine/measurement/evm.ts';
import { constellation } from '../../../src/engine/waveform/constellation.ts';
import { clipAndFilter, exactBinRecipe } from '../../../src/engine/waveform/crestFactorReduction.ts';
import { modulate } from '../../../src/engine/waveform/ofdm.ts';
import { bench, generate, leakage, resolve } from './build.ts';
import golden from './crestFactorReduction.golden.json' with { type: 'json' };

const LTE = { sampleRateHz: 122.88e6, bandwidthHz: 9e6, spacingHz: 10e6 };
const shaping = { targetPaprDb: 8, probability: 1e-4, roundCount: 12, evmBudgetPercent: null };
const shapedTo = (targetPaprDb: number, symbolCount = 120, evmBudgetPercent: number | null = null) =>
  generate({ ...bench, symbolCount, crestFactorReduction: { ...shaping, targetPaprDb, evmBudgetPercent } }, 7);

describe('F3: shaping to a target (source: product F3)', () => {
  const { waveform, crestReduction, notes } = shapedTo(8);
  const evmPercent = (equalizer: 'none' | 'perSubcarrier') =>
    measureEvm({ output: waveform.signal, waveform, carrierIndex: 0, equalizer, reference: 'data' }).reading.rmsPercent;

  test('8.0 dB is met at 10⁻⁴ within 0.1 dB and the peak within 0.3 dB', () => {
    expect(Math.abs((paprAtProbability(waveform.signal, 1e-4) ?? 0) - 8)).toBeLessThan(0.1);
    expect(crestFactorDb(waveform.signal)).toBeLessThan(8.3);
    expect(meanPower(waveform.signal)).toBeCloseTo(1, 12);
    expect(crestReduction?.roundsUsed).toBe(12);
    expect(notes).toEqual([]);
  });

  test('8.0 dB spends 1.3 to 1.9 % EVM over 120 symbols', () => {
    expect(evmPercent('perSubcarrier')).toBeGreaterThan(1.3);
    expect(evmPercent('perSubcarrier')).toBeLessThan(1.9);
    // The generator's own figure is taken without the equalizer: √(1 − 1/120) apart, 0.4 %.
    expect((crestReduction?.evmPercent ?? 0) / evmPercent('perSubcarrier')).toBeCloseTo(1, 2);
  });

  test('the leakage changes by less than 0.5 dB', () => {
    const before = leakage(waveform.beforeReduction, LTE);
    leakage(waveform.signal, LTE).forEach((db, side) => {
      expect(db).toBeGreaterThan(80);
      expect(Math.abs(db - before[side])).toBeLessThan(0.5);
    });
  });

  test('6.0 dB spends 5.3 to 6.5 %', () => {
    const { waveform: shaped } = shapedTo(6);
    const request = { output: shaped.signal, waveform: shaped, carrierIndex: 0 } as const;
    const { reading } = measureEvm({ ...request, equalizer: 'perSubcarrier', reference: 'data' });
    expect(reading.rmsPercent).toBeGreaterThan(5.3);
    expect(reading.rmsPercent).toBeLessThan(6.5);
  });

  test('the preset does just this', () =>
    expect(quarryLink.waveform.crestFactorReduction).toMatchObject({ targetPaprDb: 8 }));
});

describe('answers in words', () => {
  test('a target above the natural crest factor changes nothing and says so with both numbers', () => {
    const { waveform, notes, crestReduction } = shapedTo(11, 24);
    expect(waveform.signal).toBe(waveform.beforeReduction);
    const natural = paprAtProbability(waveform.signal, 1e-4) ?? 0;
    expect(notes.map((note) => note.code)).toEqual(['crest-target-above-natural']);
    expect(notes[0].message).toContain('11.00 dB');
    expect(notes[0].message).toContain(`${natural.toFixed(2)} dB`);
    expect(crestReduction).toEqual({ roundsUsed: 0, evmPercent: 0, evmPerCarrierPercent: [] });
  });

  test('a target over the EVM budget names the smallest one that fits, and it does', () => {
    const { notes, crestReduction } = shapedTo(6, 24, 3);
    const message = notes.find((note) => note.code === 'crest-evm-over-budget')?.message ?? '';
    expect(message).toContain(`${crestReduction?.evmPercent.toFixed(2)} %`);
    expect(message).toContain('budget of 3 %');
    const fitting = Number(/fits is ([\d.]+) dB/.exec(message)?.[1]);
    expect(shapedTo(fitting, 24, 3).notes).toEqual([]);
    // Given in tenths, found within 0.06 dB: two tenths lower it must be over the budget.
    expect(shapedTo(fitting - 0.2, 24, 3).notes).toHaveLength(1);
  });

  test('a single round does not reach a low target and says so', () => {
    const crestFactorReduction = { ...shaping, targetPaprDb: 6, roundCount: 1 };
    const { notes } = generate({ ...bench, crestFactorReduction });
    expect(notes.map((note) => note.code)).toEqual(['crest-target-missed']);
  });

  test('a record too short for the probability is judged by its peak', () => {
    const short = { ...bench, symbolCount: 12, sampleRateHz: 30.72e6, spectralEdge: { kind: 'none' } as const };
    const once = { ...shaping, targetPaprDb: 5, roundCount: 1 };
    const { waveform, notes } = generate({ ...short, crestFactorReduction: once });
    expect(paprAtProbability(waveform.signal, 1e-4)).toBeNull();
    expect(notes.map((note) => note.code)).toEqual(['crest-target-missed']);
    expect(notes[0].message).toContain(
      `${crestFactorDb(waveform.signal).toFixed(2)} dB at the peak of this short record`,
    );
    // Reached: the peak stands some tenths above the target.
    expect(generate({ ...short, crestFactorReduction: { ...shaping, targetPaprDb: 8 } }).notes).toEqual([]);
  });
});

describe('probability', () => {
  // The target holds at the stated probability: at 1 % the clip level lies above it, or EVM would be spent for nothing.
  test.each([
    [1e-2, 6],
    [1e-3, 7.5],
    [1e-4, 8.5],
  ])('at %f the target of %f dB is met within 0.15 dB', (probability, targetPaprDb) => {
    const crestFactorReduction = { ...shaping, targetPaprDb, probability };
    const { waveform } = generate({ ...bench, symbolCount: 60, crestFactorReduction }, 4);
    expect(Math.abs((paprAtProbability(waveform.signal, probability) ?? 0) - targetPaprDb)).toBeLessThan(0.15);
  });
});

describe('several carriers and other edges', () => {
  test('two carriers of unequal level are shaped inside their own channels', () => {
    const carrier = { kind: 'ofdm', standard: 'lte', channelBandwidthHz: 10e6 } as const;
    const carriers = [
      { ...carrier, offsetHz: -15e6 },
      { ...carrier, offsetHz: 10e6, relativePowerDb: -6 },
    ];
    const { waveform, notes } = generate({ ...bench, carriers, symbolCount: 60, crestFactorReduction: shaping }, 3);
    expect(Math.abs((paprAtProbability(waveform.signal, 1e-4) ?? 0) - 8)).toBeLessThan(0.1);
    expect(notes.filter((note) => note.code.startsWith('crest'))).toEqual([]);
    // The gap between the carriers, and beyond them.
    for (const [i, spacingHz] of [
      [0, 10e6],
      [1, 10e6],
    ] as const) {
      const channels = { ...LTE, spacingHz, centreHz: waveform.carriers[i].offsetHz };
      for (const db of leakage(waveform.signal, channels)) expect(db).toBeGreaterThan(80);
    }
    const evm = (carrierIndex: number) =>
      measureEvm({ output: waveform.signal, waveform, carrierIndex, equalizer: 'perSubcarrier', reference: 'data' })
        .reading.rmsPercent;
    // Equal error density on carriers 6 dB apart: the weaker one's EVM is twice the stronger one's.
    expect(evm(1) / evm(0)).toBeGreaterThan(1.7);
    expect(evm(1) / evm(0)).toBeLessThan(2.3);
  });

  test.each([{ kind: 'none' }, { kind: 'symbolOverlap', overlapS: 2e-6 }] as const)(
    '$kind: meets the target',
    (spectralEdge) => {
      const { waveform } = generate({ ...bench, spectralEdge, symbolCount: 24, crestFactorReduction: shaping }, 2);
      expect(Math.abs((paprAtProbability(waveform.signal, 1e-4) ?? 0) - 8)).toBeLessThan(0.1);
      const before = Math.min(...leakage(waveform.beforeReduction, LTE));
      expect(Math.min(...leakage(waveform.signal, LTE))).toBeGreaterThan(before - 0.5);
    },
  );

  test('noise stays on its exact bins', () => {
    const noise = { kind: 'noise', occupiedBandwidthHz: 10e6 } as const;
    const { waveform } = generate({
      carriers: [noise],
      sampleCount: 2 ** 17,
      sampleRateHz: 80e6,
      crestFactorReduction: shaping,
    });
    const bins = fft(waveform.signal);
    const half = Math.round((waveform.carriers[0].occupiedBandwidthHz * 2 ** 17) / 80e6 - 1) / 2;
    let inside = 0;
    let outside = 0;
    for (let b = 0; b < 2 ** 17; b++) {
      const power = bins.re[b] ** 2 + bins.im[b] ** 2;
      if (Math.abs(b < 2 ** 16 ? b : b - 2 ** 17) <= half) inside += power;
      else outside += power;
    }
    expect(powerRatioToDb(outside / inside)).toBeLessThan(-250);
    expect(Math.abs((paprAtProbability(waveform.signal, 1e-4) ?? 0) - 8)).toBeLessThan(0.1);
  });
});

describe('PR-08: polar clipping of a Gaussian signal, before any filter', () => {
  // Independent complex normal samples: no band limit, so that the closed forms' statistics hold sample by sample.
  const length = 2 ** 21;
  const random = createRandom(21);
  const x = zeros(length);
  for (let n = 0; n < length; n++) {
    x.re[n] = Math.SQRT1_2 * random.normal();
    x.im[n] = Math.SQRT1_2 * random.normal();
  }
  // A filter of one tap passes everything: one round is a polar clip at the target over the current rms.
  const passAll = { kind: 'taps', taps: { re: Float64Array.of(1), im: Float64Array.of(0) }, delaySamples: 0 } as const;

  // Source: reference checks PR-08 and GA-04: peak over mean g/(1 − e^−g); EVM √(D/P)/α. The mean of 2^21 clipped
  // powers scatters by 7e-4 relative (0.003 dB): 0.01 dB; the rarer clipped samples of 8 dB spread the EVM by 1.2 %.
  test.each([
    [4, 4.367388742, 9.814056986],
    [5, 5.187837632, 6.670074009],
    [6, 6.081829879, 4.1272212],
    [7, 7.029013872, 2.274280807],
    [8, 8.007906179, 1.087101043],
  ])('clipped at %f dB: %f dB and %f %%', (clipDb, expectedDb, expectedEvmPercent) => {
    const g = 10 ** (clipDb / 10);
    expect(10 * Math.log10(g / (1 - Math.exp(-g)))).toBeCloseTo(expectedDb, 6);
    const recipe = { targetPaprDb: clipDb, clipBelowTargetDb: 0, overcorrection: 1, roundCount: 1, stopWithinDb: null };
    const { signal } = clipAndFilter(x, passAll, recipe);
    expect(Math.abs(powerRatioToDb(peakPower(signal) / meanPower(signal)) - expectedDb)).toBeLessThan(0.01);
    const gain = leastSquaresGain(x, signal);
    const powerGain = gain.re * gain.re + gain.im * gain.im;
    const evmPercent = 100 * Math.sqrt(meanPower(signal) / (powerGain * meanPower(x)) - 1);
    expect(Math.abs(evmPercent / expectedEvmPercent - 1)).toBeLessThan(0.03);
    // Clip probability e^−g: binomial scatter, four standard deviations.
    const share = ccdf(x, [clipDb])[0];
    expect(Math.abs(share / Math.exp(-g) - 1)).toBeLessThan(4 / Math.sqrt(length * Math.exp(-g)));
  });
});

/** Park and Miller 1988: the generator that crestFactorReduction.golden.py draws from. */
function drawnAlike(seed: number, count: number): ComplexSignal {
  const out = zeros(count);
  let state = seed;
  const level = () => {
    state = (state * 16807) % 2147483647;
    return (2 * Math.floor((state * 8) / 2147483647) - 7) / Math.sqrt(42);
  };
  for (let i = 0; i < count; i++) {
    out.re[i] = level();
    out.im[i] = level();
  }
  return out;
}

/** The given values on neighbouring bins about DC. */
function onBins(values: ComplexSignal, length: number): { x: ComplexSignal; kept: Uint8Array } {
  const count = values.re.length;
  const bins = zeros(length);
  const kept = new Uint8Array(length);
  for (let i = 0; i < count; i++) {
    const at = (i - (count - 1) / 2 + length) % length;
    bins.re[at] = values.re[i];
    bins.im[at] = values.im[i];
    kept[at] = 1;
  }
  return { x: inverseFft(bins), kept };
}

function expectSamples(signal: ComplexSignal, samples: readonly number[][]): void {
  // Rounding of a dozen rounds of transforms.
  for (const [n, re, im] of samples) {
    expect(signal.re[n]).toBeCloseTo(re, 10);
    expect(signal.im[n]).toBeCloseTo(im, 10);
  }
}

describe('against numpy on the same symbols (crestFactorReduction.golden.py)', () => {
  test.each(golden.exactBins)('exact bins to $targetDb dB', ({ targetDb, rounds, peakDb, samples }) => {
    const { x, kept } = onBins(drawnAlike(2024, 8001), 65536);
    const { signal, roundsUsed } = clipAndFilter(x, { kind: 'occupiedBins', kept }, exactBinRecipe(targetDb));
    expect(roundsUsed).toBe(rounds);
    expect(crestFactorDb(signal)).toBeCloseTo(peakDb, 8);
    expectSamples(signal, samples);
  });

  test.each(golden.bench)('reference bench to $targetDb dB, with its EVM', ({ targetDb, evmPercent, ...expected }) => {
    const resolved = resolve({ ...bench, symbolCount: 12 });
    const { geometry } = resolved.carriers[0];
    if (geometry.ofdm === null) throw new Error('the bench carries symbols');
    const data = drawnAlike(77, 12 * 600);
    const taps = kaiserLowpass({ tapCount: 513, cutoffRatio: 4.8 / 122.88, beta: 9 });
    const filter = { kind: 'taps', taps: { re: taps, im: new Float64Array(513) }, delaySamples: 256 } as const;
    const x = filterPeriodic(modulate(geometry.ofdm, data, 0), filter.taps, 256);
    const recipe = {
      targetPaprDb: targetDb,
      clipBelowTargetDb: 0,
      overcorrection: 1.15,
      roundCount: 12,
      stopWithinDb: null,
    };
    const { signal } = clipAndFilter(x, filter, recipe);
    expectSamples(signal, expected.samples);
    expect(crestFactorDb(signal)).toBeCloseTo(expected.peakDb, 8);
    expect(paprAtProbability(signal, 1e-3)).toBeCloseTo(expected.paprAtThousandthDb, 8);
    const waveform = {
      signal,
      beforeReduction: x,
      sampleRateHz: 122.88e6,
      carriers: [geometry],
      data: [data],
      burst: null,
    };
    for (const equalizer of ['none', 'oneGain', 'perSubcarrier'] as const) {
      const { reading } = measureEvm({ output: signal, waveform, carrierIndex: 0, equalizer, reference: 'data' });
      expect(reading.rmsPercent).toBeCloseTo(evmPercent[equalizer], 8);
    }
  });
});

describe('the exact-bin recipe', () => {
  // Source: reference check LI-09: 262144 samples, 32001 bins of 64QAM; EVM spent in one record there 7.265, 4.198 and
  // 2.349 %, 12 to 14 rounds. Eight records in numpy scatter by 0.15, 0.20 and 0.24 (sd): three of them.
  test.each([
    [6, 7.26468613, 0.15],
    [7, 4.198244787, 0.2],
    [8, 2.349404707, 0.24],
  ])('reaches %f dB and spends %f ± 3 · %f %% (LI-09)', (targetDb, expectedEvmPercent, deviation) => {
    const random = createRandom(4);
    const points = constellation('64QAM');
    const values = zeros(32001);
    for (let i = 0; i < 32001; i++) {
      const word = random.integer(64);
      values.re[i] = points.re[word];
      values.im[i] = points.im[word];
    }
    const { x, kept } = onBins(values, 2 ** 18);
    const { signal, roundsUsed } = clipAndFilter(x, { kind: 'occupiedBins', kept }, exactBinRecipe(targetDb));
    expect(crestFactorDb(signal)).toBeLessThanOrEqual(targetDb + 0.02);
    expect(roundsUsed).toBeLessThan(20);
    const gain = leastSquaresGain(x, signal);
    const powerGain = gain.re * gain.re + gain.im * gain.im;
    const evmPercent = 100 * Math.sqrt(meanPower(signal) / (powerGain * meanPower(x)) - 1);
    expect(Math.abs(evmPercent - expectedEvmPercent)).toBeLessThan(3 * deviation);
  });
});
