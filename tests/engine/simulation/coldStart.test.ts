// A burst after a silence. Its figures against an independent program are tested with the study that averages them
// (tests/engine/study/burst.test.ts).
import { expect, test } from 'vitest';
import { coldStart as preset } from '../../../shared/presets/coldStart.ts';
import { quarryLink } from '../../../shared/presets/quarryLink.ts';
import { type ColdStart, coldStart } from '../../../src/engine/simulation/coldStart.ts';
import { runScenario } from '../../../src/engine/simulation/runScenario.ts';

/** A short burst: what is tested here shows in its first symbols. */
const scenario = { ...preset, waveform: { ...preset.waveform, symbolCount: 6 } };

function started(input: unknown, silencesS: readonly number[]): ColdStart {
  const outcome = coldStart(input, silencesS);
  if (outcome.kind === 'invalid') expect.fail(JSON.stringify(outcome.issues));
  return outcome.coldStart;
}

test('the states settle with the predistorted drive: after no silence the burst is the warm one', () => {
  const { warm, bursts } = started(scenario, [0]);
  expect(bursts[0].netPercent).toEqual(warm.netPercent);
  expect(warm.droopDb).toBeCloseTo(0, 12);
});

test('without correction the droop is there as well', () => {
  const { isCorrected, bursts } = started({ ...preset, predistorter: null }, [50e-3]);
  expect(isCorrected).toBe(false);
  expect(bursts[0].droopDb).toBeGreaterThan(0.4);
});

test('what cannot be read is refused, all at once', () => {
  const tones = { kind: 'multitone', toneCount: 4, toneSpacingHz: 1e5 };
  const faulty = {
    ...scenario,
    waveform: {
      carriers: [tones],
      sampleRateHz: 122.88e6,
      sampleCount: 16384,
      burst: { periodS: 1e-4, dutyRatio: 0.5 },
    },
    amplifier: quarryLink.amplifier,
    limits: [],
  };
  const outcome = coldStart(faulty, [-1]);
  const paths = outcome.kind === 'invalid' ? outcome.issues.map((issue) => issue.path) : [];
  expect(paths).toEqual(['amplifier.slowStates', 'waveform.carriers.0', 'waveform.burst', 'silencesS.0']);
});

// Source: requirement: a run repeats its record, so that a cold first burst does not show in it.
test('a run says that its figures are of settled states, and of which', () => {
  const warned = (over: object) => {
    const outcome = runScenario({ ...scenario, predistorter: null, ...over });
    if (outcome.kind !== 'report') expect.fail(JSON.stringify(outcome));
    return outcome.report.warnings.filter(({ code }) => code === 'slow-states-settled').map(({ message }) => message);
  };
  expect(warned({})).toEqual([expect.stringMatching(/heat \(400\sµs\) and traps \(3\sms to empty\).*the burst study/)]);
  const heat = { ...preset.amplifier.slowStates, trapDepthRatio: 0 };
  expect(warned({ amplifier: { ...preset.amplifier, slowStates: heat } })[0]).not.toContain('traps');
  expect(warned({ amplifier: { ...preset.amplifier, slowStates: null } })).toEqual([]);
});
