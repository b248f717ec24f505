// What elements tell the page. All bubble and cross shadow roots.
import type { AmplifierSettings } from '../../../shared/schema/scenario.ts';
import type { Door } from '../state/doors.ts';

export interface EditDetail {
  readonly path: string;
  readonly value: unknown;
  /** True while a control is being dragged or typed in. */
  readonly live: boolean;
}
export type ScenarioEdit = CustomEvent<EditDetail>;

/** What a button asks of the page. */
export type ActionName =
  | 'undo'
  | 'redo'
  | 'reset'
  | 'cancel'
  | 'swap-records'
  | 'open-text'
  | 'open-cautions'
  | 'open-terms'
  | 'copy-link'
  | 'save-scenario'
  | 'save-readings'
  | 'save-spectrum-table'
  | 'save-spectrum-figure'
  | 'save-report'
  | 'save-claim'
  | 'save-check-list'
  | 'open-claim';

function tell(target: EventTarget, name: string, detail: unknown): void {
  target.dispatchEvent(new CustomEvent(name, { detail, bubbles: true, composed: true }));
}

export function tellEdit(target: EventTarget, path: string, value: unknown, live: boolean): void {
  tell(target, 'scenario-edit', { path, value, live } satisfies EditDetail);
}

export function tellAction(target: EventTarget, name: ActionName): void {
  tell(target, 'page-action', name);
}

export function tellBlock(target: EventTarget, block: string): void {
  tell(target, 'block-chosen', block);
}

export function tellDoor(target: EventTarget, door: Door): void {
  tell(target, 'door-chosen', door);
}

export function tellPreset(target: EventTarget, preset: string): void {
  tell(target, 'preset-chosen', preset);
}

export interface RecordFilesDetail {
  readonly files: readonly File[];
  /** The carrier the record is for; null for the waveform as a whole. */
  readonly carrierIndex: number | null;
}
export type RecordFilesChosen = CustomEvent<RecordFilesDetail>;

export function tellRecordFiles(target: EventTarget, files: readonly File[], carrierIndex: number | null): void {
  tell(target, 'record-files', { files, carrierIndex } satisfies RecordFilesDetail);
}

/** A file that holds an amplifier model or an amplifier section. */
export type ModelFileChosen = CustomEvent<File>;

export function tellModelFile(target: EventTarget, file: File): void {
  tell(target, 'model-file', file);
}

/** An identified amplifier is to be the scenario's. */
export type AmplifierChosen = CustomEvent<AmplifierSettings>;

export function tellAmplifier(target: EventTarget, amplifier: AmplifierSettings): void {
  tell(target, 'amplifier-chosen', amplifier);
}

/** A carrier was taken up on the picture or in its row. */
export function tellCarrier(target: EventTarget, index: number): void {
  tell(target, 'carrier-chosen', index);
}
