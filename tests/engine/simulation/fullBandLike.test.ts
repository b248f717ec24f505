// The two test-model-like presets: what they send, and that they say what they are not.
import { describe, expect, test } from 'vitest';
import { fullBand64QamLike } from '../../../shared/presets/fullBand64QamLike.ts';
import { fullBand256QamLike } from '../../../shared/presets/fullBand256QamLike.ts';
import { makeWaveform, runScenario } from '../../../src/engine/index.ts';
import { constellation } from '../../../src/engine/waveform/constellation.ts';

describe.each([
  { preset: fullBand64QamLike, modulation: '64QAM', bits: 6, blocks: 51, model: 'TM3.1 ' },
  { preset: fullBand256QamLike, modulation: '256QAM', bits: 8, blocks: 52, model: 'TM3.1a ' },
] as const)('$modulation', ({ preset, modulation, bits, blocks, model }) => {
  // Source: TS 38.141-1 clause 4.9.2.2 (from memory): all resource blocks of one modulation, data bits straight from PN23;
  // control channels and reference signals are left out here.
  test('every subcarrier of the channel carries PN23 bits in the modulation named', () => {
    const outcome = makeWaveform(preset, 'judging');
    if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
    const { carriers, data } = outcome.waveform;
    const [symbols] = data;
    if (!symbols) throw new Error('no data');
    expect(carriers[0].ofdm?.subcarriers.length).toBe(12 * blocks);
    expect(carriers[0].ofdm?.modulation).toBe(modulation);
    const points = constellation(modulation);
    const wordAt = new Map(Array.from(points.re, (re, word) => [`${re},${points.im[word]}`, word]));
    const sent: number[] = [];
    for (let i = 0; i < symbols.re.length; i++) {
      const word = wordAt.get(`${symbols.re[i]},${symbols.im[i]}`) ?? Number.NaN;
      for (let b = bits - 1; b >= 0; b--) sent.push((word >> b) & 1);
    }
    let broken = 0;
    for (let n = 23; n < sent.length; n++) if (sent[n] !== (sent[n - 23] ^ sent[n - 18])) broken++;
    expect(broken).toBe(0);
    expect(sent.includes(1) && sent.includes(0)).toBe(true);
  });

  test('the story names the test model it is like, and what is missing', () => {
    expect(preset.story).toContain(`like NR-FR1-${model}of TS 38.141-1`);
    expect(preset.story).toContain('without its control channels and reference signals');
    expect(preset.title).toMatch(/-like$/);
  });

  // Its own story: within the limits of TS 38.104 with correction, not without.
  test('correction brings it within the limits, without it the adjacent channel is over', () => {
    const outcome = runScenario(preset);
    if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
    const states = outcome.report.verdicts.map(({ of, limit, state }) => `${of} ${limit} ${state}`);
    expect(states).toEqual(expect.arrayContaining(['corrected aclr pass', 'corrected evm pass']));
    expect(states.filter((line) => line.startsWith('corrected'))).toHaveLength(2);
    expect(states).toContain('uncorrected aclr fail');
  });
});
