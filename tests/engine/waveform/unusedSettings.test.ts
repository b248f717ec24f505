// Settings that contradict each other or that nothing takes up are told, never dropped in silence.
import { describe, expect, test } from 'vitest';
import { checkScenario } from '../../../src/engine/simulation/checkScenario.ts';
import { runScenario } from '../../../src/engine/simulation/runScenario.ts';
import { plainKnee } from '../amplifier/settings.ts';

const scenario = (waveform: Record<string, unknown>, measurement: Record<string, unknown> = {}) => ({
  waveform: { sampleCount: 16384, ...waveform },
  amplifier: { model: plainKnee, saturatedPowerDbm: 40 },
  operatingPoint: { outputBackoffDb: 10 },
  predistorter: null,
  measurement,
});
const single = (rest: Record<string, unknown>) => ({
  carriers: [{ kind: 'singleCarrier', symbolRateHz: 3.84e6, ...rest }],
});
const notes = (waveform: Record<string, unknown>) => {
  const outcome = checkScenario(scenario(waveform));
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.setup.warnings.filter(({ code }) => code === 'setting-without-effect').map(({ message }) => message);
};

describe('rings of APSK', () => {
  // EN 302 307-1 names the radii R1 < R2 < R3.
  test.each([
    [{ ringRatio: 3, outerRingRatio: 2 }, 1],
    [{ ringRatio: 5 }, 1],
    [{ ringRatio: 2.84, outerRingRatio: 5.27 }, 0],
    [{}, 0],
  ])('32APSK with %j: %d faults', (rings, count) => {
    const outcome = checkScenario(scenario(single({ modulation: '32APSK', ...rings })));
    const paths = outcome.kind === 'invalid' ? outcome.issues.map(({ path }) => path) : [];
    expect(paths).toEqual(count === 0 ? [] : ['waveform.carriers.0.outerRingRatio']);
  });

  test('a ratio without rings is told', () => {
    expect(notes(single({ modulation: 'QPSK', ringRatio: 3 }))).toEqual([
      'Nothing changes by a ring ratio of 3 of carrier 1, whose QPSK has no rings.',
    ]);
    expect(notes(single({ modulation: '16APSK', ringRatio: 3, outerRingRatio: 5 }))).toEqual([
      'Nothing changes by an outer ring ratio of 5 of carrier 1, whose 16APSK has 2 rings.',
    ]);
    expect(notes(single({ modulation: '32APSK', ringRatio: 2.84, outerRingRatio: 5.27 }))).toEqual([]);
  });
});

test('a symbol overlap needs OFDM', () => {
  const spectralEdge = { kind: 'symbolOverlap', overlapS: 1e-6 };
  expect(notes({ ...single({}), spectralEdge })[0]).toContain('since no carrier is OFDM');
  expect(notes({ carriers: [{ kind: 'ofdm', channelBandwidthHz: 5e6 }], symbolCount: 4, spectralEdge })).toEqual([]);
});

describe('a resolution bandwidth', () => {
  const told = (spectrum: Record<string, unknown>) => {
    const outcome = runScenario(scenario(single({}), { spectrum }));
    if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
    return outcome.report.warnings.some(({ code }) => code === 'resolution-not-reached');
  };

  test.each([
    [{ resolutionBandwidthHz: 1 }, true],
    [{ resolutionBandwidthHz: 1e5, method: 'wholeRecord' }, true],
    [{ resolutionBandwidthHz: 30e3 }, false],
    [{ resolutionBandwidthHz: 100e3 }, false],
    [{}, false],
  ])('%j: told %s', (spectrum, expected) => {
    expect(told(spectrum)).toBe(expected);
  });
});
