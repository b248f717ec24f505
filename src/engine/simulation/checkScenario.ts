// From unknown input to everything a run needs, or to the list of all faults: shape, ranges, and what must fit together.
import { type Issue, printValue, type Warning } from '../../../shared/schema/issue.ts';
import { parseScenario, parseSoundSections, type SoundSections } from '../../../shared/schema/parse.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import { type AmplifierModel, createAmplifier } from '../amplifier/model.ts';
import { wantedOutputBackoffDb } from '../amplifier/operatingPoint.ts';
import { isPowerOfTwo } from '../dsp/fft.ts';
import { isInsideAxis } from '../dsp/spectrum.ts';
import { type AclrChannel, channelCentreHz, standardChannels } from '../measurement/aclr.ts';
import { resolveWaveform } from '../waveform/resolve.ts';
import type { ResolvedWaveform } from '../waveform/resolvedWaveform.ts';
import { structureOf } from './structure.ts';

/** A checked scenario with the things it names. */
export interface Setup {
  /** Nothing left "auto". */
  readonly scenario: Scenario;
  readonly waveform: ResolvedWaveform;
  readonly amplifier: AmplifierModel;
  readonly outputBackoffDb: number;
  readonly channels: readonly AclrChannel[];
  readonly warnings: readonly Warning[];
}

export type CheckOutcome =
  | {
      readonly kind: 'resolved';
      readonly scenario: Scenario;
      readonly warnings: readonly Warning[];
      readonly setup: Setup;
    }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

/** Least output back-off that can be asked for: a mean power at saturation leaves no room for any envelope. */
const LEAST_BACKOFF_DB = 0.05;

/** Checks a scenario completely without running it. Faults of all sections are listed together. */
export function checkScenario(input: unknown): CheckOutcome {
  const parsed = parseScenario(input);
  const issues: Issue[] = parsed.kind === 'invalid' ? [...parsed.issues] : [];
  const sections: SoundSections = parsed.kind === 'scenario' ? parsed.scenario : parseSoundSections(input);
  const resolution = sections.waveform === null ? null : resolveWaveform(sections.waveform);
  if (resolution?.kind === 'invalid') issues.push(...resolution.issues);
  const waveform = resolution?.kind === 'resolved' ? resolution.waveform : null;
  const amplifier =
    sections.amplifier !== null && waveform !== null ? amplifierOf(sections.amplifier, waveform, issues) : null;
  const backoff = backoffOf(sections, issues);
  if (waveform !== null) checkLengths(sections, waveform, issues);
  if (parsed.kind === 'scenario' && waveform !== null) checkLimits(parsed.scenario, waveform, issues);
  if (parsed.kind !== 'scenario' || waveform === null || amplifier === null || backoff === null || issues.length > 0) {
    return { kind: 'invalid', issues };
  }
  const channels = channelsOf(parsed.scenario, waveform);
  const scenario: Scenario = {
    ...parsed.scenario,
    waveform: waveform.resolvedSettings,
    measurement: {
      ...parsed.scenario.measurement,
      channels: channels.map(({ offsetHz, bandwidthHz }) => ({ offsetHz, bandwidthHz })),
    },
  };
  const notes = resolution?.kind === 'resolved' ? resolution.notes : [];
  const warnings = [...notes, ...modelWarnings(amplifier, scenario)];
  const setup = { scenario, waveform, amplifier, outputBackoffDb: backoff, channels, warnings };
  return { kind: 'resolved', scenario, warnings, setup };
}

function amplifierOf(
  settings: Scenario['amplifier'],
  waveform: ResolvedWaveform,
  issues: Issue[],
): AmplifierModel | null {
  const edges = waveform.carriers.map(({ geometry }) => [
    geometry.offsetHz - geometry.occupiedBandwidthHz / 2,
    geometry.offsetHz + geometry.occupiedBandwidthHz / 2,
  ]);
  const occupiedSpanHz = Math.max(...edges.map((edge) => edge[1])) - Math.min(...edges.map((edge) => edge[0]));
  const { sampleRateHz, sampleCount, symbolCount } = waveform;
  const outcome = createAmplifier(settings.model, { sampleRateHz, sampleCount, symbolCount, occupiedSpanHz });
  if (outcome.kind === 'amplifier') return outcome.model;
  issues.push(...outcome.issues);
  return null;
}

function backoffOf(sections: SoundSections, issues: Issue[]): number | null {
  if (sections.operatingPoint === null || sections.amplifier === null) return null;
  const wanted = wantedOutputBackoffDb(sections.operatingPoint, sections.amplifier);
  if (typeof wanted !== 'number') {
    issues.push(...wanted);
    return null;
  }
  if (wanted >= LEAST_BACKOFF_DB) return wanted;
  issues.push({
    path: 'operatingPoint',
    rule: `must ask for a mean power at least ${LEAST_BACKOFF_DB} dB below saturated power`,
    value: `${printValue(sections.operatingPoint)} (output back-off ${wanted.toFixed(2)} dB)`,
    remedy: 'lower the power or raise amplifier.saturatedPowerDbm',
  });
  return null;
}

function checkLengths(sections: SoundSections, waveform: ResolvedWaveform, issues: Issue[]): void {
  const { sampleCount } = waveform;
  const { measurement, predistorter } = sections;
  const segment = measurement?.spectrum.segmentLength;
  if (segment !== undefined && measurement?.spectrum.method === 'segments') {
    const path = 'measurement.spectrum.segmentLength';
    if (!isPowerOfTwo(segment)) {
      issues.push({
        path,
        rule: 'must be a power of two',
        value: String(segment),
        remedy: 'use 8192 or a neighbouring power of two',
      });
    } else if (segment > sampleCount) {
      const rule = `must not exceed the record of ${sampleCount} samples`;
      issues.push({ path, rule, value: String(segment), remedy: 'shorten the segments or lengthen the record' });
    }
  }
  if (!predistorter) return;
  const termCount = structureOf(predistorter).terms.length;
  const training = predistorter.learning.trainingSampleCount;
  if (predistorter.memoryDepth > sampleCount) {
    const rule = `must not exceed the record of ${sampleCount} samples`;
    issues.push({
      path: 'predistorter.memoryDepth',
      rule,
      value: String(predistorter.memoryDepth),
      remedy: 'shorten the memory or lengthen the record',
    });
  }
  if (training === 'all') return;
  const path = 'predistorter.learning.trainingSampleCount';
  if (training > sampleCount) {
    const rule = `must not exceed the record of ${sampleCount} samples`;
    issues.push({ path, rule, value: String(training), remedy: 'write "all" or lengthen the record' });
  } else if (training < 2 * termCount) {
    const rule = `must be at least twice the ${termCount} coefficients`;
    issues.push({
      path,
      rule,
      value: String(training),
      remedy: `use ${40 * termCount} samples or more, or fewer orders and taps`,
    });
  }
}

/** A limit on a channel that the sample rate does not hold can have no verdict. */
function checkLimits(scenario: Scenario, waveform: ResolvedWaveform, issues: Issue[]): void {
  const geometries = waveform.carriers.map((carrier) => carrier.geometry);
  const channels = channelsOf(scenario, waveform);
  scenario.limits.forEach((limit, i) => {
    if (limit.reading === 'evm') {
      if (geometries.every((geometry) => geometry.ofdm === null)) {
        const remedy = 'remove the EVM limit or use an OFDM carrier';
        issues.push({
          path: `limits.${i}`,
          rule: 'needs a carrier with symbols',
          value: 'noise carriers only',
          remedy,
        });
      }
      return;
    }
    for (const channel of channels) {
      if (limit.channel !== 'all' && limit.channel !== channel.name) continue;
      const reach = Math.max(
        ...(['lower', 'upper'] as const).map(
          (side) => Math.abs(channelCentreHz(geometries, channel, side)) + channel.bandwidthHz / 2,
        ),
      );
      if (isInsideAxis(waveform.sampleRateHz, reach, 0)) continue;
      issues.push({
        path: 'waveform.sampleRateHz',
        rule: `must be at least ${((2 * reach) / 1e6).toFixed(2)} MHz for the ${channel.name} channel that limits.${i} judges: it ends ${(reach / 1e6).toFixed(2)} MHz from the centre`,
        value: `${(waveform.sampleRateHz / 1e6).toFixed(2)} MHz`,
        remedy: 'raise the sample rate or write "auto"',
      });
    }
  });
}

function channelsOf(scenario: Scenario, waveform: ResolvedWaveform): AclrChannel[] {
  const { channels } = scenario.measurement;
  if (channels === 'auto') return standardChannels(waveform.carriers.map((carrier) => carrier.geometry));
  const names = ['adjacent', 'alternate', 'third', 'fourth', 'fifth', 'sixth'];
  return channels.map((channel, i) => ({ name: names[i] ?? `channel ${i + 1}`, ...channel }));
}

function modelWarnings(amplifier: AmplifierModel, scenario: Scenario): Warning[] {
  const warnings: Warning[] = [];
  if (!amplifier.guarded) {
    const message =
      'The amplifier polynomial runs without a drive range: beyond the drive it was fitted for its output grows without limit. State its driveRange.';
    warnings.push({ code: 'model-unguarded', message });
  }
  if (scenario.amplifier.saturatedPowerDbm === null) {
    const message =
      'The saturated power is not known: powers in dBm and W are left out. Give amplifier.saturatedPowerDbm.';
    warnings.push({ code: 'power-scale-unknown', message });
  }
  return warnings;
}
