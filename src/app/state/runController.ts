// From a changed scenario to a shown result. A short record answers at once, the full record follows; a result is shown
// only when it is newer, or more complete, than the one on the page.
import type { EngineClient, RunDetail, RunOutcome } from '../../worker/client.ts';
import type { AppState } from './appState.ts';
import type { Store } from './store.ts';

export class RunController {
  readonly #store: Store<AppState>;
  readonly #client: EngineClient;
  /** Number of the newest request; a result carries the number of the request it answers. */
  #asked = 0;
  #shown = 0;
  /** The full run the page waits for; zero when it waits for none. */
  #fullAsked = 0;

  constructor(store: Store<AppState>, client: EngineClient) {
    this.#store = store;
    this.#client = client;
  }

  /** While a control is being dragged: the short record only. */
  runLive(input: unknown): void {
    this.#asked++;
    this.#fullAsked = 0;
    this.#client.dropWaiting('full');
    this.#store.update({ isPending: true, fault: null, progress: null });
    void this.#run(input, 'coarse', this.#asked);
  }

  /** When a control is let go: the short record for a quick picture, and the full one. */
  runFull(input: unknown): void {
    this.#asked++;
    const number = this.#asked;
    this.#fullAsked = number;
    this.#store.update({
      isPending: true,
      fault: null,
      progress: { stage: 'waveform', doneRatio: 0, label: 'starting' },
    });
    // In this order: the full run takes the worker that the short one would otherwise borrow.
    void this.#run(input, 'full', number);
    void this.#run(input, 'coarse', number);
  }

  /** Stops everything; the last result stays. */
  cancel(): void {
    this.#fullAsked = 0;
    this.#client.cancel();
    this.#store.update({ isPending: false, progress: null });
  }

  /** The draft is faulty: nothing may answer it. */
  refuse(): void {
    this.#asked++;
    this.#shown = this.#asked;
    this.#fullAsked = 0;
    this.#client.dropWaiting('coarse');
    this.#client.dropWaiting('full');
    this.#store.update({ isPending: false, progress: null });
  }

  async #run(input: unknown, detail: RunDetail, number: number): Promise<void> {
    try {
      const onProgress = (progress: AppState['progress']) => {
        if (this.#fullAsked === number) this.#store.update({ progress });
      };
      const outcome = await this.#client.run(input, detail, detail === 'full' ? onProgress : undefined);
      if (outcome !== null) this.#accept(outcome, detail, number);
    } catch (error) {
      if (number < this.#asked) return;
      this.#fullAsked = 0;
      const fault = error instanceof Error ? error.message : String(error);
      this.#store.update({ fault, isPending: false, progress: null });
    }
  }

  #accept(outcome: RunOutcome, detail: RunDetail, number: number): void {
    const { shown } = this.#store.state;
    const isNews =
      number > this.#shown || (number === this.#shown && (shown?.detail === 'coarse' || detail === 'full'));
    if (!isNews) return;
    const isFinal = number === this.#asked;
    const endsFullRun = detail === 'full' && this.#fullAsked === number;
    if (endsFullRun) this.#fullAsked = 0;
    if (outcome.kind === 'invalid') {
      if (isFinal) this.#store.update({ issues: outcome.issues, isPending: false, progress: null });
      return;
    }
    this.#shown = number;
    this.#store.update({
      shown: { report: outcome.report, detail },
      ...(isFinal ? { isPending: this.#fullAsked !== 0, issues: [] } : {}),
      ...(endsFullRun ? { progress: null } : {}),
    });
  }
}
