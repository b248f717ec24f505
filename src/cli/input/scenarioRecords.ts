// The records that a scenario names: loaded from beside the scenario's file, their digests written into the scenario.
import { join } from 'node:path';
import type { RecordStore, SuppliedRecord } from '../../engine/index.ts';
import { type Session, unusable } from '../session.ts';
import { findRecord, holdRecord } from './record.ts';

/** A scenario, not checked yet, with what it names. */
export interface SuppliedScenario {
  readonly input: unknown;
  readonly records: RecordStore;
}

/** A waveform is held in memory several times over. */
const MOST_BYTES = 256 * 2 ** 20;

type Fields = Readonly<Record<string, unknown>>;

function isFields(value: unknown): value is Fields {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/**
 * Loads every record that a carrier of kind "record" names, each once, from `folder` (relative to the working one). A
 * digest that the scenario leaves open is filled in, so that nothing computed for one record is taken for another's.
 * Throws UnusableInput for a record that is missing or faulty.
 */
export function supplyRecords(session: Session, input: unknown, folder: string): SuppliedScenario {
  const records = new Map<string, SuppliedRecord>();
  const waveform = isFields(input) ? input['waveform'] : null;
  const carriers = isFields(waveform) ? waveform['carriers'] : null;
  if (!isFields(input) || !isFields(waveform) || !Array.isArray(carriers)) return { input, records };
  const supplied = carriers.map((carrier: unknown) => {
    const name = isFields(carrier) && carrier['kind'] === 'record' ? carrier['recordName'] : null;
    if (!isFields(carrier) || typeof name !== 'string') return carrier;
    const record = records.get(name) ?? loadRecord(session, name, folder);
    records.set(name, record);
    return { ...carrier, sha512: carrier['sha512'] ?? record.sha512 };
  });
  if (records.size === 0) return { input, records };
  return { input: { ...input, waveform: { ...waveform, carriers: supplied } }, records };
}

function loadRecord(session: Session, name: string, folder: string): SuppliedRecord {
  const file = findRecord(session, name === '' ? name : join(folder, name));
  if (file.byteCount > MOST_BYTES) {
    const value = `${(file.byteCount / 2 ** 20).toFixed(0)} MiB`;
    throw unusable(name, `must hold at most ${MOST_BYTES / 2 ** 20} MiB to be a waveform`, value, 'cut a stretch out');
  }
  const { signal, sampleRateHz, sha512 } = holdRecord(session, file);
  return { name, signal, sampleRateHz, sha512 };
}
