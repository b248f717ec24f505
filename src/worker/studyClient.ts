// Runs studies on a pool of workers, one per core less one, and evaluates them on a worker of its own, so that a report so
// far never waits for a run. Outcomes are kept by key for as long as the page lives: nothing is run twice.
import type { StudyTask, TaskOutcome } from '../../shared/schema/studyReport.ts';
import { startEngineWorker } from './client.ts';
import type { StartWorker } from './lane.ts';
import { pageRecords, type RecordShelf } from './recordShelf.ts';
import { Station } from './station.ts';
import type { KnownOutcome, StudyEvaluation } from './studyProtocol.ts';

export type { KnownOutcome, StudyEvaluation } from './studyProtocol.ts';

/** Workers of the pool: one per core less one for the page, at least one. */
export function poolSize(coreCount: number): number {
  return Math.max(1, Math.floor(coreCount) - 1);
}

export interface StudyProgress {
  readonly doneCount: number;
  /** Runs known to be needed so far; root searches add to it as they close in. */
  readonly neededCount: number;
  /** From the mean time of the runs of this study so far; null before the first has ended. */
  readonly timeLeftS: number | null;
}

export interface StudyUpdate {
  readonly evaluation: StudyEvaluation;
  readonly progress: StudyProgress;
}

export type StudyEnd = 'complete' | 'stopped' | 'invalid';

/** Time in seconds from any start. */
export type Clock = () => number;

const PAGE_CLOCK: Clock = () => performance.now() / 1000;

export class StudyClient {
  readonly #evaluator: Station;
  readonly #pool: readonly Station[];
  readonly #clock: Clock;
  readonly #known = new Map<string, TaskOutcome>();
  /** Outcomes from elsewhere, such as a store that was brought in; asked for each run that is missing. */
  archive: (key: string) => TaskOutcome | null = () => null;
  /** What the evaluating worker of this generation has not been told. */
  #unsent: KnownOutcome[] = [];
  #toldGeneration = 0;
  /** Evaluations stand in line: the worker keeps one state. */
  #line: Promise<unknown> = Promise.resolve();
  /** Runs under way by key; a study that takes the place of another finds its own among them. */
  readonly #flights = new Map<string, Promise<void>>();
  /** Number of the running study; another number ends it. */
  #running = 0;
  #isRunning = false;

  constructor(
    workerCount: number = poolSize(navigator.hardwareConcurrency),
    start: StartWorker = startEngineWorker,
    clock: Clock = PAGE_CLOCK,
    records: RecordShelf = pageRecords,
  ) {
    this.#evaluator = new Station(start, records);
    this.#pool = Array.from({ length: workerCount }, () => new Station(start, records));
    this.#clock = clock;
  }

  get workerCount(): number {
    return this.#pool.length;
  }

  get isRunning(): boolean {
    return this.#isRunning;
  }

  /** Outcomes by key, in the order they came. */
  get known(): ReadonlyMap<string, TaskOutcome> {
    return this.#known;
  }

  /** Adds an outcome, as read from a store. */
  add(key: string, outcome: TaskOutcome): void {
    this.#known.set(key, outcome);
    this.#unsent.push([key, outcome]);
  }

  /** What the study can say of the outcomes known so far. Rejects when the engine fails. */
  evaluate(study: unknown): Promise<StudyEvaluation> {
    const turn = this.#line.then(() => this.#evaluateWithArchive(study));
    this.#line = turn.catch(() => undefined);
    return turn;
  }

  async #evaluateWithArchive(study: unknown): Promise<StudyEvaluation> {
    for (;;) {
      const evaluation = await this.#evaluateNow(study);
      const pending = evaluation.kind === 'evaluated' ? evaluation.pending : [];
      const before = this.#known.size;
      for (const { key } of pending) {
        const outcome = this.archive(key);
        if (outcome !== null) this.add(key, outcome);
      }
      if (this.#known.size === before) return evaluation;
    }
  }

  async #evaluateNow(study: unknown): Promise<StudyEvaluation> {
    this.#evaluator.ready();
    const { generation } = this.#evaluator;
    const fresh = generation === this.#toldGeneration ? this.#unsent : [...this.#known];
    this.#toldGeneration = generation;
    this.#unsent = [];
    const evaluation = await this.#evaluator.call<StudyEvaluation>(scenarioIn(study), async (remote) =>
      remote.evaluateStudy(study, fresh),
    );
    if (evaluation === null) throw new Error('the evaluating worker was stopped');
    return evaluation;
  }

  /**
   * Runs what the study needs and is not known, and calls back with the report so far after each run. Resolves when the
   * study is complete, faulty or stopped. Another call takes the place of the one before; runs under way are finished,
   * because a changed limit still needs them. Rejects when the engine fails.
   */
  async run(study: unknown, onUpdate: (update: StudyUpdate) => void): Promise<StudyEnd> {
    const number = ++this.#running;
    this.#isRunning = true;
    try {
      return await this.#drive(study, number, onUpdate);
    } finally {
      if (this.#running === number) this.#isRunning = false;
    }
  }

  /** Stops the running study at once. What is known stays known; runs in flight are lost. */
  stop(): void {
    this.#running++;
    this.#isRunning = false;
    this.#flights.clear();
    for (const station of this.#pool) if (station.isBusy) station.stop();
  }

  async #drive(study: unknown, number: number, onUpdate: (update: StudyUpdate) => void): Promise<StudyEnd> {
    const startedS = this.#clock();
    const knownAtStart = this.#known.size;
    for (;;) {
      const evaluation = await this.evaluate(study);
      if (this.#running !== number) return 'stopped';
      const ranCount = this.#known.size - knownAtStart;
      onUpdate({ evaluation, progress: progressOf(evaluation, ranCount, this.#clock() - startedS) });
      if (evaluation.kind === 'invalid') return 'invalid';
      if (evaluation.pending.length === 0) return 'complete';
      for (const task of evaluation.pending) this.#launch(task);
      // Nothing is under way when all of it came in while the study was evaluated.
      if (this.#flights.size > 0) await Promise.race(this.#flights.values());
      if (this.#running !== number) return 'stopped';
    }
  }

  /** Runs a task on a free worker; does nothing when there is none, or when the task is known or under way. */
  #launch(task: StudyTask): void {
    const { key } = task;
    if (this.#known.has(key) || this.#flights.has(key)) return;
    const station = this.#pool.find(({ isBusy }) => !isBusy);
    if (station === undefined) return;
    const flight = this.#fly(task, station).finally(() => {
      if (this.#flights.get(key) === flight) this.#flights.delete(key);
    });
    this.#flights.set(key, flight);
    // Whoever waits for the study hears of a fault; after a stop nobody waits.
    flight.catch(() => undefined);
  }

  async #fly(task: StudyTask, station: Station): Promise<void> {
    const outcome = await station.call<TaskOutcome>(task.scenario, async (remote) => remote.runTask(task));
    if (outcome !== null) this.add(task.key, outcome);
  }
}

/** The scenario of a study that may be anything. */
function scenarioIn(study: unknown): unknown {
  return (study as { readonly scenario?: unknown } | null)?.scenario;
}

function progressOf(evaluation: StudyEvaluation, ranCount: number, elapsedS: number): StudyProgress {
  if (evaluation.kind === 'invalid') return { doneCount: 0, neededCount: 0, timeLeftS: null };
  const { doneCount, neededCount } = evaluation.report;
  const left = evaluation.pending.length;
  return { doneCount, neededCount, timeLeftS: ranCount === 0 ? null : (left * elapsedS) / ranCount };
}
