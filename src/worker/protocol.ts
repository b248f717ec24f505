// What the page and the engine's worker say to each other. Only plain data and transferred buffers cross the thread.
import type { ProxyMarked } from 'comlink';
import type { Issue } from '../../shared/schema/issue.ts';
import type { Progress, Report } from '../../shared/schema/report.ts';

/** `coarse` shortens the record, for a picture that follows a slider; `full` takes the scenario as it is. */
export type RunDetail = 'coarse' | 'full';

/** As the engine answers: faults of the user's input are data, not exceptions. */
export type RunOutcome =
  | { readonly kind: 'report'; readonly report: Report }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

export type ProgressCallback = (progress: Progress) => void;

/** The worker's side of the conversation, as Comlink exposes it. */
export interface EngineApi {
  /**
   * Runs one scenario. The arrays of the report are transferred. `onProgress` must be marked with `Comlink.proxy`; the
   * worker lets go of it when the run ends, because an unreleased callback keeps its port open.
   */
  run(input: unknown, detail: RunDetail, onProgress: (ProgressCallback & ProxyMarked) | null): Promise<RunOutcome>;
}
