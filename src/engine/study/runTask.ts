// One task of a study, through the one pipeline.
import type { SpectrumTrace } from '../../../shared/schema/report.ts';
import type {
  BurstReading,
  RunReadings,
  StudyTask,
  TaskOutcome,
  ThinSpectrum,
} from '../../../shared/schema/studyReport.ts';
import { type ColdBurst, coldStart } from '../simulation/coldStart.ts';
import type { RunMemory } from '../simulation/runMemory.ts';
import { runScenario } from '../simulation/runScenario.ts';

/** Columns of a thinned spectrum: finer than any picture of it is drawn. */
const COLUMNS = 600;

/** Runs the task's scenario and keeps its readings. The same outcome on any worker. */
export function runTask(task: StudyTask, memory?: RunMemory): TaskOutcome {
  if (task.silencesS !== undefined) return runBursts(task, task.silencesS, memory);
  const outcome = runScenario(task.scenario, { withoutBestDrive: true, ...(memory === undefined ? {} : { memory }) });
  if (outcome.kind === 'invalid') return outcome;
  const { traces, cautions: _cautions, scenario: _scenario, ...rest } = outcome.report;
  const readings = { ...rest, predistorter: plainPredistorter(rest.predistorter) };
  const corrected = traces.spectra.corrected;
  return { kind: 'readings', readings, spectrum: task.wantsSpectrum && corrected !== null ? thin(corrected) : null };
}

/** Coefficients as plain lists: a store of JSON lines gives them back as they are. */
function plainPredistorter(predistorter: RunReadings['predistorter']): RunReadings['predistorter'] {
  if (predistorter === null) return null;
  const { re, im } = predistorter.coefficients;
  return { ...predistorter, coefficients: { re: Array.from(re), im: Array.from(im) } };
}

function runBursts({ scenario }: StudyTask, silencesS: readonly number[], memory?: RunMemory): TaskOutcome {
  const outcome = coldStart(scenario, silencesS, memory === undefined ? {} : { memory });
  if (outcome.kind === 'invalid') return outcome;
  const { symbolDurationS, isCorrected, warm, bursts } = outcome.coldStart;
  return {
    kind: 'bursts',
    bursts: { symbolDurationS, isCorrected, warm: burstReading(warm), afterSilence: bursts.map(burstReading) },
  };
}

function burstReading({ silenceS, netPercent, droopDb, aclrDb, firstSymbolsAclrDb }: ColdBurst): BurstReading {
  return { silenceS, netPercent: Array.from(netPercent), droopDb, aclrDb, firstSymbolsAclrDb };
}

/** The largest level of each column, so that no line is lost. */
function thin(trace: SpectrumTrace): ThinSpectrum {
  const { frequencyHz, level } = trace;
  const step = Math.max(1, Math.ceil(level.length / COLUMNS));
  const out = { frequencyHz: [] as number[], level: [] as number[] };
  for (let start = 0; start < level.length; start += step) {
    let best = start;
    for (let i = start; i < Math.min(start + step, level.length); i++) if (level[i] > level[best]) best = i;
    out.frequencyHz.push(frequencyHz[best]);
    out.level.push(level[best]);
  }
  return out;
}
