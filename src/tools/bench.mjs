// `npm run bench`: milliseconds per stage of one run, beside a textbook numpy program that does the same job.
//
//   node src/tools/bench.mjs [--symbols 7,30] [--rounds 5] [--repeats 2] [--no-numpy] [--record 1024] [--json FILE]
//
// Then it learns 20 terms on 2^20 samples and prints what that held at once against the record's own bytes. Last it measures a foreign record of so many MiB (0 leaves it out) and prints the peak memory of that.
//
// Machines are noisy, so both programs take turns: in each round either runs `repeats` times and its best counts. The
// ratio is the median over the rounds. numpy keeps to one thread, as the engine does; it is handed the symbols drawn.
import { spawn, spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { pathToFileURL } from 'node:url';
import { parseArgs } from 'node:util';
import { install } from './build.mjs';
import { repositoryRoot } from './freshness.mjs';
import { benchLearning } from './learningBench.mjs';
import { benchRecord } from './recordBench.mjs';

const PRESET = 'quarry-link';
const STAGES = /** @type {const} */ (['waveform', 'shape', 'amplify', 'learn', 'measure']);
/** How far two programs may be apart that level to ±0.002 dB and share all symbols. */
const AGREEMENT_DB = 0.05;
/** A page's drag wants a coarse run well under a tenth of a second. */
const COARSE_REPEATS = 20;
const WARM_UP_RUNS = 6;
/** Learning may hold no more than this many times its record. */
const LEARNING_MEMORY_RATIO = 10;

/** @typedef {Record<typeof STAGES[number], number>} StageTimes */
/**
 * @typedef {{ sampleCount: number, amplifierPasses: number, learningPasses: number, uncorrectedAclrDb: number,
 *   correctedAclrDb: number, correctedEvmPercent: number }} Figures
 */
/** @typedef {{ times: StageTimes, figures: Figures }} Run */
/** @typedef {{ version: string, run: () => Promise<Run>, end: () => void }} Program */

/** @param {string} folder */
async function buildProbe(folder) {
  const { build } = await import('vite');
  await build({
    root: repositoryRoot,
    configFile: false,
    logLevel: 'warn',
    publicDir: false,
    ssr: { noExternal: true },
    build: {
      ssr: true,
      target: 'es2022',
      outDir: folder,
      emptyOutDir: true,
      rolldownOptions: {
        input: Object.fromEntries(
          ['probe', 'learningProbe'].map((name) => [name, join(repositoryRoot, `tests/bench/${name}.ts`)]),
        ),
        output: { entryFileNames: '[name].mjs' },
      },
    },
  });
  return import(pathToFileURL(join(folder, 'probe.mjs')).href);
}

/** True when there is a python3 with numpy. */
function hasNumpy() {
  return spawnSync('python3', ['-c', 'import numpy'], { stdio: 'ignore' }).status === 0;
}

/**
 * Starts the numpy program on a job and waits until it has read it.
 * @param {string} folder @param {{ job: object, symbols: Float64Array }} description
 * @returns {Promise<Program>}
 */
async function startTextbook(folder, { job, symbols }) {
  writeFileSync(join(folder, 'job.json'), JSON.stringify(job));
  writeFileSync(join(folder, 'symbols.f64'), symbols);
  const oneThread = { OPENBLAS_NUM_THREADS: '1', MKL_NUM_THREADS: '1', OMP_NUM_THREADS: '1' };
  const child = spawn('python3', [join(repositoryRoot, 'tests/bench/textbook.py'), folder], {
    env: { ...process.env, ...oneThread },
    stdio: ['pipe', 'pipe', 'inherit'],
  });
  const lines = createInterface({ input: child.stdout })[Symbol.asyncIterator]();
  const next = async () => {
    const { value, done } = await lines.next();
    if (done) throw new Error('the numpy program ended early; its message is above');
    return JSON.parse(value);
  };
  const { numpy, scipy } = await next();
  return {
    version: `numpy ${numpy}${scipy ? ' with scipy' : ''}`,
    run: () => {
      child.stdin.write('run\n');
      return next();
    },
    end: () => child.stdin.end(),
  };
}

/** @param {Run[]} runs @returns {StageTimes & { total: number }} the best of each stage and of the total */
function bestOf(runs) {
  const totals = runs.map(totalOf);
  const stages = STAGES.map((stage) => [stage, Math.min(...runs.map((run) => run.times[stage]))]);
  return { ...Object.fromEntries(stages), total: Math.min(...totals) };
}

/** @param {Run} run */
function totalOf({ times }) {
  return STAGES.reduce((sum, stage) => sum + times[stage], 0);
}

/** The middle value, or the mean of the two in the middle. @param {number[]} values @returns {number} */
function medianOf(values) {
  const sorted = [...values].sort((a, b) => a - b);
  const half = Math.floor((sorted.length - 1) / 2);
  const middle = sorted.slice(half, sorted.length - half);
  return middle.reduce((sum, value) => sum + value, 0) / middle.length;
}

/**
 * Both programs in turns.
 * @param {any} probe @param {number} symbolCount @param {{ rounds: number, repeats: number, numpy: boolean }} options
 */
async function compare(probe, symbolCount, { rounds, repeats, numpy }) {
  const scenario = probe.scenarioOf(PRESET, symbolCount);
  const folder = mkdtempSync(join(tmpdir(), 'kneepoint-bench-'));
  const textbook = numpy ? await startTextbook(folder, probe.describeJob(scenario)) : null;
  /** @type {{ ours: Run[], theirs: Run[] }[]} */
  const taken = [];
  try {
    // Round −1 warms both up and is thrown away; a compiler at run time needs a few runs.
    for (let round = -1; round < rounds; round++) {
      const ours = [];
      const theirs = [];
      const runCount = round < 0 ? WARM_UP_RUNS : repeats;
      for (let i = 0; i < runCount; i++) ours.push(probe.timeRun(scenario, () => performance.now()));
      for (let i = 0; i < repeats && textbook !== null; i++) theirs.push(await textbook.run());
      if (round >= 0) taken.push({ ours, theirs });
    }
  } finally {
    textbook?.end();
    rmSync(folder, { recursive: true, force: true });
  }
  return summarise(symbolCount, textbook?.version ?? null, taken);
}

/** @param {number} symbolCount @param {string | null} version @param {{ ours: Run[], theirs: Run[] }[]} taken */
function summarise(symbolCount, version, taken) {
  const rows = [...STAGES, /** @type {const} */ ('total')].map((stage) => {
    const all = (/** @type {'ours' | 'theirs'} */ who) =>
      taken.flatMap((round) => round[who].map((run) => (stage === 'total' ? totalOf(run) : run.times[stage])));
    const summary = (/** @type {'ours' | 'theirs'} */ who) => ({
      bestMs: Math.min(...all(who)),
      medianMs: medianOf(all(who)),
    });
    const theirs = version === null ? null : summary('theirs');
    const ratios = taken.map(({ ours, theirs }) => bestOf(theirs)[stage] / bestOf(ours)[stage]);
    const ratio = version === null ? null : medianOf(ratios);
    return { stage, ours: summary('ours'), numpy: theirs, ratio };
  });
  const figuresOf = (/** @type {'ours' | 'theirs'} */ who) => taken.flatMap((round) => round[who])[0]?.figures ?? null;
  return {
    symbolCount,
    numpyVersion: version,
    rows,
    figures: { ours: /** @type {Figures} */ (figuresOf('ours')), numpy: figuresOf('theirs') },
  };
}

/** The coarse run of the page while a slider moves, its records known. @param {any} probe @param {string} preset */
function timeCoarse(probe, preset) {
  const scenario = probe.coarseScenarioOf(preset);
  const memory = probe.createRunMemory();
  const clock = () => performance.now();
  const times = Array.from({ length: COARSE_REPEATS + 1 }, () => probe.timeWholeRun(scenario, memory, clock)).slice(1);
  return { preset, bestMs: Math.min(...times), medianMs: medianOf(times) };
}

/** @param {any} probe @param {string} preset */
function timeWhole(probe, preset) {
  const scenario = probe.scenarioOf(preset, null);
  const clock = () => performance.now();
  const times = Array.from({ length: 4 }, () => probe.timeWholeRun(scenario, probe.createRunMemory(), clock)).slice(1);
  return { preset, bestMs: Math.min(...times), medianMs: medianOf(times) };
}

/** @param {Awaited<ReturnType<typeof compare>>} result */
function printComparison({ rows, figures, numpyVersion }) {
  const { ours, numpy } = figures;
  const ms = (/** @type {{ bestMs: number, medianMs: number } | null} */ t) =>
    t === null ? '' : `${t.bestMs.toFixed(1).padStart(8)} ${t.medianMs.toFixed(1).padStart(8)}`;
  print(`\nQuarry Link, ${ours.sampleCount} samples: one run in ms`);
  print(
    `${'stage'.padEnd(10)} ${'best'.padStart(8)} ${'median'.padStart(8)}${numpy ? '   numpy best   median  numpy/ours' : ''}`,
  );
  for (const { stage, ours: t, numpy: n, ratio } of rows) {
    print(`${stage.padEnd(10)} ${ms(t)}${n === null ? '' : `     ${ms(n)} ${(ratio ?? 0).toFixed(1).padStart(11)}`}`);
  }
  const pair = (/** @type {keyof Figures} */ name, digits = 0) =>
    [ours, ...(numpy ? [numpy] : [])].map((one) => one[name].toFixed(digits)).join(' / ');
  print(
    `${numpyVersion === null ? 'figures' : `ours / ${numpyVersion}`}: learning passes ${pair('learningPasses')}, ` +
      `amplifier passes ${pair('amplifierPasses')}, ACLR ${pair('uncorrectedAclrDb', 3)} dB, ` +
      `corrected ${pair('correctedAclrDb', 3)} dB, EVM ${pair('correctedEvmPercent', 4)} %`,
  );
  if (numpy === null) return;
  const apart = Math.max(
    Math.abs(ours.uncorrectedAclrDb - numpy.uncorrectedAclrDb),
    Math.abs(ours.correctedAclrDb - numpy.correctedAclrDb),
  );
  const verdict = apart <= AGREEMENT_DB ? 'the programs agree' : 'THE PROGRAMS DISAGREE: the ratios mean nothing';
  print(`${verdict}: ACLR within ${apart.toFixed(4)} dB`);
  if (apart > AGREEMENT_DB) process.exitCode = 1;
}

/** @param {ReturnType<typeof benchRecord>} record @param {number} asked */
function printRecord(record, asked) {
  if (asked === 0) return;
  if (record === null) print(`\nno room on the disk for twice ${asked} MiB: the foreign record is left out`);
  else {
    const time = record.seconds.toFixed(1);
    print(`\nforeign record of ${asked} MiB, measured in ${time} s: peak memory ${record.peakMib.toFixed(0)} MiB`);
  }
}

/** @param {ReturnType<typeof benchLearning>} learning */
function printLearning({ recordMib, seconds, heldMib, residentMib }) {
  const times = (/** @type {number} */ mebibytes) => `${(mebibytes / recordMib).toFixed(1)} × the record`;
  print(`\nlearning 20 terms on 2^20 samples (${recordMib} MiB), 3 passes: ${seconds.toFixed(1)} s`);
  print(`heap and arrays at most ${heldMib.toFixed(0)} MiB above both records, ${times(heldMib)}`);
  print(`resident at most ${residentMib.toFixed(0)} MiB above them, ${times(residentMib)}`);
  if (heldMib <= LEARNING_MEMORY_RATIO * recordMib) return;
  print(`MORE THAN ${LEARNING_MEMORY_RATIO} TIMES THE RECORD`);
  process.exitCode = 1;
}

/** @param {string} line */
function print(line) {
  process.stdout.write(`${line}\n`);
}

function readOptions() {
  const { values } = parseArgs({
    options: {
      symbols: { type: 'string', default: '7,30' },
      rounds: { type: 'string', default: '5' },
      repeats: { type: 'string', default: '2' },
      'no-numpy': { type: 'boolean', default: false },
      record: { type: 'string', default: '1024' },
      json: { type: 'string' },
    },
  });
  const whole = (/** @type {string} */ text, /** @type {string} */ name) => {
    if (!/^[1-9]\d*$/.test(text)) throw new Error(`--${name} must be whole numbers of at least 1, got ${text}`);
    return Number(text);
  };
  return {
    symbols: values.symbols.split(',').map((text) => whole(text, 'symbols')),
    rounds: whole(values.rounds, 'rounds'),
    repeats: whole(values.repeats, 'repeats'),
    numpy: !values['no-numpy'],
    recordMib: values.record === '0' ? 0 : whole(values.record, 'record'),
    json: values.json,
  };
}

async function main() {
  const { symbols, json, ...options } = readOptions();
  install();
  const numpy = options.numpy && hasNumpy();
  if (options.numpy && !numpy) process.stderr.write('no python3 with numpy here: our times only\n');
  const folder = mkdtempSync(join(tmpdir(), 'kneepoint-probe-'));
  try {
    const probe = await buildProbe(folder);
    const comparisons = [];
    for (const count of symbols) {
      const result = await compare(probe, count, { ...options, numpy });
      printComparison(result);
      comparisons.push(result);
    }
    const coarse = timeCoarse(probe, PRESET);
    const whole = [PRESET, 'paper-bench'].map((preset) => timeWhole(probe, preset));
    print(`\n${'other runs'.padEnd(28)} ${'best'.padStart(8)} ${'median'.padStart(8)}`);
    const row = (/** @type {string} */ name, /** @type {{ bestMs: number, medianMs: number }} */ t) =>
      print(`${name.padEnd(28)} ${t.bestMs.toFixed(1).padStart(8)} ${t.medianMs.toFixed(1).padStart(8)}`);
    row(`${PRESET}, coarse (a drag)`, coarse);
    for (const one of whole) row(`${one.preset}, as it is`, one);
    const learning = benchLearning(folder);
    printLearning(learning);
    const record = options.recordMib === 0 ? null : benchRecord(folder, options.recordMib);
    printRecord(record, options.recordMib);
    if (json !== undefined) {
      const result = { node: process.version, ...options, comparisons, coarse, whole, learning, record };
      writeFileSync(json, `${JSON.stringify(result, null, 2)}\n`);
    }
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

main().catch((error) => {
  process.stderr.write(`npm run bench: ${error instanceof Error ? error.message : error}\n`);
  process.exitCode = 2;
});
