// Everything the page shows, in one plain object.
import type { Issue } from '../../../shared/schema/issue.ts';
import type { Progress, Report } from '../../../shared/schema/report.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { RunDetail } from '../../worker/protocol.ts';
import type { RecordFacts } from '../../worker/recordProtocol.ts';

export const BLOCKS = ['data', 'crest', 'predistorter', 'amplifier', 'antenna', 'observation'] as const;
export type BlockName = (typeof BLOCKS)[number];

export interface ShownResult {
  readonly report: Report;
  readonly detail: RunDetail;
}

export interface AppState {
  /** As edited; a control may hold a value that the schema refuses. */
  readonly draft: Scenario;
  /** The last draft that the schema took: what may be told in sentences. */
  readonly valid: Scenario;
  /** Where the draft came from: a preset's name, "link" or "file". */
  readonly origin: string;
  readonly isEdited: boolean;
  /** Faults of the draft, in the engine's words. */
  readonly issues: readonly Issue[];
  /** The last good result; it stays until a newer one takes its place. */
  readonly shown: ShownResult | null;
  /** The draft asks for something that is not shown yet. */
  readonly isPending: boolean;
  /** The full run's progress, or null when none is under way. */
  readonly progress: Progress | null;
  /** An internal fault of the engine, in its own words. */
  readonly fault: string | null;
  /** One message to the user, such as that an address was damaged. */
  readonly notice: string | null;
  readonly block: BlockName;
  /** Records brought in; they are gone after a reload. */
  readonly records: readonly RecordFacts[];
  /** The carrier last taken up on the picture or in its row, or null. */
  readonly carrier: number | null;
  readonly canUndo: boolean;
  readonly canRedo: boolean;
}
