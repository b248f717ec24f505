// Collects the type declarations that go with the library. They name valibot's types, and a packed library must not
// need another package, so valibot's declarations travel with it.
import { copyFileSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import { repositoryRoot } from './freshness.mjs';

const VALIBOT_DECLARATIONS = 'node_modules/valibot/dist/index.d.mts';
const LAYERS = ['shared', 'src/engine'];

/**
 * @param {string} from  the compiler's declarations of all layers
 * @param {string} to    a folder that is complete in itself afterwards
 */
export function writeDeclarations(from, to) {
  let namesValibot = false;
  for (const layer of LAYERS) {
    for (const name of readdirSync(join(from, layer), { recursive: true, encoding: 'utf8' })) {
      if (!name.endsWith('.d.ts')) continue;
      const target = join(to, layer, name);
      const path = relative(dirname(target), join(to, 'valibot.mjs')).replaceAll('\\', '/');
      const text = readFileSync(join(from, layer, name), 'utf8');
      const complete = text.replaceAll(/(["'])valibot\1/g, `'${path}'`);
      namesValibot ||= complete !== text;
      mkdirSync(dirname(target), { recursive: true });
      writeFileSync(target, complete);
    }
  }
  if (namesValibot) copyFileSync(join(repositoryRoot, VALIBOT_DECLARATIONS), join(to, 'valibot.d.mts'));
}
