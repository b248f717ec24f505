// A burst after a silence: the slow states have settled with the drive actually used (the predistorted one where there
// is a predistorter), the transmitter is silent, heat and traps relax, and the record is sent once as the burst.
//
//   EVM net   √(EVM² − EVM_shaping²), both of one symbol, percent of the whole reference's rms
//   droop     20·log10|Σ y_warm*·y/Σ|y_warm|²| over the first symbol: its gain against the warm burst's
//
// The equalizer is taken from the warm burst, whose states are as the burst itself leaves them: a receiver that has
// learned its channel in service. The shaped waveform has an equalizer of its own.
import { formatEngineering, formatFixed } from '../../../shared/format/numbers.ts';
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import type { OnProgress } from '../../../shared/schema/report.ts';
import { SLOW_STATE_BLOCK } from '../amplifier/slowStates.ts';
import { type ComplexSignal, leastSquaresGain, type Samples } from '../dsp/complex.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { estimateSpectrum } from '../dsp/spectrum.ts';
import type { Waveform } from '../dsp/waveformTypes.ts';
import { worstAclrDb } from '../measurement/aclr.ts';
import { errorByRow } from '../measurement/errorVector.ts';
import { columnGains, divideColumns } from '../measurement/evmEqualizer.ts';
import { createDemodulator } from '../measurement/evmWindow.ts';
import { alignAmplifier } from './alignAmplifier.ts';
import { driveUncorrected, makeRecords } from './chain.ts';
import { checkScenario, type Setup } from './checkScenario.ts';
import { linearize } from './linearize.ts';
import { aclrOf } from './readings.ts';
import { createRunMemory, type RunMemory } from './runMemory.ts';

export interface ColdBurst {
  /** Silence before the burst; null for the warm burst. */
  readonly silenceS: number | null;
  /** EVM of each symbol against the data, the warm burst's equalizer. Shape [symbolCount]. */
  readonly symbolPercent: Samples;
  /** The same without what shaping spent on that symbol. Shape [symbolCount]. */
  readonly netPercent: Samples;
  /** Gain of the first symbol against the warm burst. */
  readonly droopDb: number;
  /** Worst side of the first channel, over the whole burst and over its first two symbols; null where not read. */
  readonly aclrDb: number | null;
  readonly firstSymbolsAclrDb: number | null;
}

export interface ColdStart {
  readonly symbolDurationS: number;
  /** EVM that shaping spent on each symbol. Shape [symbolCount]. */
  readonly shapingPercent: Samples;
  /** False where no correction was asked for, or none was found. */
  readonly isCorrected: boolean;
  readonly warm: ColdBurst;
  /** One for each silence, in the order asked for. */
  readonly bursts: readonly ColdBurst[];
}

export type ColdStartOutcome =
  | { readonly kind: 'coldStart'; readonly coldStart: ColdStart }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

/** Symbols at the start of the burst whose ACLR is read by itself. */
const FIRST_SYMBOLS = 2;

/**
 * Sends the judging record of a scenario as a burst after each of these silences. The first carrier is read, which must
 * be OFDM.
 */
export function coldStart(
  input: unknown,
  silencesS: readonly number[],
  options: { readonly memory?: RunMemory; readonly onProgress?: OnProgress } = {},
): ColdStartOutcome {
  const checked = checkScenario(input, options.memory?.records);
  if (checked.kind === 'invalid') return checked;
  const issues = coldStartIssues(checked.setup, silencesS);
  if (issues.length > 0) return { kind: 'invalid', issues };
  const records = makeRecords(checked.setup, options.memory ?? createRunMemory(), {});
  const { waveform } = records.judging;
  const levelled = driveUncorrected(checked.setup, waveform);
  if ('rule' in levelled) return { kind: 'invalid', issues: [levelled] };
  const { setup, uncorrected } = alignAmplifier(checked.setup, levelled);
  const linearization = linearize(setup, records, uncorrected, {}, (pass) =>
    options.onProgress?.({ stage: 'learning', label: `Learning, pass ${pass + 1}`, doneRatio: 0.4 }),
  );
  const corrected = linearization?.rejectedBecause === null ? linearization.corrected : null;
  const { drive, output } = corrected ?? uncorrected;
  const read = reader(setup, waveform, output);
  return {
    kind: 'coldStart',
    coldStart: {
      symbolDurationS: read.symbolDurationS,
      shapingPercent: read.shapingPercent,
      isCorrected: corrected !== null,
      warm: read.burst(null, output),
      bursts: silencesS.map((silenceS) => read.burst(silenceS, setup.amplifier.amplifyAfterSilence(drive, silenceS))),
    },
  };
}

/** What a burst needs of its scenario. */
export function coldStartIssues({ scenario, waveform }: Setup, silencesS: readonly number[]): Issue[] {
  const issues: Issue[] = [];
  const { slowStates } = scenario.amplifier;
  if (slowStates === null || (slowStates.heatDepthRatio === 0 && slowStates.trapDepthRatio === 0)) {
    issues.push({
      path: 'amplifier.slowStates',
      rule: 'must have a depth: without slow states every burst is as the last',
      value: slowStates === null ? 'null' : 'depths of 0',
      remedy: 'give heatDepthRatio or trapDepthRatio, or start from the preset cold-start',
    });
  }
  if (waveform.carriers[0]?.geometry.ofdm == null) {
    issues.push({
      path: 'waveform.carriers.0',
      rule: 'must be of kind "ofdm": its symbols are read one by one',
      value: waveform.carriers[0]?.geometry.kind ?? 'none',
      remedy: 'put an OFDM carrier first',
    });
  }
  if (waveform.burst !== null) {
    issues.push({
      path: 'waveform.burst',
      rule: 'must be null: the whole record is the burst',
      value: 'a burst pattern',
      remedy: 'take the pattern out',
    });
  }
  silencesS.forEach((silenceS, i) => {
    if (silenceS >= 0 && Number.isFinite(silenceS)) return;
    const rule = 'must be a time of 0 s or more';
    issues.push({ path: `silencesS.${i}`, rule, value: String(silenceS), remedy: 'give seconds, such as 0.005' });
  });
  return issues;
}

const seconds = (value: number) => formatEngineering(value, 's');

/** Where the figures of a burst deserve doubt. */
export function coldStartWarnings(setup: Setup): Warning[] {
  return [...shortBurst(setup), ...coarseStates(setup)];
}

/** After three time constants 5 % of the way are left. */
const SETTLING_TIMES = 3;

/** Heat goes on after the burst's end, so that nothing is said of when it settles. */
function shortBurst({ scenario, waveform }: Setup): Warning[] {
  const { slowStates } = scenario.amplifier;
  if (slowStates === null || slowStates.heatDepthRatio === 0) return [];
  const burstS = waveform.sampleCount / waveform.sampleRateHz;
  const { heatTimeConstantS } = slowStates;
  if (burstS >= SETTLING_TIMES * heatTimeConstantS) return [];
  const share = formatFixed(100 * -Math.expm1(-burstS / heatTimeConstantS), 0);
  const message = `The burst of ${seconds(burstS)} is shorter than ${SETTLING_TIMES} thermal time constants (${seconds(SETTLING_TIMES * heatTimeConstantS)}): heat has gone ${share} % of its way when it ends. Send more symbols to see it settle.`;
  return [{ code: 'burst-shorter-than-heat', message }];
}

function coarseStates({ scenario, waveform, amplifier }: Setup): Warning[] {
  const { slowStates } = scenario.amplifier;
  if (slowStates === null) return [];
  const stepS = SLOW_STATE_BLOCK / (amplifier.modelRateHz ?? waveform.sampleRateHz);
  const { heatDepthRatio, heatTimeConstantS, trapDepthRatio, trapAttackS } = slowStates;
  const fastestS = Math.min(heatDepthRatio > 0 ? heatTimeConstantS : 1, trapDepthRatio > 0 ? trapAttackS : 1);
  if (fastestS >= 2 * stepS) return [];
  const message = `Heat and traps are followed in steps of ${SLOW_STATE_BLOCK} samples, ${seconds(stepS)}; the fastest of them takes ${seconds(fastestS)}, less than two steps. A higher sample rate follows it.`;
  return [{ code: 'slow-states-coarse', message }];
}

/** Reads bursts against the warm one's output. */
function reader(setup: Setup, waveform: Waveform, warmOutput: ComplexSignal) {
  const { ofdm } = waveform.carriers[0];
  const data = waveform.data[0];
  if (ofdm === null || !data) throw new RangeError('coldStart: the first carrier has no symbols');
  const columnCount = ofdm.subcarriers.length;
  const symbolsOf = (x: ComplexSignal) => createDemodulator(x, waveform, 0, ofdm)(0);
  const errors = (symbols: ComplexSignal, gains: ComplexSignal) =>
    errorByRow({ equalized: divideColumns(symbols, gains), ideal: data, columnCount });
  const shaped = symbolsOf(waveform.signal);
  const shapingPercent = errors(shaped, columnGains(shaped, data, columnCount));
  const warmGains = columnGains(symbolsOf(warmOutput), data, columnCount);
  const warmStart = part(warmOutput, ofdm.symbolSamples);
  return {
    symbolDurationS: ofdm.symbolSamples / waveform.sampleRateHz,
    shapingPercent,
    burst: (silenceS: number | null, output: ComplexSignal): ColdBurst => {
      const symbolPercent = errors(symbolsOf(output), warmGains);
      const gain = leastSquaresGain(warmStart, part(output, ofdm.symbolSamples));
      return {
        silenceS,
        symbolPercent,
        netPercent: symbolPercent.map((percent, s) => Math.sqrt(Math.max(0, percent ** 2 - shapingPercent[s] ** 2))),
        droopDb: powerRatioToDb(gain.re * gain.re + gain.im * gain.im),
        aclrDb: firstAclr(setup, output),
        firstSymbolsAclrDb: firstAclr(setup, part(output, FIRST_SYMBOLS * ofdm.symbolSamples)),
      };
    },
  };
}

function part({ re, im }: ComplexSignal, count: number): ComplexSignal {
  return { re: re.subarray(0, count), im: im.subarray(0, count) };
}

/** Worst side of the first channel, by segments that do not wrap: a burst is no period. */
function firstAclr(setup: Setup, output: ComplexSignal): number | null {
  const { window, segmentLength, overlapRatio } = setup.scenario.measurement.spectrum;
  if (segmentLength > output.re.length) return null;
  const { sampleRateHz } = setup.waveform;
  const options = { sampleRateHz, window, segmentLength, overlapRatio, method: 'segments', periodic: false } as const;
  return worstAclrDb(aclrOf(setup, estimateSpectrum(output, options)), setup.channels[0]?.name);
}
