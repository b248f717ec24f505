// Conditions under which a run's figures are printed: what a reader needs to repeat them.
import { describe, expect, test } from 'vitest';
import { runTable } from '../../shared/reports/runTable.ts';
import type { Report } from '../../shared/schema/report.ts';
import { runScenario } from '../../src/engine/simulation/runScenario.ts';

const ofdm = { kind: 'ofdm', channelBandwidthHz: 5e6 };

function run(waveform: Record<string, unknown>, rest: Record<string, unknown> = {}): Report {
  const outcome = runScenario({
    waveform: { carriers: [ofdm], symbolCount: 12, ...waveform },
    amplifier: {
      model: {
        kind: 'memoryPolynomial',
        nonlinearOrders: [1, 3],
        memoryDepth: 1,
        coefficients: [{ re: 1 }, { re: -0.05 }],
        driveRange: 2,
      },
      saturatedPowerDbm: 45,
    },
    operatingPoint: { outputBackoffDb: 12 },
    predistorter: null,
    ...rest,
  });
  if (outcome.kind === 'invalid') throw new Error(JSON.stringify(outcome.issues));
  return outcome.report;
}

const notesOf = (report: Report) => runTable(report).notes.join('\n').replaceAll('\u2009', ' ');

describe('conditions under the figures', () => {
  // Source: architecture: EVM always with its equalizer and symbol count; √(1 − 1/12) = 95.7 % (pitfall P15).
  test('EVM tells its window and what its equalizer hides', () => {
    expect(notesOf(run({}))).toContain(
      'EVM: equalizer per subcarrier, 12 symbols, window in the middle of the prefix, against the data before crest-factor reduction; the equalizer shows 95.7 % of the true EVM.',
    );
  });

  test('only carriers with symbols are counted', () => {
    const tones = { kind: 'multitone', toneCount: 4, toneSpacingHz: 1e5, offsetHz: 6e6 };
    const notes = notesOf(run({ carriers: [ofdm, { ...ofdm, offsetHz: -6e6 }, tones] }));
    expect(notes).toContain('; worst of 2 carriers with symbols.');
  });

  test('bursts: powers are those while on, for how much of the time; a crest factor that is not read is told', () => {
    const report = run({ burst: { periodS: 2e-4, dutyRatio: 0.4 } });
    const notes = notesOf(report);
    expect(report.waveform.activeRatio).toBeLessThan(0.41);
    expect(notes).toMatch(/powers, spectra, PAPR and efficiency are those while on, (39|40)\.\d % of the time\./);
    expect(notes).toContain('too short to read it at 10⁻⁴.');
    expect(notesOf(run({}))).not.toContain('while on');
  });

  test('an answer tells two missed channels apart', () => {
    const channels = [5e6, 5.5e6].map((offsetHz) => ({ offsetHz, bandwidthHz: 4e6 }));
    const limits = ['adjacent', 'alternate'].map((channel) => ({ reading: 'aclr', channel, requiredDb: 90 }));
    const { answer } = run({}, { measurement: { channels }, limits });
    expect(answer).toMatch(/misses ACLR adjacent by [\d.]+ dB and ACLR alternate by [\d.]+ dB\.$/);
  });
});
