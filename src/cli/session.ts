// What a command may touch of the world: its streams, the working folder and the way it ends.
import type { Issue } from '../engine/index.ts';

/**
 * Exit codes: 0 a result, 1 a limit is missed (only when asked) or a claim does not hold, 2 unusable input, 3 an internal
 * fault, 130 interrupted (128 and the number of the signal, as shells have it).
 */
export const EXIT = { result: 0, limitMissed: 1, unusableInput: 2, internalFault: 3, interrupted: 130 } as const;
export type ExitCode = (typeof EXIT)[keyof typeof EXIT];

export interface Session {
  /** Data only. */
  readonly stdout: (text: string) => void;
  /** Everything else. */
  readonly stderr: (text: string) => void;
  /** True when stderr is a terminal: progress is shown. */
  readonly isTerminal: boolean;
  /** Text columns of that terminal, for the progress line. */
  readonly columns: number;
  /** Paths are relative to it. */
  readonly folder: string;
  readonly readStdin: () => string;
  /** Resolves when the user asks the program to end; `serve` waits for it, a study ends early by it. */
  readonly untilInterrupted: () => Promise<void>;
}

/** Input that cannot be used: listed on stderr, exit code 2. */
export class UnusableInput extends Error {
  readonly issues: readonly Issue[];
  /** What the issues are of, such as a file's name. */
  readonly subject: string;

  constructor(subject: string, issues: readonly Issue[]) {
    super(`${subject}: ${issues.length} faults`);
    this.name = 'UnusableInput';
    this.subject = subject;
    this.issues = issues;
  }
}

/** One fault of something that is named by itself. */
export function unusable(subject: string, rule: string, value: string, remedy: string): UnusableInput {
  return new UnusableInput(subject, [{ path: '', rule, value, remedy }]);
}
