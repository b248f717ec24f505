// What each effect of the transmit and observation paths costs by itself, and all together: the transmitter's on the
// uncorrected drive, the observation's on the uncorrected output, both of the judging record.
import { observationEffectText, transmitterEffectText } from '../../../shared/format/pathText.ts';
import type { PathError, SignalPathReport } from '../../../shared/schema/pathReport.ts';
import type { ComplexSignal } from '../dsp/complex.ts';
import { FLOOR_DB } from '../dsp/decibels.ts';
import type { Device } from '../dsp/waveformTypes.ts';
import { createObservation, OBSERVATION_EFFECTS, observationWithOnly } from '../linearization/observationPath.ts';
import { measureAclr, worstAclrDb } from '../measurement/aclr.ts';
import { measureNmseDb } from '../measurement/nmse.ts';
import { type DrivenOutput, spectrumOf } from './chain.ts';
import type { Setup } from './checkScenario.ts';
import { createTransmitter, TRANSMITTER_EFFECTS, transmitterWithOnly } from './transmitter.ts';
import { activeRatioOf } from './whileOn.ts';

/** Null without a transmitter section. */
export function transmitterReport(setup: Setup, { drive }: Pick<DrivenOutput, 'drive'>): SignalPathReport | null {
  const { transmitter } = setup.scenario;
  if (transmitter === null) return null;
  const { sampleRateHz } = setup.waveform;
  const ratio = activeRatioOf(setup);
  const rows = TRANSMITTER_EFFECTS.flatMap((effect) => {
    const only = transmitterWithOnly(transmitter, effect);
    if (only === null) return [];
    const label = transmitterEffectText(effect, transmitter);
    return [{ effect, label, ...errorOf(setup, drive, createTransmitter(only, sampleRateHz, ratio)) }];
  });
  return { rows, together: errorOf(setup, drive, createTransmitter(transmitter, sampleRateHz, ratio)) };
}

/** Null without an observation to learn through. */
export function observationReport(setup: Setup, { output }: Pick<DrivenOutput, 'output'>): SignalPathReport | null {
  const observation = setup.scenario.predistorter?.observation ?? null;
  if (observation === null) return null;
  const { sampleRateHz } = setup.waveform;
  const ratio = activeRatioOf(setup);
  const rows = OBSERVATION_EFFECTS.flatMap((effect) => {
    const only = observationWithOnly(observation, effect);
    if (only === null) return [];
    const label = observationEffectText(effect, observation);
    return [{ effect, label, ...errorOf(setup, output, createObservation(only, sampleRateHz, ratio)) }];
  });
  return { rows, together: errorOf(setup, output, createObservation(observation, sampleRateHz, ratio)) };
}

function errorOf(setup: Setup, clean: ComplexSignal, path: Device): PathError {
  const behind = path(clean);
  const errorDb = Math.max(FLOOR_DB, measureNmseDb(clean, behind));
  const geometries = setup.waveform.carriers.map(({ geometry }) => geometry);
  const { sampleRateHz } = setup.waveform;
  const { readings } = measureAclr(spectrumOf(setup, behind), sampleRateHz, geometries, setup.channels);
  return {
    errorDb,
    errorPercent: 100 * 10 ** (errorDb / 20),
    aclrDb: worstAclrDb(readings, setup.channels[0]?.name),
  };
}
