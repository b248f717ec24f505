#!/usr/bin/env node
// The command `kneepoint`. In a checkout it first installs and builds what is missing or old, so that one command works
// in a fresh clone; an installed package runs its built file. No package is imported here: none may be installed yet.
import { isCheckout } from '../tools/freshness.mjs';

const [major = 0, minor = 0] = process.versions.node.split('.').map(Number);
if (major < 20 || (major === 20 && minor < 19)) {
  process.stderr.write(`kneepoint: Node.js must be 20.19 or newer, got ${process.versions.node}\n`);
  process.exit(3);
}

if (isCheckout()) {
  try {
    const { prepare } = await import('../tools/build.mjs');
    prepare(['cli']);
  } catch (error) {
    process.stderr.write(`kneepoint: ${error instanceof Error ? error.message : error}\n`);
    process.exit(3);
  }
}

// A variable keeps the type checker from asking for a file that a build makes.
const program = new URL('../../dist/cli/main.js', import.meta.url).href;
await import(program);
