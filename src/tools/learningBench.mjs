// The peak memory of learning 20 terms on 2^20 samples in 3 passes, against the record's own bytes: in a process of its
// own, what it holds after each step of learning, and what ever was resident, garbage not yet collected included.
import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';

const SAMPLE_COUNT = 2 ** 20;
/** Real and imaginary part in double precision. */
const RECORD_MIB = (SAMPLE_COUNT * 16) / 2 ** 20;

/**
 * `probe`: the built tests/bench/learningProbe.ts. The records are made first, so that they are in `beforeMib`.
 * @param {string} probe
 */
function script(probe) {
  return `
import { longRecord, learnOn } from ${JSON.stringify(pathToFileURL(probe).href)};
const held = () => { const { heapUsed, external } = process.memoryUsage(); return (heapUsed + external) / 2 ** 20; };
// Arrays found unused in one collection are given back in the next.
const training = longRecord(${SAMPLE_COUNT}, 1);
const selection = longRecord(${SAMPLE_COUNT}, 2);
globalThis.gc();
const beforeMib = held();
const beforeResidentMib = process.memoryUsage().rss / 2 ** 20;
let peakMib = 0;
const start = performance.now();
const passNmseDb = learnOn(training, selection, () => { globalThis.gc(); globalThis.gc(); peakMib = Math.max(peakMib, held()); });
const seconds = (performance.now() - start) / 1000;
const residentMib = process.resourceUsage().maxRSS / 1024 - beforeResidentMib;
console.log(JSON.stringify({ seconds, passNmseDb, heldMib: peakMib - beforeMib, residentMib }));
`;
}

/**
 * @param {string} folder the one with learningProbe.mjs
 * @returns {{ recordMib: number, seconds: number, passNmseDb: number[], heldMib: number, residentMib: number }}
 */
export function benchLearning(folder) {
  const source = script(join(folder, 'learningProbe.mjs'));
  const { status, stdout, stderr } = spawnSync(
    process.execPath,
    ['--expose-gc', '--input-type=module', '--eval', source],
    { encoding: 'utf8' },
  );
  if (status !== 0) throw new Error(`learning on a long record ended with ${status}: ${stderr}`);
  return { recordMib: RECORD_MIB, ...JSON.parse(stdout) };
}
