// A terminal for tests: a folder of its own, captured streams, the commands run in this process.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { onTestFinished } from 'vitest';
import { runProgram } from '../../src/cli/program.ts';
import type { Session } from '../../src/cli/session.ts';

export interface Terminal {
  readonly session: Session;
  readonly folder: string;
  out: string;
  err: string;
}

export function openTerminal(options: { stdin?: string; isTerminal?: boolean } = {}): Terminal {
  const folder = mkdtempSync(join(tmpdir(), 'kneepoint-cli-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  const terminal: Terminal = {
    folder,
    out: '',
    err: '',
    session: {
      stdout: (text) => {
        terminal.out += text;
      },
      stderr: (text) => {
        terminal.err += text;
      },
      isTerminal: options.isTerminal ?? false,
      columns: 60,
      folder,
      readStdin: () => options.stdin ?? '',
      untilInterrupted: () => new Promise(() => {}),
    },
  };
  return terminal;
}

/** Runs one command line in a terminal of its own, or in the one given. */
export async function kneepoint(args: readonly string[], terminal = openTerminal()) {
  const code = await runProgram(args, terminal.session);
  const { out, err, folder } = terminal;
  return { code, out, err, folder };
}

/** Small enough for a test, sound enough to be read: three noise carriers' worth of nothing fancy. */
export const SMALL_SCENARIO = {
  title: 'Small bench',
  waveform: {
    carriers: [{ kind: 'noise', occupiedBandwidthHz: 9e6, channelBandwidthHz: 10e6 }],
    sampleCount: 2 ** 15,
    sampleRateHz: 122.88e6,
  },
  amplifier: {
    model: { kind: 'filterNonlinearityFilter', kneeSharpness: 1.5, amPmDeg: 5 },
    saturatedPowerDbm: 40,
    gainDb: 30,
    outputLossDb: 1,
  },
  operatingPoint: { outputBackoffDb: 9 },
  predistorter: { nonlinearOrders: [1, 3, 5], memoryDepth: 1, learning: { passCount: 1 } },
  limits: [{ reading: 'aclr', requiredDb: 30 }],
};
