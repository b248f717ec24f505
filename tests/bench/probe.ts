// The engine as the bench sees it: one run with a clock beside it, and the job written out for another program.
//
// The stages are those of the real pipeline (its own progress reports say when each begins). The crest-factor
// reduction lies inside the first of them: the same records without it are made beforehand, and the difference is its.
import { presets } from '../../shared/presets/index.ts';
import type { Report } from '../../shared/schema/report.ts';
import { meanPowerOfBackoff } from '../../src/engine/amplifier/operatingPoint.ts';
import { makeRecords } from '../../src/engine/simulation/chain.ts';
import { checkScenario, type Setup } from '../../src/engine/simulation/checkScenario.ts';
import { coarseScenario } from '../../src/engine/simulation/coarseScenario.ts';
import { createRunMemory, type RunMemory } from '../../src/engine/simulation/runMemory.ts';
import { runSetup } from '../../src/engine/simulation/runScenario.ts';

export interface StageTimes {
  readonly waveform: number;
  readonly shape: number;
  readonly amplify: number;
  readonly learn: number;
  readonly measure: number;
}

/** What both programs must agree on. */
export interface Figures {
  readonly sampleCount: number;
  readonly amplifierPasses: number;
  readonly learningPasses: number;
  readonly uncorrectedAclrDb: number;
  readonly correctedAclrDb: number;
  readonly correctedEvmPercent: number;
}

/** Milliseconds from any origin. */
type Clock = () => number;

/** A preset with another number of symbols. */
export function scenarioOf(preset: string, symbolCount: number | null): unknown {
  const scenario = presets[preset];
  if (scenario === undefined) throw new RangeError(`bench: no preset "${preset}"`);
  return symbolCount === null ? scenario : { ...scenario, waveform: { ...scenario.waveform, symbolCount } };
}

export function coarseScenarioOf(preset: string): unknown {
  return coarseScenario(scenarioOf(preset, null));
}

export { createRunMemory };

/** One run in milliseconds. With a memory that knows the records, the waveform costs nothing, as in the page. */
export function timeWholeRun(input: unknown, memory: RunMemory, clock: Clock): number {
  const setup = setupOf(input);
  const start = clock();
  const outcome = runSetup(setup, { memory, withoutBestDrive: true }, {});
  if (outcome.kind !== 'report') throw new RangeError('bench: the run gave no report');
  return clock() - start;
}

/** One run, stage by stage. */
export function timeRun(input: unknown, clock: Clock): { times: StageTimes; figures: Figures } {
  const setup = setupOf(input);
  const start = clock();
  makeRecords({ ...setup, waveform: { ...setup.waveform, crestFactorReduction: null } }, createRunMemory(), {});
  const waveform = clock() - start;
  const begun = new Map<string, number>();
  let amplifierPasses = 0;
  const amplify = setup.amplifier.amplify;
  const counting: Setup = {
    ...setup,
    amplifier: {
      ...setup.amplifier,
      amplify: (drive) => {
        amplifierPasses++;
        return amplify(drive);
      },
    },
  };
  const onProgress = ({ stage }: { stage: string }) => {
    if (!begun.has(stage)) begun.set(stage, clock());
  };
  const outcome = runSetup(counting, { onProgress, withoutBestDrive: true }, {});
  const end = clock();
  if (outcome.kind !== 'report') throw new RangeError('bench: the run gave no report');
  const at = (stage: string) => begun.get(stage) ?? end;
  return {
    times: {
      waveform,
      shape: at('amplifier') - at('waveform') - waveform,
      amplify: at('learning') - at('amplifier'),
      learn: at('measurement') - at('learning'),
      measure: end - at('measurement'),
    },
    figures: figuresOf(outcome.report, amplifierPasses),
  };
}

function figuresOf(report: Report, amplifierPasses: number): Figures {
  const worst = (output: Report['uncorrected'] | null) =>
    Math.min(...(output?.aclr ?? []).filter((one) => one.channel === 'adjacent').map((one) => one.aclrDb));
  return {
    sampleCount: report.waveform.sampleCount,
    amplifierPasses,
    learningPasses: report.learning?.passes.length ?? 0,
    uncorrectedAclrDb: worst(report.uncorrected),
    correctedAclrDb: worst(report.corrected),
    correctedEvmPercent: report.corrected?.evm?.rmsPercent ?? Number.NaN,
  };
}

function setupOf(input: unknown): Setup {
  const checked = checkScenario(input);
  if (checked.kind === 'invalid') throw new RangeError(`bench: ${JSON.stringify(checked.issues)}`);
  return checked.setup;
}

/** The job of one run as plain numbers, and the symbols of the three records, so that both programs send the same. */
export function describeJob(input: unknown): { job: object; symbols: Float64Array } {
  const setup = setupOf(input);
  const { waveform, channels, scenario } = setup;
  const { ofdm, occupiedBandwidthHz } = waveform.carriers[0].geometry;
  const model = scenario.amplifier.model;
  if (waveform.carriers.length !== 1 || ofdm === null || model.kind !== 'filterNonlinearityFilter') {
    throw new RangeError(
      'bench: the other program knows one OFDM carrier and the filter–nonlinearity–filter amplifier',
    );
  }
  const { sampleRateHz } = waveform;
  const job = {
    sampleRateHz,
    ofdm: { ...ofdm, subcarriers: Array.from(ofdm.subcarriers) },
    occupiedBandwidthHz,
    filter: waveform.carriers[0].filter,
    crestFactorReduction: waveform.crestFactorReduction,
    model,
    wantedMeanPower: meanPowerOfBackoff(setup.outputBackoffDb),
    predistorter: scenario.predistorter,
    spectrum: scenario.measurement.spectrum,
    channels,
  };
  const records = makeRecords(setup, createRunMemory(), {});
  const data = [records.judging, records.training, records.selection].flatMap((record) => record?.waveform.data ?? []);
  const symbols = data.flatMap((one) => (one === null ? [] : [one.re, one.im]));
  const joined = new Float64Array(symbols.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of symbols) {
    joined.set(part, at);
    at += part.length;
  }
  return { job, symbols: joined };
}
