// A shorter record of the same scenario, for answers while a slider moves.
import { parseScenario } from '../../../shared/schema/parse.ts';
import type { Scenario, ScenarioInput } from '../../../shared/schema/scenario.ts';
import { isPowerOfTwo } from '../dsp/fft.ts';
import { NO_RECORDS, type RecordStore } from '../dsp/waveformTypes.ts';
import { resolveWaveform } from '../waveform/resolve.ts';
import { checkScenario } from './checkScenario.ts';

const COARSE_SYMBOLS = 3;
/** Records that are resampled to a model's rate need a multiple of more symbols; six serves most published models. */
const COARSE_SYMBOLS_RESAMPLED = 6;
const COARSE_SAMPLES = 32768;
/** Lengths tried, one symbol more each; narrow spacings need up to 48 symbols for a whole count at a model's rate. */
const MOST_TRIES = 48;

/**
 * The same scenario with the shortest record that passes the check; segments and training samples that no longer fit
 * into it are shortened with it. A scenario with faults, or one that passes only in full, comes back as it is.
 */
export function coarseScenario(input: unknown, records: RecordStore = NO_RECORDS): unknown {
  const parsed = parseScenario(input);
  if (parsed.kind === 'invalid') return input;
  const { scenario } = parsed;
  const { symbolCount, sampleCount } = scenario.waveform;
  const leastSymbols = scenario.amplifier.model.kind === 'published' ? COARSE_SYMBOLS_RESAMPLED : COARSE_SYMBOLS;
  for (let tries = 0; tries < MOST_TRIES; tries++) {
    const length = {
      symbolCount: Math.min(symbolCount, leastSymbols + tries),
      sampleCount: Math.min(sampleCount, COARSE_SAMPLES * 2 ** Math.min(tries, 9)),
    };
    const shorter = shorten(input as ScenarioInput, scenario, length, records);
    if (shorter !== null && checkScenario(shorter, records).kind === 'resolved') return shorter;
    // A scenario that is at fault in full has no shorter form to look for.
    if (tries === 0 && checkScenario(input, records).kind === 'invalid') return input;
    if (length.symbolCount === symbolCount && length.sampleCount === sampleCount) break;
  }
  return input;
}

type RecordLength = Pick<Scenario['waveform'], 'symbolCount' | 'sampleCount'>;

/** Null when the waveform cannot have this length. */
function shorten(
  input: ScenarioInput,
  scenario: Scenario,
  length: RecordLength,
  records: RecordStore,
): ScenarioInput | null {
  const resolution = resolveWaveform({ ...scenario.waveform, ...length }, records);
  if (resolution.kind === 'invalid') return null;
  const { sampleCount } = resolution.waveform;
  const shorter: ScenarioInput = { ...input, waveform: { ...input.waveform, ...length } };
  const { segmentLength } = scenario.measurement.spectrum;
  if (segmentLength > sampleCount && isPowerOfTwo(segmentLength)) {
    const spectrum = { ...input.measurement?.spectrum, segmentLength: 2 ** Math.floor(Math.log2(sampleCount)) };
    shorter.measurement = { ...input.measurement, spectrum };
  }
  const training = scenario.predistorter?.learning.trainingSampleCount ?? 'all';
  if (training !== 'all' && training > sampleCount && input.predistorter) {
    const learning = { ...input.predistorter.learning, trainingSampleCount: sampleCount };
    shorter.predistorter = { ...input.predistorter, learning };
  }
  return shorter;
}
