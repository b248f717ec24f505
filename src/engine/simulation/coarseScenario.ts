// A shorter record of the same scenario, for answers while a slider moves.

const COARSE_SYMBOLS = 3;
/** Records that are resampled to a model's rate need a multiple of more symbols; six serves the published models. */
const COARSE_SYMBOLS_RESAMPLED = 6;
const COARSE_SAMPLES = 32768;

/** The same scenario with a short record. Input that is no object comes back as it is, for the check to name. */
export function coarseScenario(input: unknown): unknown {
  if (typeof input !== 'object' || input === null) return input;
  const scenario = input as {
    waveform?: { symbolCount?: unknown; sampleCount?: unknown };
    amplifier?: { model?: { kind?: unknown } };
  };
  if (typeof scenario.waveform !== 'object' || scenario.waveform === null) return input;
  const symbols = scenario.amplifier?.model?.kind === 'published' ? COARSE_SYMBOLS_RESAMPLED : COARSE_SYMBOLS;
  return {
    ...scenario,
    waveform: {
      ...scenario.waveform,
      symbolCount: smaller(scenario.waveform.symbolCount, symbols, 24),
      sampleCount: smaller(scenario.waveform.sampleCount, COARSE_SAMPLES, COARSE_SAMPLES),
    },
  };
}

/** The smaller of a field and a bound; a field that is no number stays, so that the check names it. */
function smaller(value: unknown, bound: number, fallback: number): unknown {
  if (value === undefined) return Math.min(fallback, bound);
  return typeof value === 'number' ? Math.min(value, bound) : value;
}
