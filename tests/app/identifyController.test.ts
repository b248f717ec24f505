// The identification's controller: when it asks, what it sends, what stays while something newer is on its way.
import { beforeEach, describe, expect, test } from 'vitest';
import { type Identifier, IdentifyController, otherIssues } from '../../src/app/state/identifyController.ts';
import {
  type Identified,
  type IdentifyState,
  INITIAL_IDENTIFY_STATE,
  placeOf,
  withoutPlace,
} from '../../src/app/state/identifyState.ts';
import type { BroughtFile } from '../../src/app/state/records.ts';
import { Store } from '../../src/app/state/store.ts';
import type { IdentifyAnswer, IdentifyProgressCallback, IdentifyRequest } from '../../src/worker/identifyClient.ts';

const file = (name: string, size = 4): BroughtFile => ({
  name,
  size,
  text: async () => '{}',
  arrayBuffer: async () => new TextEncoder().encode(name).buffer,
});

interface Asked {
  readonly request: IdentifyRequest;
  readonly tell: IdentifyProgressCallback;
  readonly resolve: (answer: IdentifyAnswer | null) => void;
  readonly reject: (error: Error) => void;
}

class FakeIdentifier implements Identifier {
  readonly asked: Asked[] = [];
  stopCount = 0;

  identify(request: IdentifyRequest, tell: IdentifyProgressCallback): Promise<IdentifyAnswer | null> {
    return new Promise((resolve, reject) => this.asked.push({ request, tell, resolve, reject }));
  }

  stop(): void {
    this.stopCount++;
  }
}

/** Only its identity is looked at. */
const found = (name: string) => ({ kind: 'identified', name }) as unknown as Identified;
const turn = () => new Promise((resolve) => setTimeout(resolve, 0));

let store: Store<IdentifyState>;
let identifier: FakeIdentifier;
let controller: IdentifyController;

beforeEach(() => {
  store = new Store<IdentifyState>(INITIAL_IDENTIFY_STATE);
  identifier = new FakeIdentifier();
  controller = new IdentifyController(store, identifier);
});

async function dropPair(): Promise<void> {
  controller.bringIn([file('x.drive.csv'), file('x.observed.csv')]);
  await turn();
}

const nameIn = (data: Uint8Array) => new TextDecoder().decode(data);

describe('what is asked', () => {
  test('nothing before a pair is complete; then the files, their rate and the settings', async () => {
    controller.setSampleRate(30.72e6);
    controller.set({ outputPowerDbm: 36, highestOrder: 5 });
    controller.place('drive', [file('x.drive.csv')]);
    await turn();
    expect(identifier.asked).toHaveLength(0);
    controller.place('observed', [file('x.observed.csv')]);
    await turn();
    const [{ request } = {} as Asked] = identifier.asked;
    expect(request.drive).toMatchObject({ format: 'csv', name: 'x.drive', sampleRateHz: 30.72e6 });
    expect([request.drive, request.observed].map(({ data }) => nameIn(data))).toEqual([
      'x.drive.csv',
      'x.observed.csv',
    ]);
    expect(request.validation).toBeNull();
    expect(request.settings).toEqual({ ...INITIAL_IDENTIFY_STATE.settings, outputPowerDbm: 36, highestOrder: 5 });
    expect(store.state.isRunning).toBe(true);
  });

  test('a second pair counts when both of its records are there', async () => {
    controller.place('validation.drive', [file('y.drive.csv')]);
    await dropPair();
    expect(identifier.asked.at(-1)?.request.validation).toBeNull();
    controller.place('validation.observed', [file('y.observed.csv')]);
    await turn();
    expect(identifier.asked.at(-1)?.request.validation?.observed.name).toBe('y.observed');
  });

  test('swapping exchanges drive and observation and asks again', async () => {
    await dropPair();
    controller.swap();
    await turn();
    expect(identifier.asked.at(-1)?.request.drive.name).toBe('x.observed');
    expect(store.state.places.observed?.name).toBe('x.drive');
  });

  test('a record too large for the page is refused at its place, without asking', async () => {
    controller.bringIn([file('x.drive.csv', 65 * 2 ** 20), file('x.observed.csv')]);
    await turn();
    expect(identifier.asked).toHaveLength(0);
    expect(store.state.issues).toMatchObject([{ path: 'drive', value: '65 MiB' }]);
  });

  test('faults of files stand at their place, or with the files dropped together', async () => {
    controller.place('observed', [file('x.sigmf-data')]);
    expect(store.state.issues).toMatchObject([{ path: 'observed', rule: 'lacks its .sigmf-meta file' }]);
    expect(store.state.places.observed).toBeNull();
    controller.bringIn([file('notes.pdf')]);
    expect(otherIssues(store.state.issues)).toMatchObject([{ path: 'files' }]);
  });
});

describe('what is shown', () => {
  test('progress, then what was found, with the names it was found from', async () => {
    await dropPair();
    identifier.asked[0]?.tell({ label: 'Aligning', doneRatio: 0.2 });
    expect(store.state.progress).toEqual({ label: 'Aligning', doneRatio: 0.2 });
    const answer = found('first');
    identifier.asked[0]?.resolve(answer);
    await turn();
    expect(store.state).toMatchObject({ isRunning: false, isStale: false, progress: null });
    expect(store.state.identified).toBe(answer);
    expect(store.state.names).toMatchObject({ drive: 'x.drive', observed: 'x.observed', 'validation.drive': null });
  });

  test('a change keeps what was found, stale; an answer to an older question is dropped', async () => {
    await dropPair();
    identifier.asked[0]?.resolve(found('first'));
    await turn();
    controller.set({ memoryDepth: 3 });
    await turn();
    expect(store.state).toMatchObject({ isStale: true, isRunning: true, identified: { name: 'first' } });
    controller.set({ memoryDepth: 4 });
    await turn();
    identifier.asked[1]?.resolve(found('late'));
    await turn();
    expect(store.state.identified).toMatchObject({ name: 'first' });
    identifier.asked[2]?.resolve(found('third'));
    await turn();
    expect(store.state).toMatchObject({ isStale: false, identified: { name: 'third' } });
  });

  test('stopping ends it at once and holds it until asked again', async () => {
    await dropPair();
    controller.stop();
    expect(identifier.stopCount).toBeGreaterThan(0);
    identifier.asked[0]?.resolve(null);
    await turn();
    expect(store.state).toMatchObject({ isRunning: false, identified: null });
    controller.set({ memoryDepth: 3 });
    await turn();
    expect(identifier.asked).toHaveLength(1);
    controller.identify();
    await turn();
    expect(identifier.asked).toHaveLength(2);
  });

  test('issues of the engine keep the last result and stand beside what they belong to', async () => {
    await dropPair();
    const issues = [
      { path: 'validation.observed.sampleRateHz', rule: 'a', value: 'b', remedy: 'c' },
      { path: 'observed', rule: 'a', value: 'b', remedy: 'c' },
      { path: 'outputBackoffDb', rule: 'a', value: 'b', remedy: 'c' },
    ] as const;
    identifier.asked[0]?.resolve({ kind: 'invalid', issues });
    await turn();
    expect(store.state.issues.map(placeOf)).toEqual(['validation.observed', 'observed', null]);
    expect(withoutPlace(issues[0], 'validation.observed').path).toBe('sampleRateHz');
    expect(withoutPlace(issues[1], 'observed').path).toBe('record');
    expect(otherIssues(store.state.issues)).toEqual([issues[2]]);
  });

  test('a fault of the engine is told in its words', async () => {
    await dropPair();
    identifier.asked[0]?.reject(new Error('out of memory'));
    await turn();
    expect(store.state).toMatchObject({ isRunning: false, fault: 'out of memory' });
  });
});
