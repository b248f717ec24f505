// `kneepoint wave`: a scenario's waveform as a SigMF record.

import { formatEngineering, formatQuantity } from '../../../shared/format/numbers.ts';
import { parseScenario } from '../../../shared/schema/parse.ts';
import {
  type ComplexSignal,
  ENGINE_VERSION,
  learnedLevelDbfs,
  makeWaveform,
  type RecordName,
} from '../../engine/index.ts';
import { readPredistorter } from '../input/predistorterFile.ts';
import { writeRecord } from '../input/record.ts';
import { readScenario } from '../input/scenario.ts';
import { tellWarnings } from '../output/messages.ts';
import { EXIT, type ExitCode, type Session, UnusableInput } from '../session.ts';

export interface WaveOptions {
  readonly set: readonly string[];
  readonly record: RecordName;
  /** Mean power of the written samples, dBfs. */
  readonly mean: number;
  /** A predistorter whose level is taken in place of the mean. */
  readonly for?: string;
  readonly out?: string;
}

export function wave(session: Session, name: string | undefined, options: WaveOptions): ExitCode {
  const source = readScenario(session, name, options.set);
  const outcome = makeWaveform(source.input, options.record, source.records);
  if (outcome.kind === 'invalid') throw new UnusableInput(source.name, outcome.issues);
  const parsed = parseScenario(source.input);
  if (parsed.kind === 'invalid') throw new UnusableInput(source.name, parsed.issues);
  const { scenario } = parsed;
  const { sampleRateHz } = outcome.waveform;
  const meanDbfs = meanOf(session, options);
  const signal = atMeanPower(outcome.waveform.signal, meanDbfs);
  const level = formatQuantity(meanDbfs, 'dBfs');
  const seed = scenario.seeds[options.record];
  const written = writeRecord(session, options.out ?? `${fileName(source.name)}-${options.record}`, {
    signal,
    sampleRateHz,
    centreFrequencyHz: scenario.carrierFrequencyHz,
    description: `${scenario.title}: ${options.record} record, seed ${seed}, one period, mean power ${level}; invented data`,
    recorder: `kneepoint ${ENGINE_VERSION}`,
  });
  session.stdout(`${written.join('\n')}\n`);
  const length = `${signal.re.length} samples at ${formatEngineering(sampleRateHz, 'Hz', 6)}`;
  session.stderr(
    `${scenario.title}, ${options.record} record (seed ${seed}): ${length}, cf32_le, mean power ${level}\n`,
  );
  tellWarnings(session, outcome.notes);
  return EXIT.result;
}

/** As asked for, or the level of the predistorter's learning. */
function meanOf(session: Session, options: WaveOptions): number {
  if (options.for === undefined) return options.mean;
  const { stored } = readPredistorter(session, options.for);
  return stored === null ? options.mean : learnedLevelDbfs(stored);
}

/** Of a scenario file its name without folder and ending. */
function fileName(source: string): string {
  const base = source === '-' ? 'scenario' : (source.split(/[\\/]/).at(-1) ?? source);
  return base.replace(/\.json$/i, '');
}

/** A generated record has mean power 1, which is 0 dBfs. */
function atMeanPower(signal: ComplexSignal, meanDbfs: number): ComplexSignal {
  const ratio = 10 ** (meanDbfs / 20);
  return { re: signal.re.map((value) => ratio * value), im: signal.im.map((value) => ratio * value) };
}
