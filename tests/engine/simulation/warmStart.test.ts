// Learning that goes on from stored coefficients, on Quarry Link with few symbols. What a warm start must give has no
// source but itself: never less than the stored set, about what learning anew gives, and sooner where the set is near.
import { describe, expect, it, test } from 'vitest';
import { quarryLink } from '../../../shared/presets/quarryLink.ts';
import type { Report } from '../../../shared/schema/report.ts';
import type { StoredPredistorter } from '../../../shared/schema/scenario.ts';
import { storedOf } from '../../../shared/schema/storedPredistorter.ts';
import { createRunMemory } from '../../../src/engine/simulation/runMemory.ts';
import { runWithFaults } from '../../../src/engine/simulation/runScenario.ts';

const memory = createRunMemory();

interface Change {
  readonly outputBackoffDb: number;
  readonly learning?: Record<string, unknown>;
  readonly stored?: StoredPredistorter;
  readonly changed?: Record<string, unknown>;
}

function run({ outputBackoffDb, learning, stored, changed }: Change): Report {
  const scenario = {
    ...quarryLink,
    waveform: { ...quarryLink.waveform, symbolCount: 4 },
    operatingPoint: { outputBackoffDb },
    predistorter: {
      nonlinearOrders: [1, 3, 5, 7],
      memoryDepth: 3,
      learning: { passCount: 3, bestDrivePassCount: 0, ...learning },
      stored: stored ?? null,
    },
    ...changed,
  };
  const outcome = runWithFaults(scenario, { memory }, {});
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.report;
}

const aclr = ({ corrected }: Report) => Math.min(...(corrected?.aclr ?? []).slice(0, 2).map(({ aclrDb }) => aclrDb));
const codes = ({ warnings }: Report) => warnings.map(({ code }) => code);

const learnedAt9 = storedOf(run({ outputBackoffDb: 9 })) as StoredPredistorter;
const warmOne = { ...learnedAt9, passCount: 1 };

describe('a set learned at 9 dB output back-off', () => {
  it('at 8 dB no indirect pass beats it: it is kept, and the report says so', () => {
    const frozen = run({ outputBackoffDb: 8, stored: learnedAt9 });
    const warm = run({ outputBackoffDb: 8, stored: warmOne });
    expect(aclr(warm)).toBe(aclr(frozen));
    // Three passes begun anew end lower still: what is held at the ceiling spoils the fit.
    expect(aclr(warm)).toBeGreaterThan(aclr(run({ outputBackoffDb: 8 })) - 1);
    expect(frozen.learning).toBeNull();
    expect(warm.learning).toMatchObject({ chosenPass: null, passes: [{}] });
    expect(warm.learning?.rejectedBecause).toMatch(/with the stored coefficients, which are kept$/);
    expect(warm.correctionUsed).toBe(true);
    expect(warm.predistorter?.stored).toEqual(frozen.predistorter?.stored);
    expect(codes(warm)).toContain('stored-elsewhere');
    expect(codes(warm)).not.toContain('correction-rejected');
  });

  it.each(['drive', 'analogueGain'] as const)(
    'at 15 dB, power set by %s, one warm pass is as good as anew',
    (levelBy) => {
      const frozen = run({ outputBackoffDb: 15, stored: { ...learnedAt9, levelBy } });
      const warm = run({ outputBackoffDb: 15, stored: { ...warmOne, levelBy } });
      const retrained = run({ outputBackoffDb: 15 });
      // 58.5 or 29.7 frozen, 72.7 or 71.8 warm, 72.7 anew.
      expect(aclr(warm)).toBeGreaterThan(aclr(frozen) + 10);
      expect(Math.abs(aclr(warm) - aclr(retrained))).toBeLessThan(1);
      expect(warm.learning).toMatchObject({ chosenPass: 0, rejectedBecause: null, passes: [{}] });
      // What is sent was learned here: kept, it is a set for this power.
      expect(warm.predistorter?.stored).toBeNull();
      expect(warm.predistorter?.learnedFor).toContain('output back-off 15.0 dB');
      expect(codes(warm)).not.toContain('stored-elsewhere');
      const again = run({ outputBackoffDb: 15, stored: storedOf(warm) as StoredPredistorter });
      expect(aclr(again)).toBeCloseTo(aclr(warm), 1);
    },
  );

  it('direct learning, which creeps, gains most: one warm pass beats three begun anew', () => {
    const learning = { method: 'direct' };
    const frozen = run({ outputBackoffDb: 15, stored: learnedAt9 });
    const warm = run({ outputBackoffDb: 15, learning, stored: warmOne });
    expect(aclr(warm)).toBeGreaterThan(aclr(frozen) + 3);
    expect(aclr(warm)).toBeGreaterThan(aclr(run({ outputBackoffDb: 15, learning })) + 1);
  });
});

// The hand-out does not give the distance of its tones, and the figure hangs on it. Here, at the same back-off: 18 dB with
// 1 MHz between the tones, 33 with 2, 39 with 4.5, 43 with 6, 38 with 9 (where no pass helped the tones themselves).
test('trained on two tones 4.5 MHz apart, used on the 10 MHz carrier (P8): −36 to −37.6 within 1.5 dB', () => {
  const carriers = [{ kind: 'twoTone', toneSpacingHz: 4.5e6, channelBandwidthHz: 10e6 }];
  const waveform = { ...quarryLink.waveform, carriers, spectralEdge: { kind: 'none' }, crestFactorReduction: null };
  const tones = run({ outputBackoffDb: 9, changed: { waveform, limits: [] } });
  expect(tones.correctionUsed).toBe(true);
  const used = run({ outputBackoffDb: 9, stored: storedOf(tones) as StoredPredistorter });
  expect(aclr(used)).toBeGreaterThan(36 - 1.5);
  expect(aclr(used)).toBeLessThan(37.6 + 1.5);
  expect(codes(used)).toContain('stored-elsewhere');
  // One pass on the carrier's own signal makes up most of what is missing to the 52 of P8.
  const warm = run({ outputBackoffDb: 9, stored: { ...(storedOf(tones) as StoredPredistorter), passCount: 1 } });
  expect(aclr(warm)).toBeGreaterThan(52 - (52 - aclr(used)) / 2);
});
