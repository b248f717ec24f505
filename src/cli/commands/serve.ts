// `kneepoint serve`: the built page on the loopback address, until interrupted.
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { isCheckout, repositoryRoot } from '../../tools/freshness.mjs';
import { serveFolder } from '../../tools/serve.mjs';
import { EXIT, type ExitCode, type Session, unusable } from '../session.ts';

export async function serve(session: Session, options: { readonly port?: number }): Promise<ExitCode> {
  const root = join(repositoryRoot, 'dist', 'page');
  if (isCheckout()) await buildPage();
  if (!existsSync(join(root, 'index.html'))) {
    throw unusable('serve', 'must find the built page', root, 'install the package again');
  }
  const server = await open(root, options.port);
  session.stdout(`Kneepoint is at ${server.url}\n`);
  session.stderr('Ctrl+C ends it\n');
  await session.untilInterrupted();
  await server.close();
  return EXIT.result;
}

async function open(root: string, port: number | undefined) {
  try {
    return await serveFolder(port === undefined ? { root, port: 4173, anyPort: true } : { root, port });
  } catch (error) {
    const reason = error instanceof Error ? error.message : String(error);
    throw unusable('--port', 'must be a free port', reason, 'pick another port, or leave it out');
  }
}

/** In a checkout the page may be older than its sources. The builder is not part of the built program. */
async function buildPage(): Promise<void> {
  const builder = pathToFileURL(join(repositoryRoot, 'src', 'tools', 'build.mjs')).href;
  const { prepare } = (await import(/* @vite-ignore */ builder)) as { prepare: (names: string[]) => void };
  prepare(['page']);
}
