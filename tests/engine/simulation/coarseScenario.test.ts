// The short record shown while a slider moves must pass wherever the full one does.
import { describe, expect, test } from 'vitest';
import { quarryLink } from '../../../shared/presets/quarryLink.ts';
import { formatIssue } from '../../../shared/schema/issue.ts';
import type { ScenarioInput } from '../../../shared/schema/scenario.ts';
import { type Numerology, numerologies } from '../../../shared/tables/numerologies.ts';
import { publishedAmplifierIds } from '../../../shared/tables/publishedAmplifierIds.ts';
import { checkScenario } from '../../../src/engine/simulation/checkScenario.ts';
import { coarseScenario } from '../../../src/engine/simulation/coarseScenario.ts';

const base: ScenarioInput = {
  waveform: { carriers: [{ kind: 'ofdm', channelBandwidthHz: 10e6 }] },
  amplifier: { model: { kind: 'filterNonlinearityFilter', kneeSharpness: 1 }, saturatedPowerDbm: 40 },
  operatingPoint: { outputBackoffDb: 9 },
};

const carrierOf = ({ standard, channelBandwidthHz, subcarrierSpacingHz }: Numerology) =>
  ({ kind: 'ofdm', standard, channelBandwidthHz, subcarrierSpacingHz }) as const;

function issuesOf(input: unknown): string[] {
  const checked = checkScenario(input);
  return checked.kind === 'invalid' ? checked.issues.map(formatIssue) : [];
}

const lengthOf = (input: unknown) => {
  const checked = checkScenario(input);
  if (checked.kind === 'invalid') throw new Error(checked.issues.map(formatIssue).join('\n'));
  return checked.setup.waveform.sampleCount;
};

test('every row of the tables at the automatic rate', () => {
  for (const row of numerologies) {
    const input = { ...base, waveform: { carriers: [carrierOf(row)] } };
    expect(issuesOf(input)).toEqual([]);
    expect(issuesOf(coarseScenario(input)), JSON.stringify(row)).toEqual([]);
    expect(lengthOf(coarseScenario(input))).toBeLessThan(lengthOf(input) / 4);
  }
});

test('every published amplifier under every row that it takes in full', () => {
  let taken = 0;
  for (const id of publishedAmplifierIds) {
    for (const row of numerologies) {
      for (const symbolCount of [24, 48]) {
        const amplifier = { model: { kind: 'published' as const, id }, saturatedPowerDbm: 40 };
        const input: ScenarioInput = { ...base, amplifier, waveform: { carriers: [carrierOf(row)], symbolCount } };
        if (issuesOf(input).length > 0) continue;
        taken++;
        expect(issuesOf(coarseScenario(input)), `${id} ${JSON.stringify(row)}`).toEqual([]);
      }
    }
  }
  expect(taken).toBeGreaterThan(100);
});

describe('what no longer fits is shortened with the record', () => {
  test('segments and training samples', () => {
    const input: ScenarioInput = {
      ...base,
      waveform: { carriers: [{ kind: 'ofdm', standard: 'lte', channelBandwidthHz: 1.4e6 }] },
      measurement: { spectrum: { window: 'hann' } },
      predistorter: {
        nonlinearOrders: [1, 3],
        memoryDepth: 1,
        learning: { trainingSampleCount: 20_000, passCount: 2 },
      },
    };
    const coarse = coarseScenario(input) as ScenarioInput;
    const samples = lengthOf(coarse);
    expect(samples).toBeLessThan(8192);
    expect(coarse.measurement?.spectrum).toEqual({
      window: 'hann',
      segmentLength: 2 ** Math.floor(Math.log2(samples)),
    });
    expect(coarse.predistorter?.learning).toEqual({ trainingSampleCount: samples, passCount: 2 });
  });

  test('nothing else is touched', () => {
    const coarse = coarseScenario(quarryLink) as ScenarioInput;
    expect(coarse).toEqual({
      ...quarryLink,
      waveform: { ...quarryLink.waveform, symbolCount: 3, sampleCount: 32768 },
    });
  });

  test('the training samples grow the record where twice the coefficients need it', () => {
    const input: ScenarioInput = {
      ...base,
      waveform: { carriers: [{ kind: 'ofdm', standard: 'lte', channelBandwidthHz: 1.4e6 }], symbolCount: 40 },
      predistorter: {
        nonlinearOrders: [1, 3, 5, 7, 9, 11, 13],
        memoryDepth: 64,
        learning: { trainingSampleCount: 5000 },
      },
    };
    expect(issuesOf(input)).toEqual([]);
    expect(issuesOf(coarseScenario(input))).toEqual([]);
  });
});

test('a scenario at fault comes back as it is, so that its own faults are listed', () => {
  for (const input of [null, 7, 'text', [], {}, { ...base, operatingPoint: { outputBackoffDb: -1 } }]) {
    expect(coarseScenario(input)).toBe(input);
  }
  const filtered = { ...base, waveform: { ...base.waveform, sampleRateHz: 1e6 } };
  expect(coarseScenario(filtered)).toBe(filtered);
});
