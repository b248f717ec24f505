// The worker's answer about identifying an amplifier: files in, model, report and pictures' arrays out. Apart from the
// entry, so that it can be tested over a MessageChannel.
import { releaseProxy, transfer } from 'comlink';
import type { Issue } from '../../shared/schema/issue.ts';
import { buffersOf } from './engineApi.ts';
import type {
  IdentifyAnswer,
  IdentifyApi,
  IdentifyProgress,
  IdentifyRequest,
  RecordPairSource,
} from './identifyProtocol.ts';
import { type FileOutcome, type FileOutcomeRecord, type RecordEngine, readSource } from './recordApi.ts';

export interface RecordPairInput {
  readonly drive: FileOutcomeRecord;
  readonly observed: FileOutcomeRecord;
}

/** The parts of the engine's interface that identifying calls. */
export interface IdentifyEngine extends RecordEngine {
  identifyAmplifier(
    input: RecordPairInput & { readonly validation: RecordPairInput | null } & IdentifyRequest['settings'],
    options: { readonly onProgress: (progress: IdentifyProgress) => void },
  ): IdentifyAnswer;
}

type PairOutcome = RecordPairInput | { readonly issues: readonly Issue[] };

/** Wraps an engine for exposure. Nothing is kept between requests. */
export function createIdentifyApi(engine: IdentifyEngine): IdentifyApi {
  return {
    async identify(request, onProgress) {
      const tell = (progress: IdentifyProgress) => void onProgress?.(progress);
      try {
        tell({ label: 'Reading the records', doneRatio: 0 });
        const pair = await readPair(engine, request, '');
        const validation = request.validation && (await readPair(engine, request.validation, 'validation.'));
        const issues = [pair, validation].flatMap((one) => (one !== null && 'issues' in one ? one.issues : []));
        if ('issues' in pair || (validation !== null && 'issues' in validation)) return { kind: 'invalid', issues };
        const answer = engine.identifyAmplifier({ ...pair, validation, ...request.settings }, { onProgress: tell });
        return transfer(answer, buffersOf(answer));
      } finally {
        // Comlink adds the symbol to the proxy it makes of the callback; the type of a local function lacks it.
        (onProgress as { [releaseProxy]?: () => void } | null)?.[releaseProxy]?.();
      }
    },
  };
}

/** Faults of either file under the name of its place in the request. */
async function readPair(engine: RecordEngine, source: RecordPairSource, prefix: string): Promise<PairOutcome> {
  const drive = await readSource(engine, source.drive);
  const observed = await readSource(engine, source.observed);
  if (drive.kind === 'record' && observed.kind === 'record') return { drive: drive.record, observed: observed.record };
  return { issues: [...placed(drive, `${prefix}drive`), ...placed(observed, `${prefix}observed`)] };
}

function placed(outcome: FileOutcome, place: string): Issue[] {
  if (outcome.kind === 'record') return [];
  return outcome.issues.map((issue) => ({ ...issue, path: issue.path === '' ? place : `${place}.${issue.path}` }));
}
