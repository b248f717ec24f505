// From unknown input to everything a run needs, or to the list of all faults: shape, ranges, and what must fit together.
import { type Issue, printValue, type Warning } from '../../../shared/schema/issue.ts';
import {
  parseScenario,
  parseSoundCarriers,
  parseSoundSections,
  type SoundSections,
} from '../../../shared/schema/parse.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import { pointsScaleWarning } from '../amplifier/envelopePoints.ts';
import { type AmplifierModel, createAmplifier } from '../amplifier/model.ts';
import { unstatedRateWarning } from '../amplifier/modelRate.ts';
import { wantedOutputBackoffDb } from '../amplifier/operatingPoint.ts';
import { resolvedPowerSettings } from '../amplifier/powerDefaults.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { isPowerOfTwo } from '../dsp/fft.ts';
import { segmentLengthFor } from '../dsp/spectrum.ts';
import { NO_RECORDS, type RecordStore } from '../dsp/waveformTypes.ts';
import type { AclrChannel } from '../measurement/aclr.ts';
import { checkCarriers, resolveWaveform } from '../waveform/resolve.ts';
import type { ResolvedWaveform } from '../waveform/resolvedWaveform.ts';
import { channelIssues, channelNotes, chooseChannels, resolvedChannels } from './channelPlan.ts';
import { limitIssues } from './checkLimits.ts';
import { ceilingIssues, predistorterIssues } from './checkPredistorter.ts';
import { maskNotes } from './maskPlan.ts';
import {
  atPointOfChannel,
  overBandIssues,
  overBandNotes,
  scenarioAtChannel,
  sectionsAtChannel,
} from './overBandSetup.ts';
import { recordSeedIssues, recordSeedWarnings } from './recordSeeds.ts';
import { slotIssues } from './slotPlan.ts';
import { storedIssues } from './storedPredistorter.ts';
import { regressorsOf } from './structure.ts';
import { behindTransmitter } from './transmitter.ts';

/** A checked scenario with the things it names. */
export interface Setup {
  /** Nothing left "auto"; the amplifier's model, gain and saturated power are those of its channel. */
  readonly scenario: Scenario;
  /** The same with the amplifier over its band as it was stated: what a report repeats. */
  readonly statedScenario: Scenario;
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

/**
 * Checks a scenario completely without running it. Faults of all sections are listed together. `records` holds what
 * carriers of kind "record" name.
 */
export function checkScenario(input: unknown, records: RecordStore = NO_RECORDS): CheckOutcome {
  const parsed = parseScenario(input);
  const issues: Issue[] = parsed.kind === 'invalid' ? [...parsed.issues] : [];
  const stated: SoundSections = parsed.kind === 'scenario' ? parsed.scenario : parseSoundSections(input);
  const sections = sectionsAtChannel(stated, issues);
  const resolution = sections.waveform === null ? null : resolveWaveform(sections.waveform, records);
  if (resolution?.kind === 'invalid') issues.push(...resolution.issues);
  if (sections.waveform === null) issues.push(...checkCarriers(parseSoundCarriers(input), records));
  if (parsed.kind === 'scenario') issues.push(...recordSeedIssues(parsed.scenario));
  const waveform = resolution?.kind === 'resolved' ? resolution.waveform : null;
  const amplifier = waveform === null ? null : amplifierOf(stated.amplifier, sections.amplifier, waveform, issues);
  const backoff = backoffOf(sections, issues);
  if (waveform !== null) checkLengths(sections, waveform, issues);
  if (sections.predistorter && backoff !== null && amplifier !== null) {
    const { re, im } = amplifier.smallSignalGain;
    issues.push(...ceilingIssues(sections.predistorter, backoff, Math.sqrt(re * re + im * im)));
  }
  checkNoise(sections, issues);
  const channels = sections.measurement && waveform ? chooseChannels(sections.measurement.channels, waveform) : null;
  if (sections.measurement && waveform) issues.push(...channelIssues(sections.measurement.channels, waveform));
  if (sections.measurement && waveform) issues.push(...slotIssues(sections.measurement.slots, waveform));
  if (parsed.kind === 'scenario' && waveform && channels) {
    issues.push(...limitIssues(parsed.scenario, waveform, channels));
  }
  if (parsed.kind !== 'scenario' || waveform === null || amplifier === null || backoff === null || channels === null) {
    return { kind: 'invalid', issues };
  }
  if (issues.length > 0) return { kind: 'invalid', issues };
  const statedScenario: Scenario = {
    ...parsed.scenario,
    waveform: waveform.resolvedSettings,
    amplifier: { ...parsed.scenario.amplifier, power: resolvedPowerSettings(parsed.scenario.amplifier) },
    measurement: {
      ...parsed.scenario.measurement,
      spectrum: resolvedSpectrum(parsed.scenario.measurement.spectrum, waveform),
      channels: resolvedChannels(parsed.scenario.measurement.channels, channels),
    },
  };
  const scenario = scenarioAtChannel(statedScenario);
  const notes = [
    ...(resolution?.kind === 'resolved' ? resolution.notes : []),
    ...recordSeedWarnings(scenario),
    ...channelNotes(parsed.scenario.measurement.channels, waveform),
    ...maskNotes(parsed.scenario.limits, parsed.scenario.measurement.spectrum, waveform),
  ];
  const warnings = [
    ...notes,
    ...modelWarnings(amplifier, scenario, waveform.sampleRateHz),
    ...overBandNotes(statedScenario, waveform),
  ];
  const setup = {
    scenario,
    statedScenario,
    waveform,
    amplifier: behindTransmitter(
      amplifier,
      scenario.transmitter,
      waveform.sampleRateHz,
      waveform.burst?.activeRatio ?? 1,
    ),
    outputBackoffDb: backoff,
    channels,
    warnings,
  };
  return { kind: 'resolved', scenario: statedScenario, warnings, setup };
}

/** The amplifier of the channel; faults of the points' models are told with its own. */
function amplifierOf(
  stated: Scenario['amplifier'] | null,
  settings: Scenario['amplifier'] | null,
  waveform: ResolvedWaveform,
  issues: Issue[],
): AmplifierModel | null {
  // The model's band is centred: the farthest edge counts on both sides.
  const farthestEdgeHz = Math.max(
    ...waveform.carriers.map(({ geometry }) => Math.abs(geometry.offsetHz) + geometry.occupiedBandwidthHz / 2),
  );
  const occupiedSpanHz = 2 * farthestEdgeHz;
  const { sampleRateHz, sampleCount, symbolCount } = waveform;
  const record = {
    sampleRateHz,
    sampleCount,
    symbolCount,
    occupiedSpanHz,
  };
  if (stated !== null) issues.push(...overBandIssues(stated, record));
  if (settings === null) return null;
  const { model, saturatedPowerDbm, slowStates, overBand } = settings;
  const outcome = createAmplifier(model, { ...record, saturatedPowerDbm }, slowStates, overBand);
  if (outcome.kind === 'amplifier') return outcome.model;
  issues.push(...outcome.issues.map((issue) => atPointOfChannel(issue, settings)));
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
  if (
    segment !== undefined &&
    measurement?.spectrum.method === 'segments' &&
    measurement.spectrum.resolutionBandwidthHz === 'auto'
  ) {
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
  const faults = predistorterIssues(predistorter, sampleCount);
  issues.push(...faults);
  if (faults.length === 0) {
    issues.push(...storedIssues(predistorter, regressorsOf(predistorter).termCount, waveform));
  }
}

/** With a resolution bandwidth asked for, the segment length whose noise bandwidth is nearest to it. */
function resolvedSpectrum(
  settings: Scenario['measurement']['spectrum'],
  { sampleRateHz, sampleCount }: ResolvedWaveform,
): Scenario['measurement']['spectrum'] {
  const { method, window, resolutionBandwidthHz } = settings;
  if (method !== 'segments' || resolutionBandwidthHz === 'auto') return settings;
  const segmentLength = segmentLengthFor(resolutionBandwidthHz, sampleRateHz, window, sampleCount);
  return { ...settings, segmentLength };
}

function checkNoise({ amplifier, measurement }: SoundSections, issues: Issue[]): void {
  const density = measurement?.noise.transmitterNoiseDbmPerHz ?? null;
  if (density === null || amplifier === null || amplifier.saturatedPowerDbm !== null) return;
  issues.push({
    path: 'measurement.noise.transmitterNoiseDbmPerHz',
    rule: 'needs the amplifier’s saturated power, which is not known',
    value: printValue(density),
    remedy: 'give amplifier.saturatedPowerDbm or write null',
  });
}

/** Further from unit small-signal gain than this, drive amplitudes are no longer in units of the knee. */
const UNIT_GAIN_TOLERANCE_DB = 1.5;

function modelWarnings(amplifier: AmplifierModel, scenario: Scenario, sampleRateHz: number): Warning[] {
  const warnings: Warning[] = [...amplifier.notes];
  if (!amplifier.guarded) {
    const message =
      'The amplifier polynomial runs without a drive range: beyond the drive it was fitted for its output grows without limit. State its driveRange.';
    warnings.push({ code: 'model-unguarded', message });
  }
  const { re, im } = amplifier.smallSignalGain;
  const gainDb = powerRatioToDb(re * re + im * im);
  if (Math.abs(gainDb) > UNIT_GAIN_TOLERANCE_DB) {
    const message = `The model’s small-signal gain is ${gainDb.toFixed(1)} dB instead of about 0 dB: the drive ceiling and the most power tried are off by as much. Scale the input taps.`;
    warnings.push({ code: 'model-gain-not-one', message });
  }
  const unstated = unstatedRateWarning(scenario.amplifier.model, sampleRateHz);
  if (unstated !== null) warnings.push(unstated);
  const pointsScale = pointsScaleWarning(scenario.amplifier);
  if (pointsScale !== null) warnings.push(pointsScale);
  if (scenario.amplifier.saturatedPowerDbm === null) {
    const message =
      'The saturated power is not known: powers in dBm and W are left out. Give amplifier.saturatedPowerDbm.';
    warnings.push({ code: 'power-scale-unknown', message });
  }
  return warnings;
}
