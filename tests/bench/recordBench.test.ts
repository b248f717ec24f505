// Records are measured in constant memory: the bench's own figure on a record that would not fit into what is allowed.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { benchRecord } from '../../src/tools/recordBench.mjs';

// The program may have to be built.
test('192 MiB of samples are measured in less than they would take as numbers', { timeout: 180_000 }, () => {
  const folder = mkdtempSync(join(tmpdir(), 'kneepoint-large-'));
  try {
    const result = benchRecord(folder, 192);
    // Null where the disk has no room: nothing can be said.
    if (result === null) return;
    // Bytes and samples together would be 192 + 384 MiB; the program by itself takes 60 to 130.
    expect(result.peakMib).toBeLessThan(300);
    expect(result.peakMib).toBeGreaterThan(30);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
});
