// From a question and the scenario on the bench to a report. Outcomes are known by what was run, so a changed limit or a
// question asked again needs few runs or none; those follow by themselves. A scenario of which nothing is known waits for
// the user's word.
import { parseStudy } from '../../../shared/schema/parseStudy.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { QuestionKind, StudyInput } from '../../../shared/schema/study.ts';
import type { StudyReport } from '../../../shared/schema/studyReport.ts';
import type { StudyClient, StudyEvaluation, StudyProgress, StudyUpdate } from '../../worker/studyClient.ts';
import type { Store } from './store.ts';
import type { Questions, StudyState } from './studyState.ts';

/** A change is followed by runs when nothing else has changed for this long. */
const SETTLE_MS = 350;

export function initialStudyState(scenario: Scenario): StudyState {
  return {
    kind: 'ladder',
    questions: defaultQuestions(scenario),
    reports: {},
    isStale: false,
    isAwaited: false,
    issues: [],
    isRunning: false,
    progress: null,
    fault: null,
  };
}

/** Output back-off from saturated power at which a power is asked for when the scenario names none in dBm. */
const USUAL_BACKOFF_DB = 9;

function defaultQuestions(scenario: Scenario): Questions {
  return {
    ladder: questionOf({ kind: 'ladder' }),
    shape: questionOf({ kind: 'shape' }),
    map: questionOf({ kind: 'map' }),
    ask: questionOf({ kind: 'ask', wantedAntennaMeanDbm: wantedPower(scenario) }),
    spread: questionOf({ kind: 'spread' }),
    tones: questionOf({ kind: 'tones' }),
    burst: questionOf({ kind: 'burst' }),
    hold: questionOf({ kind: 'hold' }),
    path: questionOf({ kind: 'path' }),
  };
}

/** A question with every default filled in. */
function questionOf<Kind extends QuestionKind>(
  question: Extract<StudyInput['question'], { kind: Kind }>,
): Questions[Kind] {
  const parsed = parseStudy({ scenario: {}, question });
  if (parsed.kind === 'invalid') throw new RangeError(`questionOf: the defaults of ${question.kind} do not parse`);
  return parsed.study.question as Questions[Kind];
}

function wantedPower({ operatingPoint, amplifier }: Scenario): number {
  const { antennaMeanDbm, meanPowerDbm } = operatingPoint;
  if (antennaMeanDbm !== undefined) return antennaMeanDbm;
  if (meanPowerDbm !== undefined) return meanPowerDbm - amplifier.outputLossDb;
  return (amplifier.saturatedPowerDbm ?? USUAL_BACKOFF_DB + 30) - amplifier.outputLossDb - USUAL_BACKOFF_DB;
}

export class StudyController {
  readonly #store: Store<StudyState>;
  readonly #client: StudyClient;
  #scenario: Scenario;
  /** Number of the newest request; an answer to an older one is dropped. */
  #asked = 0;
  /** The user stopped the runs: none follow by themselves until asked for. */
  #isHeld = false;
  #timer: ReturnType<typeof setTimeout> | undefined;
  /** Told when what is asked has been evaluated, however far it is known. */
  readonly #waiting = new Set<() => void>();
  /** What the newest evaluation said, even when it knows no outcome yet. */
  #evaluated: StudyReport | null = null;

  constructor(store: Store<StudyState>, client: StudyClient, scenario: Scenario) {
    this.#store = store;
    this.#client = client;
    this.#scenario = scenario;
  }

  get study(): StudyInput {
    const { kind, questions } = this.#store.state;
    const { title } = this.#scenario;
    return { title, scenario: this.#scenario, question: questions[kind] };
  }

  /**
   * The report of what is asked now, as soon as it has been evaluated; null when the question cannot be answered. It may
   * know no outcome yet.
   */
  async evaluated(): Promise<StudyReport | null> {
    if (this.#store.state.isAwaited) await new Promise<void>((resolve) => this.#waiting.add(resolve));
    const { issues, fault } = this.#store.state;
    return issues.length > 0 || fault !== null ? null : this.#evaluated;
  }

  /** Opens a question; what it needs is run. */
  open(kind: QuestionKind): void {
    if (kind !== this.#store.state.kind) this.#store.update({ kind, issues: [], progress: null, fault: null });
    this.#isHeld = false;
    this.run();
  }

  /** The scenario on the bench has changed. */
  setScenario(scenario: Scenario): void {
    this.#scenario = scenario;
    void this.#look(false);
  }

  /** Changes the question that is open. */
  ask(change: Readonly<Record<string, unknown>>): void {
    const { kind, questions } = this.#store.state;
    this.#store.update({ questions: { ...questions, [kind]: { ...questions[kind], ...change } } });
    void this.#look(true);
  }

  /** Runs what is missing. */
  run(): void {
    this.#isHeld = false;
    clearTimeout(this.#timer);
    void this.#drive(++this.#asked);
  }

  /** Stops at once; what is known stays. */
  stop(): void {
    this.#isHeld = true;
    clearTimeout(this.#timer);
    this.#client.stop();
    this.#store.update({ isRunning: false });
    // The evaluation that was awaited has been stopped with the runs.
    if (this.#store.state.isAwaited) void this.#look(false);
  }

  /**
   * What is known already, at once; missing runs follow when the change has settled. `isAsked`: the question itself has
   * changed, which asks for them even when none is known.
   */
  async #look(isAsked: boolean): Promise<void> {
    const number = ++this.#asked;
    clearTimeout(this.#timer);
    this.#store.update({ isAwaited: true });
    try {
      const evaluation = await this.#client.evaluate(this.study);
      if (number !== this.#asked) return;
      this.#show(evaluation);
      const isNew = evaluation.kind === 'evaluated' && evaluation.report.doneCount === 0 && !isAsked;
      if (evaluation.kind === 'invalid' || evaluation.pending.length === 0 || isNew) {
        // What runs belongs to a scenario that is gone, or nothing is left to run.
        this.#client.stop();
        this.#store.update({ isRunning: false });
      } else if (!this.#isHeld) {
        this.#store.update({ isRunning: true });
        this.#timer = setTimeout(() => this.run(), SETTLE_MS);
      }
    } catch (error) {
      this.#fail(number, error);
    }
  }

  async #drive(number: number): Promise<void> {
    this.#store.update({ isRunning: true, isAwaited: true, fault: null });
    try {
      await this.#client.run(this.study, (update) => {
        if (number === this.#asked) this.#accept(update);
      });
      if (number === this.#asked) this.#store.update({ isRunning: false });
    } catch (error) {
      this.#fail(number, error);
    }
  }

  #accept({ evaluation, progress }: StudyUpdate): void {
    this.#show(evaluation, progress);
  }

  #show(evaluation: StudyEvaluation, progress?: StudyProgress): void {
    if (evaluation.kind === 'invalid') {
      this.#store.update({ issues: evaluation.issues, isAwaited: false, progress: null });
      this.#tell();
      return;
    }
    const { report } = evaluation;
    this.#evaluated = report;
    const { kind, reports } = this.#store.state;
    // A report of nothing would wipe out one that still says something of the scenario before.
    const isEmpty = report.doneCount === 0 && report.neededCount > 0 && reports[kind] !== undefined;
    this.#store.update({
      issues: [],
      fault: null,
      isStale: isEmpty,
      isAwaited: false,
      progress: progress ?? { doneCount: report.doneCount, neededCount: report.neededCount, timeLeftS: null },
      ...(isEmpty ? {} : { reports: { ...reports, [kind]: report } }),
    });
    this.#tell();
  }

  #tell(): void {
    const waiting = [...this.#waiting];
    this.#waiting.clear();
    for (const resolve of waiting) resolve();
  }

  #fail(number: number, error: unknown): void {
    if (number !== this.#asked) return;
    const fault = error instanceof Error ? error.message : String(error);
    this.#store.update({ isRunning: false, isAwaited: false, fault });
    this.#tell();
  }
}
