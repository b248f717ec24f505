// The amplifier over its band as rows: every point, and the channel among them, each read from its own model by a
// constant carrier.
import type { OverBandReport, OverBandRow } from '../../../shared/schema/overBand.ts';
import { overBandFiguresAt } from '../../../shared/schema/overBand.ts';
import type { AmplifierReadBack } from '../../../shared/schema/readBack.ts';
import type { AmplifierSettings } from '../../../shared/schema/scenario.ts';
import { createAmplifier } from '../amplifier/model.ts';
import type { AmplifierRecord } from '../amplifier/modelRate.ts';
import { amplifierAt } from '../amplifier/overBand.ts';
import { readBackAmplifier } from '../amplifier/readBack.ts';
import type { Setup } from './checkScenario.ts';

/** Rows of the scenario's amplifier over its band; null where it has none. */
export function overBandRows({ statedScenario, waveform }: Setup): OverBandReport | null {
  const stated = statedScenario.amplifier;
  const { overBand } = stated;
  if (overBand === null) return null;
  const { channelHz, points } = overBand;
  const frequencies = [...new Set([...points.map(({ frequencyHz }) => frequencyHz), channelHz])].sort((a, b) => a - b);
  const { sampleRateHz, sampleCount } = waveform;
  const rows = frequencies.map((frequencyHz) =>
    rowAt(stated, frequencyHz, { sampleRateHz, sampleCount }, frequencyHz === channelHz),
  );
  return { channelHz, rows };
}

function rowAt(
  stated: AmplifierSettings,
  frequencyHz: number,
  record: AmplifierRecord,
  isChannel: boolean,
): OverBandRow {
  const section = amplifierAt(stated, frequencyHz);
  const points = stated.overBand?.points ?? [];
  // The setup was checked: its channel has a model, and a point always has.
  if (section.kind === 'invalid') throw new RangeError(`overBandRows: no model at ${frequencyHz} Hz`);
  const { saturatedPowerDb, phaseDeg } = overBandFiguresAt(points, frequencyHz);
  const { saturation, atOneDbCompression } = readBackOf(section.amplifier, record);
  const largestDb = saturatedPowerDb + saturation.outputDb;
  const compressedDb = atOneDbCompression && saturatedPowerDb + atOneDbCompression.outputDb;
  const dbm = (db: number | null) =>
    db === null || stated.saturatedPowerDbm === null ? null : stated.saturatedPowerDbm + db;
  return {
    frequencyHz,
    gainDb: section.amplifier.gainDb,
    phaseDeg,
    saturatedPowerDb: largestDb,
    saturatedPowerDbm: dbm(largestDb),
    outputAtOneDbCompressionDb: compressedDb,
    outputAtOneDbCompressionDbm: dbm(compressedDb),
    amPmDeg: saturation.amPmDeg,
    isChannel,
  };
}

type Readings = Pick<AmplifierReadBack, 'saturation' | 'atOneDbCompression'>;

/** A sweep takes milliseconds a point, and a slider that moves the channel asks for the same points again. */
const READINGS_KEPT = 64;
const known = new Map<string, Readings>();

/** The readings of a section at this rate; remembered by its content. */
function readBackOf({ model, ...scale }: AmplifierSettings, record: AmplifierRecord): Readings {
  const { saturatedPowerDbm, gainDb } = scale;
  const key = JSON.stringify([model, saturatedPowerDbm, gainDb, record.sampleRateHz, record.sampleCount]);
  const remembered = known.get(key);
  if (remembered !== undefined) return remembered;
  const outcome = createAmplifier(model, { ...record, saturatedPowerDbm });
  if (outcome.kind === 'invalid') throw new RangeError(`overBandRows: ${outcome.issues[0]?.rule}`);
  const { saturation, atOneDbCompression } = readBackAmplifier(outcome.model, { model, ...scale });
  const readings = { saturation, atOneDbCompression };
  known.set(key, readings);
  if (known.size > READINGS_KEPT) known.delete(known.keys().next().value as string);
  return readings;
}
