// From files and settings to an identified amplifier. A pair that is complete is identified at once, and again when files
// or settings change; what was found stays until something newer takes its place.
import type { Issue } from '../../../shared/schema/issue.ts';
import type {
  IdentifyAnswer,
  IdentifyProgressCallback,
  IdentifyRequest,
  RecordPairSource,
} from '../../worker/identifyClient.ts';
import { placeFiles, RECORD_PLACES, type RecordPlace } from './identifyFiles.ts';
import { type IdentifySettings, type IdentifyState, type PlacedRecords, placeOf } from './identifyState.ts';
import { type BroughtFile, type FileSet, type RecordFault, sortFiles, sourceOf } from './records.ts';
import type { Store } from './store.ts';

/** What is asked of the engine's client; a test brings its own. */
export interface Identifier {
  identify(request: IdentifyRequest, onProgress: IdentifyProgressCallback): Promise<IdentifyAnswer | null>;
  stop(): void;
}

/** Some ten copies of each record are held at 16 bytes a sample while it is fitted. */
const MOST_BYTES = 64 * 2 ** 20;

export class IdentifyController {
  readonly #store: Store<IdentifyState>;
  readonly #identifier: Identifier;
  /** Number of the newest request; an answer to an older one is dropped. */
  #asked = 0;
  /** The user stopped it: none follows by itself until asked for. */
  #isHeld = false;

  constructor(store: Store<IdentifyState>, identifier: Identifier) {
    this.#store = store;
    this.#identifier = identifier;
  }

  /** Files dropped together, without a place of their own. */
  bringIn(files: readonly BroughtFile[]): void {
    const { places } = this.#store.state;
    const taken = new Set(RECORD_PLACES.filter((place) => places[place] !== null));
    const { placed, faults, guess } = placeFiles(files, taken);
    this.#put(placed, faults.flatMap(issuesOf('files')), guess);
  }

  /** Files for one place; more than one record there is told apart by names. */
  place(place: RecordPlace, files: readonly BroughtFile[]): void {
    const { sets, faults } = sortFiles(files);
    const [set, ...more] = sets;
    if (more.length > 0) this.bringIn(files);
    else this.#put(set === undefined ? {} : { [place]: set }, faults.flatMap(issuesOf(place)), null);
  }

  /** Drive and observation of both pairs change places. */
  swap(): void {
    const { places } = this.#store.state;
    this.#put(
      {
        drive: places.observed,
        observed: places.drive,
        'validation.drive': places['validation.observed'],
        'validation.observed': places['validation.drive'],
      },
      [],
      null,
    );
  }

  clear(place: RecordPlace): void {
    this.#put({ [place]: null }, [], null);
  }

  set(change: Partial<IdentifySettings>): void {
    this.#changed({ settings: { ...this.#store.state.settings, ...change } });
  }

  setSampleRate(sampleRateHz: number | null): void {
    this.#changed({ sampleRateHz });
  }

  /** Identifies from what is there. */
  identify(): void {
    this.#isHeld = false;
    void this.#run();
  }

  /** Stops at once; what was found before stays. */
  stop(): void {
    this.#isHeld = true;
    this.#asked++;
    this.#identifier.stop();
    this.#store.update({ isRunning: false, progress: null });
  }

  #put(
    placed: Partial<Readonly<Record<RecordPlace, FileSet | null>>>,
    issues: readonly Issue[],
    guess: string | null,
  ): void {
    if (Object.keys(placed).length === 0) {
      this.#store.update({ issues });
      return;
    }
    const places: PlacedRecords = { ...this.#store.state.places, ...placed };
    this.#isHeld = false;
    this.#changed({ places, guess }, issues);
  }

  /** A change makes what is shown stale; a complete pair without a fault of its files is identified again. */
  #changed(change: Partial<IdentifyState>, issues: readonly Issue[] = []): void {
    const isStale = this.#store.state.identified !== null;
    this.#asked++;
    this.#identifier.stop();
    this.#store.update({ ...change, issues, isStale, isRunning: false, progress: null, fault: null });
    if (issues.length === 0 && !this.#isHeld) void this.#run();
  }

  async #run(): Promise<void> {
    const { places } = this.#store.state;
    const { drive, observed } = places;
    if (drive === null || observed === null) return;
    const tooLarge = sizeIssues(places);
    if (tooLarge.length > 0) {
      this.#store.update({ issues: tooLarge });
      return;
    }
    const number = ++this.#asked;
    this.#store.update({ isRunning: true, progress: null, issues: [], fault: null });
    try {
      const request = await this.#request(places, { drive, observed });
      if (number !== this.#asked) return;
      const answer = await this.#identifier.identify(request, (progress) => {
        if (number === this.#asked) this.#store.update({ progress });
      });
      if (number === this.#asked && answer !== null) this.#show(answer, places);
    } catch (error) {
      if (number !== this.#asked) return;
      const fault = error instanceof Error ? error.message : String(error);
      this.#store.update({ isRunning: false, progress: null, fault });
    }
  }

  #show(answer: IdentifyAnswer, places: PlacedRecords): void {
    if (answer.kind === 'invalid') {
      this.#store.update({ issues: answer.issues, isRunning: false, progress: null });
      return;
    }
    const nameOf = (place: RecordPlace) => places[place]?.name ?? null;
    const names = Object.fromEntries(RECORD_PLACES.map((place) => [place, nameOf(place)])) as IdentifyState['names'];
    this.#store.update({ identified: answer, names, isStale: false, isRunning: false, progress: null });
  }

  async #request(places: PlacedRecords, pair: { drive: FileSet; observed: FileSet }): Promise<IdentifyRequest> {
    const { settings } = this.#store.state;
    const [drive, observed] = [places['validation.drive'], places['validation.observed']];
    const hasSecond = drive !== null && observed !== null;
    return {
      ...(await this.#read(pair.drive, pair.observed)),
      validation: hasSecond ? await this.#read(drive, observed) : null,
      settings,
    };
  }

  async #read(drive: FileSet, observed: FileSet): Promise<RecordPairSource> {
    const { sampleRateHz } = this.#store.state;
    return { drive: await sourceOf(drive, sampleRateHz), observed: await sourceOf(observed, sampleRateHz) };
  }
}

/** Faults of files under the path of their place. */
function issuesOf(path: string): (fault: RecordFault) => Issue[] {
  return ({ issues }) => issues.map((issue) => ({ ...issue, path }));
}

function sizeIssues(places: PlacedRecords): Issue[] {
  return RECORD_PLACES.flatMap((path): Issue[] => {
    const size = places[path]?.data.size ?? 0;
    if (size <= MOST_BYTES) return [];
    const rule = `must be at most ${MOST_BYTES / 2 ** 20} MiB in this page`;
    const remedy = 'cut it: some 100 000 samples tell one structure from another';
    return [{ path, rule, value: `${Math.ceil(size / 2 ** 20)} MiB`, remedy }];
  });
}

/** Issues that stand beside no place of a record: of settings, and of the files as a whole. */
export function otherIssues(issues: readonly Issue[]): Issue[] {
  return issues.filter((issue) => placeOf(issue) === null);
}
