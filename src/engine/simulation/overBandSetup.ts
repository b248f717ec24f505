// A scenario's amplifier over its band, where a run begins: the amplifier section becomes that of the channel, before
// anything is computed with it. What the user stated stays beside it.
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import { overBandFiguresAt } from '../../../shared/schema/overBand.ts';
import type { SoundSections } from '../../../shared/schema/parse.ts';
import type { AmplifierSettings, Scenario } from '../../../shared/schema/scenario.ts';
import { createAmplifier } from '../amplifier/model.ts';
import type { AmplifierRecord } from '../amplifier/modelRate.ts';
import { amplifierAt, amplifierAtChannel } from '../amplifier/overBand.ts';
import { formatHz } from '../dsp/frequencyText.ts';
import type { ResolvedWaveform } from '../waveform/resolvedWaveform.ts';

/** The amplifier section as it runs, model, gain and saturated power being those of the channel; null with issues. */
export function sectionsAtChannel(sections: SoundSections, issues: Issue[]): SoundSections {
  if (sections.amplifier === null) return sections;
  const outcome = amplifierAtChannel(sections.amplifier);
  if (outcome.kind === 'amplifier') return { ...sections, amplifier: outcome.amplifier };
  issues.push(...outcome.issues);
  return { ...sections, amplifier: null };
}

/** The scenario as it runs, from one that was checked. */
export function scenarioAtChannel(scenario: Scenario): Scenario {
  const outcome = amplifierAtChannel(scenario.amplifier);
  return outcome.kind === 'amplifier' ? { ...scenario, amplifier: outcome.amplifier } : scenario;
}

const MODEL_PATH = /^amplifier\.model\b/;

/** An issue of the model that runs, at the place where the user wrote it. */
export function atPointOfChannel(issue: Issue, { overBand }: AmplifierSettings): Issue {
  if (overBand === null || !MODEL_PATH.test(issue.path)) return issue;
  const nearest = overBand.points.reduce(
    (best, point, i) =>
      Math.abs(point.frequencyHz - overBand.channelHz) <
      Math.abs((overBand.points[best]?.frequencyHz ?? 0) - overBand.channelHz)
        ? i
        : best,
    0,
  );
  return overBand.points[nearest]?.model === null ? issue : atPoint(issue, nearest);
}

function atPoint(issue: Issue, index: number): Issue {
  return { ...issue, path: issue.path.replace(MODEL_PATH, `amplifier.overBand.points.${index}.model`) };
}

/** Faults of the models that points have of their own; hopping reaches each of them. The channel's own is left out. */
export function overBandIssues(stated: AmplifierSettings, record: AmplifierRecord): Issue[] {
  const { overBand } = stated;
  if (overBand === null) return [];
  return overBand.points.flatMap((point, i) => {
    if (point.model === null || point.frequencyHz === overBand.channelHz) return [];
    const section = amplifierAt(stated, point.frequencyHz);
    if (section.kind === 'invalid') return [...section.issues];
    const { model, saturatedPowerDbm } = section.amplifier;
    const outcome = createAmplifier(model, { ...record, saturatedPowerDbm });
    return outcome.kind === 'invalid' ? outcome.issues.map((issue) => atPoint(issue, i)) : [];
  });
}

/** Further apart than this over the occupied band, saturated powers no longer count as one. */
const ONE_POWER_DB = 0.3;

/**
 * `over-band-inside-record`: the saturated power changes inside the record, which a record's one knee does not follow.
 * `over-band-not-carrier`: the printed carrier frequency is not the channel.
 */
export function overBandNotes({ amplifier, carrierFrequencyHz }: Scenario, waveform: ResolvedWaveform): Warning[] {
  const { overBand } = amplifier;
  if (overBand === null) return [];
  const notes: Warning[] = [];
  const { channelHz, points } = overBand;
  const edges = waveform.carriers.flatMap(({ geometry: { offsetHz, occupiedBandwidthHz } }) => [
    channelHz + offsetHz - occupiedBandwidthHz / 2,
    channelHz + offsetHz + occupiedBandwidthHz / 2,
  ]);
  const [lowest, highest] = [Math.min(...edges), Math.max(...edges)];
  const inside = points.map(({ frequencyHz }) => frequencyHz).filter((hz) => hz > lowest && hz < highest);
  const places = [lowest, ...inside, highest].map((hz) => {
    const { saturatedPowerDb } = overBandFiguresAt(points, hz);
    return { hz, powerDb: saturatedPowerDb };
  });
  const [least, most] = [
    places.reduce((a, b) => (b.powerDb < a.powerDb ? b : a)),
    places.reduce((a, b) => (b.powerDb > a.powerDb ? b : a)),
  ];
  const spanDb = most.powerDb - least.powerDb;
  if (spanDb > ONE_POWER_DB) {
    const level = ({ powerDb }: (typeof places)[number]) =>
      amplifier.saturatedPowerDbm === null
        ? `${powerDb.toFixed(2)} dB`
        : `${(amplifier.saturatedPowerDbm + powerDb).toFixed(2)} dBm`;
    const message =
      `The saturated power differs by ${spanDb.toFixed(2)} dB over the occupied band: ${level(least)} at ${formatHz(least.hz)}, ` +
      `${level(most)} at ${formatHz(most.hz)}. One record has one knee, that of its centre at ${formatHz(channelHz)}; gain and phase alone follow the frequency inside it. ` +
      'Judge narrower carriers one channel at a time.';
    notes.push({ code: 'over-band-inside-record', message });
  }
  if (carrierFrequencyHz !== null && carrierFrequencyHz !== channelHz) {
    const message = `The amplifier is that at ${formatHz(channelHz)}, but the carrier frequency printed with the figures is ${formatHz(carrierFrequencyHz)}. Set carrierFrequencyHz to amplifier.overBand.channelHz, or to null.`;
    notes.push({ code: 'over-band-not-carrier', message });
  }
  return notes;
}
