// The peak memory of `kneepoint measure` on a foreign record that no machine wants to hold: generated in pieces, measured
// by the built program in a process of its own, removed.
import { spawnSync } from 'node:child_process';
import { closeSync, openSync, statfsSync, writeFileSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { prepare } from './build.mjs';
import { repositoryRoot } from './freshness.mjs';

const MIB = 2 ** 20;
const SAMPLES_PER_MIB = MIB / 8;
const SAMPLE_RATE_HZ = 122.88e6;
/** The record, and as much again for everybody else. */
const FREE_SHARE = 2;

/**
 * What the process prints when it ends; nothing else asks it for its memory. `maxRSS` begins, where Linux starts a
 * process, at what the process that started it held; the peak of its own memory stands in /proc.
 */
const TELL_MEMORY = `
import { readFileSync } from "node:fs";
process.on("exit", () => {
  let peak = process.resourceUsage().maxRSS;
  try { peak = Number(/^VmHWM:\\s*(\\d+)/m.exec(readFileSync("/proc/self/status", "utf8"))[1]); } catch {}
  process.stderr.write("\\npeak " + peak + "\\n");
});`;

/**
 * Null when the disk has too little room.
 * @param {string} folder @param {number} mebibytes
 * @returns {{ mebibytes: number, seconds: number, peakMib: number } | null}
 */
export function benchRecord(folder, mebibytes) {
  const { bavail, bsize } = statfsSync(folder);
  if (bavail * bsize < FREE_SHARE * mebibytes * MIB) return null;
  const record = join(folder, 'large');
  writeLargeRecord(record, mebibytes);
  prepare(['cli']);
  const start = performance.now();
  const { status, stderr } = spawnSync(
    process.execPath,
    [
      '--import',
      `data:text/javascript,${encodeURIComponent(TELL_MEMORY)}`,
      join(repositoryRoot, 'dist/cli/main.js'),
      'measure',
      record,
      '--json',
    ],
    { encoding: 'utf8' },
  );
  const peakKib = Number(/^peak (\d+)$/m.exec(stderr)?.[1]);
  if (status !== 0 || !(peakKib > 0)) throw new Error(`measure ended with ${status}: ${stderr}`);
  return { mebibytes, seconds: (performance.now() - start) / 1000, peakMib: peakKib / 1024 };
}

/**
 * Noise in about a tenth of the rate, cf32: four low-pass filters of one pole behind a congruential generator.
 * @param {string} name @param {number} mebibytes
 */
function writeLargeRecord(name, mebibytes) {
  const samples = new Float32Array(2 * SAMPLES_PER_MIB);
  const states = new Float64Array(8);
  let seed = 12345;
  const file = openSync(`${name}.sigmf-data`, 'w');
  for (let m = 0; m < mebibytes; m++) {
    for (let i = 0; i < samples.length; i++) {
      seed = (1664525 * seed + 1013904223) >>> 0;
      let value = seed / 2 ** 32 - 0.5;
      for (let s = i & 1; s < states.length; s += 2) {
        states[s] = value = 0.85 * /** @type {number} */ (states[s]) + 0.15 * value;
      }
      samples[i] = value;
    }
    writeSync(file, samples);
  }
  closeSync(file);
  const metadata = {
    global: { 'core:datatype': 'cf32_le', 'core:version': '1.2.5', 'core:sample_rate': SAMPLE_RATE_HZ },
    captures: [],
    annotations: [],
  };
  writeFileSync(`${name}.sigmf-meta`, JSON.stringify(metadata));
}
