// Runs studies on a pool of workers, one per core less one, and evaluates them on a worker of its own, so that a report so
// far never waits for a run. Outcomes are kept by key for as long as the page lives: nothing is run twice.
import type { StudyTask, TaskOutcome } from '../../shared/schema/studyReport.ts';
import { startEngineWorker } from './client.ts';
import type { StartWorker } from './lane.ts';
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
  /** What the evaluating worker of this generation has not been told. */
  #unsent: KnownOutcome[] = [];
  #toldGeneration = 0;
  /** Evaluations stand in line: the worker keeps one state. */
  #line: Promise<unknown> = Promise.resolve();
  /** Number of the running study; another number stops it. */
  #running = 0;
  #isRunning = false;

  constructor(
    workerCount: number = poolSize(navigator.hardwareConcurrency),
    start: StartWorker = startEngineWorker,
    clock: Clock = PAGE_CLOCK,
  ) {
    this.#evaluator = new Station(start);
    this.#pool = Array.from({ length: workerCount }, () => new Station(start));
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
    const turn = this.#line.then(() => this.#evaluateNow(study));
    this.#line = turn.catch(() => undefined);
    return turn;
  }

  async #evaluateNow(study: unknown): Promise<StudyEvaluation> {
    this.#evaluator.ready();
    const { generation } = this.#evaluator;
    const fresh = generation === this.#toldGeneration ? this.#unsent : [...this.#known];
    this.#toldGeneration = generation;
    this.#unsent = [];
    const evaluation = await this.#evaluator.call<StudyEvaluation>(async (remote) =>
      remote.evaluateStudy(study, fresh),
    );
    if (evaluation === null) throw new Error('the evaluating worker was stopped');
    return evaluation;
  }

  /**
   * Runs what the study needs and is not known, and calls back with the report so far after each run. Resolves when the
   * study is complete, faulty or stopped; another call stops the one before. Rejects when the engine fails.
   */
  async run(study: unknown, onUpdate: (update: StudyUpdate) => void): Promise<StudyEnd> {
    this.stop();
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
    for (const station of this.#pool) if (station.isBusy) station.stop();
  }

  async #drive(study: unknown, number: number, onUpdate: (update: StudyUpdate) => void): Promise<StudyEnd> {
    const flights = new Map<string, Promise<void>>();
    const startedS = this.#clock();
    let endedCount = 0;
    for (;;) {
      const evaluation = await this.evaluate(study);
      if (this.#running !== number) return 'stopped';
      const pending = evaluation.kind === 'evaluated' ? evaluation.pending : [];
      onUpdate({ evaluation, progress: this.#progress(evaluation, endedCount, this.#clock() - startedS) });
      if (evaluation.kind === 'invalid') return 'invalid';
      if (pending.length === 0) return 'complete';
      for (const task of pending) {
        const free = this.#pool.find((station) => !station.isBusy);
        if (free === undefined) break;
        if (!flights.has(task.key)) flights.set(task.key, this.#fly(task, free, number));
      }
      // Everything pending may be known by now: outcomes came in while the study was evaluated.
      if (flights.size > 0) await Promise.race(flights.values());
      if (this.#running !== number) return 'stopped';
      for (const key of [...flights.keys()]) {
        if (!this.#known.has(key)) continue;
        flights.delete(key);
        endedCount++;
      }
    }
  }

  async #fly(task: StudyTask, station: Station, number: number): Promise<void> {
    const outcome = await station.call<TaskOutcome>(async (remote) => remote.runTask(task));
    if (outcome !== null && this.#running === number) this.add(task.key, outcome);
  }

  #progress(evaluation: StudyEvaluation, endedCount: number, elapsedS: number): StudyProgress {
    if (evaluation.kind === 'invalid') return { doneCount: 0, neededCount: 0, timeLeftS: null };
    const { doneCount, neededCount } = evaluation.report;
    const left = evaluation.pending.length;
    return { doneCount, neededCount, timeLeftS: endedCount === 0 ? null : (left * elapsedS) / endedCount };
  }
}
