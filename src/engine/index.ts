/** The public interface of the engine; nothing outside src/engine imports deeper. */

export { type EnvelopePointsOutcome, readEnvelopePoints } from '../../shared/schema/envelopePointsText.ts';
export type { IdentificationReport, IdentificationTraces } from '../../shared/schema/identificationReport.ts';
export type { Issue, Warning } from '../../shared/schema/issue.ts';
export type { Progress, Report } from '../../shared/schema/report.ts';
export type { Scenario, ScenarioInput } from '../../shared/schema/scenario.ts';
export type { Study, StudyInput } from '../../shared/schema/study.ts';
export type { StudyReport, StudyTask, TaskOutcome } from '../../shared/schema/studyReport.ts';
export { type LimitSetOutcome, limitSetFor, limitSets } from '../../shared/tables/limitSets.ts';
export { type LimitSubject, limitSubjectOf } from '../../shared/tables/limitSubject.ts';
export { amplifierAtChannel, type SectionOutcome } from './amplifier/overBand.ts';
export type { ComplexSignal } from './dsp/complex.ts';
export type { RecordStore, SuppliedRecord, Waveform } from './dsp/waveformTypes.ts';
export { physicalMultiplierCount } from './linearization/cost.ts';
export { openCsv, readCsv } from './record/csv.ts';
export type { Digest, FileFacts, FileOutcome, FileReader, FileRecord } from './record/fileRecord.ts';
export { openSigmf, readSigmf, type SigmfSource, writeSigmf } from './record/sigmf.ts';
export { type AmplifiedRecord, type AmplifyOutcome, amplifyRecord } from './simulation/amplifyRecord.ts';
export type { RecordSettings } from './simulation/checkRecord.ts';
export { type CheckOutcome, checkScenario } from './simulation/checkScenario.ts';
export { coarseScenario } from './simulation/coarseScenario.ts';
export { type ColdBurst, type ColdStart, type ColdStartOutcome, coldStart } from './simulation/coldStart.ts';
export { type FirstPassCell, type FirstPassOutcome, firstPassMap } from './simulation/firstPassMap.ts';
export {
  type IdentifyInput,
  type IdentifyOptions,
  type IdentifyOutcome,
  identifyAmplifier,
} from './simulation/identifyAmplifier.ts';
export type { IdentifyProgress } from './simulation/identifyProgress.ts';
export { makeWaveform, type RecordName, type WaveformOutcome } from './simulation/makeWaveform.ts';
export {
  type MeasureRecordInput,
  measureRecord,
  type RecordInput,
} from './simulation/measureRecord.ts';
export { beginRecord, type FirstReading, type SecondReading } from './simulation/measureStream.ts';
export {
  learnedLevelDbfs,
  type PredistortedRecord,
  type PredistortOutcome,
  predistortRecord,
} from './simulation/predistortRecord.ts';
export { type AmplifierReading, type PolynomialWish, readAmplifier } from './simulation/readAmplifier.ts';
export type { MeasureOutcome, RecordReport } from './simulation/recordReport.ts';
export { createRunMemory, type RunMemory } from './simulation/runMemory.ts';
export { type RunOptions, type RunOutcome, runScenario } from './simulation/runScenario.ts';
export { evaluateStudy, type StudyEvaluation } from './study/evaluateStudy.ts';
export { runTask } from './study/runTask.ts';
export { ENGINE_VERSION } from './version.ts';
