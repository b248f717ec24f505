import { ENGINE_NAME } from '../engine/index.ts';

process.stdout.write(`${ENGINE_NAME}\n`);
