// The built program: process streams, signals and the exit code around the commands.
import { readFileSync } from 'node:fs';
import { runProgram } from './program.ts';
import { EXIT, type Session } from './session.ts';

const session: Session = {
  stdout: (text) => void process.stdout.write(text),
  stderr: (text) => void process.stderr.write(text),
  isTerminal: process.stderr.isTTY === true,
  columns: process.stderr.columns ?? 80,
  folder: process.cwd(),
  readStdin: () => readFileSync(0, 'utf8'),
  untilInterrupted: () =>
    new Promise((resolve) => {
      for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => resolve());
    }),
};

// Whoever reads the output may stop reading early, as `head` does; that is no fault.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code !== 'EPIPE') throw error;
  process.exit(EXIT.result);
});

process.exitCode = await runProgram(process.argv.slice(2), session);
