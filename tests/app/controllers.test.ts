import { beforeEach, describe, expect, test } from 'vitest';
import { encodeFragment } from '../../src/app/state/addressBar.ts';
import type { AppState } from '../../src/app/state/appState.ts';
import { RunController } from '../../src/app/state/runController.ts';
import { type Address, initialState, ScenarioController } from '../../src/app/state/scenarioController.ts';
import { Store } from '../../src/app/state/store.ts';
import type { EngineClient, RunDetail, RunOutcome } from '../../src/worker/client.ts';
import { parsed, preset } from './smallReport.ts';

interface Asked {
  readonly input: { readonly operatingPoint: { readonly meanPowerDbm?: number } };
  readonly detail: RunDetail;
  readonly settle: (outcome: RunOutcome | null) => Promise<void>;
  readonly fail: (message: string) => Promise<void>;
}

const later = () => new Promise<void>((resolve) => setTimeout(resolve, 0));

/** An engine client whose runs end when the test says so. */
function heldClient() {
  const asked: Asked[] = [];
  let cancelCount = 0;
  const client = {
    run: (input: unknown, detail: RunDetail) =>
      new Promise<RunOutcome | null>((resolve, reject) => {
        asked.push({
          input: input as Asked['input'],
          detail,
          settle: async (outcome) => {
            resolve(outcome);
            await later();
          },
          fail: async (message) => {
            reject(new RangeError(message));
            await later();
          },
        });
      }),
    dropWaiting: () => {},
    cancel: () => {
      cancelCount += 1;
    },
  };
  return { client: client as unknown as EngineClient, asked, cancelCount: () => cancelCount };
}

const report = (answer: string): RunOutcome => ({ kind: 'report', report: { answer } as never });

let store: Store<AppState>;
let held: ReturnType<typeof heldClient>;
let runs: RunController;
let scenario: ScenarioController;
let address: Address & { fragment: string };

function setUp(fragment = '') {
  store = new Store(initialState());
  held = heldClient();
  runs = new RunController(store, held.client);
  address = {
    fragment,
    replace(next) {
      this.fragment = next;
    },
  };
  scenario = new ScenarioController(store, runs, address);
}
beforeEach(() => setUp());

const asked = (detail: RunDetail) => held.asked.filter((run) => run.detail === detail);
const answer = () => store.state.shown?.report.answer ?? null;
const POWER = 'operatingPoint.meanPowerDbm';

describe('runs', () => {
  test('the short record shows first, the full one takes its place', async () => {
    await scenario.start();
    await asked('coarse')[0].settle(report('short'));
    expect([answer(), store.state.shown?.detail, store.state.isPending]).toEqual(['short', 'coarse', true]);
    await asked('full')[0].settle(report('full'));
    expect([answer(), store.state.shown?.detail, store.state.isPending]).toEqual(['full', 'full', false]);
  });

  test('a short record that comes late does not take the place of the full one', async () => {
    await scenario.start();
    await asked('full')[0].settle(report('full'));
    await asked('coarse')[0].settle(report('short'));
    expect(answer()).toBe('full');
  });

  test('while a control is dragged only short records run, and results out of order never go back', async () => {
    await scenario.start();
    await asked('full')[0].settle(report('start'));
    for (const power of [36, 35, 34]) scenario.edit(POWER, power, true);
    const [, first, second, third] = asked('coarse');
    expect(asked('full')).toHaveLength(1);
    await second.settle(report('35'));
    expect(answer()).toBe('35');
    await first.settle(report('36'));
    expect(answer()).toBe('35');
    expect(store.state.isPending).toBe(true);
    await third.settle(report('34'));
    expect([answer(), store.state.isPending]).toEqual(['34', false]);
  });

  test('a full result that answers an older scenario is not taken for the newest', async () => {
    await scenario.start();
    scenario.edit(POWER, 35, false);
    await asked('full')[0].settle(report('old'));
    expect(store.state.isPending).toBe(true);
    await asked('full')[1].settle(report('new'));
    expect([answer(), store.state.isPending]).toEqual(['new', false]);
  });

  test('the last result stays while a refused scenario is on the controls', async () => {
    await scenario.start();
    await asked('full')[0].settle(report('good'));
    scenario.edit(POWER, 400, false);
    expect(store.state.issues).toEqual([
      {
        path: POWER,
        rule: 'must be a number from -100 to 90 dBm',
        value: '400',
        remedy: 'set mean output power within that range',
      },
    ]);
    expect(asked('full')).toHaveLength(1);
    expect([answer(), store.state.isPending]).toEqual(['good', false]);
  });

  test('issues that only the engine finds are shown, and a good result clears them', async () => {
    await scenario.start();
    scenario.edit(POWER, 45, false);
    const issue = { path: 'operatingPoint', rule: 'must be within reach', value: '45', remedy: 'lower it' };
    await asked('coarse')[1].settle({ kind: 'invalid', issues: [issue] });
    await asked('full')[1].settle({ kind: 'invalid', issues: [issue] });
    expect([store.state.issues, store.state.isPending]).toEqual([[issue], false]);
    scenario.edit(POWER, 35, false);
    await asked('full')[2].settle(report('good'));
    expect(store.state.issues).toEqual([]);
  });

  test('cancel ends the workers and leaves the last result', async () => {
    await scenario.start();
    await asked('full')[0].settle(report('good'));
    scenario.edit(POWER, 35, false);
    runs.cancel();
    expect(held.cancelCount()).toBe(1);
    expect([answer(), store.state.isPending, store.state.progress]).toEqual(['good', false, null]);
  });

  test('an internal fault is told in the engine’s words', async () => {
    await scenario.start();
    await asked('full')[0].fail('leastSquares: 12 rows cannot determine 30 coefficients');
    expect(store.state.fault).toBe('leastSquares: 12 rows cannot determine 30 coefficients');
    expect(store.state.isPending).toBe(false);
  });
});

describe('the scenario', () => {
  test('undo and redo walk through what was settled, not through every step of a drag', async () => {
    await scenario.start();
    for (const power of [36, 35.5, 35]) scenario.edit(POWER, power, true);
    scenario.edit(POWER, 35, false);
    scenario.edit(POWER, 34, false);
    const power = () => store.state.draft.operatingPoint.meanPowerDbm;
    scenario.undo();
    expect(power()).toBe(35);
    scenario.undo();
    expect([power(), store.state.canUndo, store.state.isEdited]).toEqual([36.5, false, false]);
    scenario.redo();
    expect([power(), store.state.canRedo]).toEqual([35, true]);
    scenario.reset();
    expect(power()).toBe(36.5);
  });

  test('undo from a refused value returns to the last good one', async () => {
    await scenario.start();
    scenario.edit(POWER, 35, false);
    scenario.edit(POWER, 400, false);
    expect(store.state.canUndo).toBe(true);
    scenario.undo();
    expect([store.state.draft.operatingPoint.meanPowerDbm, store.state.issues]).toEqual([35, []]);
  });

  test('the address follows what is settled and starts the page with it', async () => {
    await scenario.start();
    scenario.edit(POWER, 35, false);
    await expect.poll(() => address.fragment).toMatch(/^#1\./);
    const { fragment } = address;
    await expect.poll(async () => (await encodeFragment(store.state.draft)) === fragment).toBe(true);
    setUp(fragment);
    await scenario.start();
    expect([store.state.draft.operatingPoint.meanPowerDbm, store.state.origin]).toEqual([35, 'link']);
  });

  test('a damaged address gives one message and the default scenario', async () => {
    setUp('#1.damaged');
    await scenario.start();
    expect(store.state.notice).toMatch(/could not be read: it was damaged or cut/);
    expect(store.state.draft).toEqual(parsed(preset('quarry-link')));
    expect(asked('full')).toHaveLength(1);
  });

  test('training and judging records change places', async () => {
    await scenario.start();
    scenario.swapRecords();
    expect(store.state.draft.seeds).toEqual({ judging: 2, training: 1, selection: 3 });
  });

  test('a text that is no JSON, or no scenario, is refused with all faults and changes nothing', async () => {
    await scenario.start();
    const before = store.state.draft;
    expect(scenario.loadText('{ "waveform": ', 'text')).toMatchObject({
      kind: 'invalid',
      issues: [{ path: '', rule: 'must be JSON' }],
    });
    const outcome = scenario.loadText('{ "waveform": { "carriers": [] }, "colour": 1 }', 'text');
    expect(outcome.kind === 'invalid' && outcome.issues.length).toBeGreaterThan(2);
    expect(store.state.draft).toBe(before);
  });

  test('a valid text is loaded with its defaults filled in', async () => {
    await scenario.start();
    const text = JSON.stringify(preset('paper-bench'));
    expect(scenario.loadText(text, 'file').kind).toBe('scenario');
    expect([store.state.draft.title, store.state.origin]).toEqual(['Paper Bench', 'file']);
    expect(store.state.draft.predistorter?.learning.solver).toBe('cholesky');
  });
});
