// The report: readings, floors, verdicts, warnings and traces of one run, under their stable names.
import { cautions } from '../../../shared/cautions.ts';
import type {
  AmplifierReport,
  BestDriveReport,
  FloorName,
  FloorReport,
  LearningReport,
  OutputReport,
  PeakLedger,
  PredistorterReport,
  Report,
} from '../../../shared/schema/report.ts';
import { REPORT_FORMAT } from '../../../shared/schema/report.ts';
import { CW_SWEEP_DRIVE, cwCharacteristics } from '../amplifier/cwCharacteristics.ts';
import { readBackAmplifier } from '../amplifier/readBack.ts';
import { type ComplexSignal, peakPower } from '../dsp/complex.ts';
import { dbToPowerRatio, powerRatioToDb } from '../dsp/decibels.ts';
import { referenceCarriers, worstAclrDb } from '../measurement/aclr.ts';
import { crestFactorDb } from '../measurement/ccdf.ts';
import { carriersFloorDb, nameLimits, ROUNDING_FLOOR_DB } from '../measurement/floors.ts';
import { ENGINE_VERSION } from '../version.ts';
import { answerOf } from './answer.ts';
import { boundsOf } from './bounds.ts';
import { type DrivenOutput, type Records, spectrumOf } from './chain.ts';
import type { Setup } from './checkScenario.ts';
import type { Linearization } from './linearize.ts';
import { nameMaskLimits } from './maskReadings.ts';
import { noiseFloorReadings, placesOf } from './noiseTerms.ts';
import { overBandRows } from './overBandRows.ts';
import { observationReport, transmitterReport } from './pathReport.ts';
import { loadReport, powerModelReport } from './powerModel.ts';
import { type OutputViews, readOutput, readWaveform, viewMeasured, viewOutput } from './readings.ts';
import { nameSlotLimits, slotFloorsOf } from './slotFloors.ts';
import { passCountOf, signatureOf, storedReport } from './storedPredistorter.ts';
import { crossTermsOf, structureCostOf, structureReport } from './structure.ts';
import { makeTraces } from './traces.ts';
import { judge, unjudged } from './verdicts.ts';
import { findDoubts, UNEQUAL_POWER_DB } from './warnings.ts';
import { onPart } from './whileOn.ts';

export interface RunResults {
  readonly setup: Setup;
  readonly records: Records;
  readonly uncorrected: DrivenOutput;
  readonly ideal: DrivenOutput;
  readonly linearization: Linearization | null;
  readonly bestDrive: BestDriveReport | null;
}

export function writeReport(results: RunResults): Report {
  const { setup, records, linearization } = results;
  const waveform = records.judging.waveform;
  const correctedRun = linearization?.corrected ?? null;
  const view = (run: DrivenOutput) => viewMeasured(setup, waveform, run.output);
  const views = {
    waveform: spectrumOf(setup, waveform.signal),
    uncorrected: view(results.uncorrected),
    corrected: correctedRun && view(correctedRun),
    ideal: viewOutput(setup, waveform, results.ideal.output),
  };
  const source = readWaveform(setup, records.judging, views.waveform);
  const idealRaw = readOutput(setup, waveform, results.ideal, views.ideal);
  const floors = listFloors(setup, source.aclr, idealRaw, views.uncorrected);
  const slotFloors = slotFloorsOf(setup, views.waveform, idealRaw.slots, views.uncorrected);
  const name = (output: OutputReport, { spectrum }: OutputViews): OutputReport => ({
    ...output,
    aclr: nameLimits(output.aclr, floors),
    slots: nameSlotLimits(output.slots, slotFloors),
    masks: nameMaskLimits(setup, output.masks, {
      waveform: views.waveform,
      ideal: views.ideal.spectrum,
      output: spectrum,
      noise: views.uncorrected.noise,
    }),
  });
  const uncorrected = name(readOutput(setup, waveform, results.uncorrected, views.uncorrected), views.uncorrected);
  const corrected =
    correctedRun &&
    views.corrected &&
    name(readOutput(setup, waveform, correctedRun, views.corrected), views.corrected);
  const correctionUsed = corrected !== null && linearization?.rejectedBecause === null;
  const verdicts = [
    ...(corrected === null ? [] : judge('corrected', corrected, setup.scenario.limits)),
    ...judge('uncorrected', uncorrected, setup.scenario.limits),
  ];
  const powerDifferenceDb = corrected === null ? 0 : Math.abs(corrected.outputBackoffDb - uncorrected.outputBackoffDb);
  const findings = {
    setup,
    waveform: source,
    uncorrected,
    corrected,
    ideal: idealRaw,
    linearization,
    floors,
    powerDifferenceDb,
  };
  const equalPower = powerDifferenceDb <= UNEQUAL_POWER_DB;
  return {
    kneepoint: { version: ENGINE_VERSION, format: REPORT_FORMAT },
    scenario: setup.statedScenario,
    waveform: source,
    amplifier: describeAmplifier(setup),
    uncorrected,
    corrected,
    correctionUsed,
    ideal: name(idealRaw, views.ideal),
    bestDrive: results.bestDrive,
    bounds: boundsOf(setup, corrected, idealRaw, results.bestDrive),
    peaks: ledgerOf(results),
    learning: linearization && learnsIn(setup) ? describeLearning(linearization, setup) : null,
    predistorter: describePredistorter(results),
    transmitter: transmitterReport(setup, results.uncorrected),
    observation: observationReport(setup, results.uncorrected),
    verdicts,
    floors,
    powerDifferenceDb,
    equalPower,
    warnings: [
      ...setup.warnings,
      ...records.judging.notes,
      ...findDoubts(findings),
      ...unjudged(uncorrected, setup.scenario.limits),
    ],
    answer: `${equalPower ? '' : 'Unequal power, not a fair comparison. '}${answerOf({ uncorrected, corrected, correctionUsed, verdicts })}`,
    cautions,
    traces: makeTraces({ setup, waveform, uncorrected: results.uncorrected, linearization, views }),
  };
}

const MEANINGS: Readonly<Record<FloorName, string>> = {
  source: 'the waveform itself, before any amplifier',
  estimator: 'leakage of the spectrum estimator’s window',
  numbers: 'the arithmetic’s and the number format’s rounding',
  transmitterNoise: 'the transmitter’s own noise at the antenna port',
  analyser: 'the analyser’s noise floor',
  idealLimiter: 'a perfect inverse with a hard stop at saturated power, at the same mean power',
};

function listFloors(
  setup: Setup,
  source: OutputReport['aclr'],
  ideal: OutputReport,
  { spectrum, noise }: OutputViews,
): FloorReport[] {
  const geometries = setup.waveform.carriers.map((carrier) => carrier.geometry);
  const { method, window, segmentLength } = setup.scenario.measurement.spectrum;
  const { sampleRateHz } = setup.waveform;
  const settings = { method, window, segmentLength, sampleRateHz };
  const carriers = geometries.map((geometry) => ({ ...geometry, power: dbToPowerRatio(geometry.relativePowerDb) }));
  const places = placesOf(setup);
  const estimator = source.map((reading, i) => {
    const references = referenceCarriers(carriers, places[i].channel, places[i].side);
    const power = references.reduce((sum, carrier) => sum + carrier.power, 0);
    const own = { ...references[0], power };
    return { ...reading, aclrDb: carriersFloorDb(settings, carriers, own, reading.centreHz, reading.bandwidthHz) };
  });
  const first = setup.channels[0]?.name;
  const floor = (name: FloorName, readings: OutputReport['aclr']): FloorReport => ({
    name,
    aclrDb: worstAclrDb(readings, first),
    readings: readings.map(({ channel, side, centreHz, aclrDb }) => ({ channel, side, centreHz, aclrDb })),
    meaning: MEANINGS[name],
  });
  const white = (densityPerHz: number) => noiseFloorReadings(setup, spectrum, densityPerHz, source);
  return [
    floor('source', source),
    floor('estimator', estimator),
    floor(
      'numbers',
      source.map((reading) => ({ ...reading, aclrDb: ROUNDING_FLOOR_DB })),
    ),
    ...(noise.transmitterPerHz === 0 ? [] : [floor('transmitterNoise', white(noise.transmitterPerHz))]),
    ...(noise.analyserPerHz === 0 ? [] : [floor('analyser', white(noise.analyserPerHz))]),
    floor('idealLimiter', ideal.aclr),
  ];
}

function describeAmplifier(setup: Setup): AmplifierReport {
  const { amplifier } = setup;
  const cw = cwCharacteristics(amplifier, amplifier.driveRange ?? CW_SWEEP_DRIVE);
  return {
    label: amplifier.label,
    source: amplifier.source,
    modelRateHz: amplifier.modelRateHz,
    smallSignalGainDb: cw.smallSignalGainDb,
    compressionAtSaturationDb: cw.saturation.compressionDb,
    cwSaturationDb: cw.cwSaturationDb,
    outputAtOneDbCompressionDb: cw.outputAtOneDbCompressionDb,
    readBack: readBackAmplifier(amplifier, setup.scenario.amplifier),
    overBand: overBandRows(setup),
    driveRange: amplifier.driveRange,
    outputBoundDb:
      amplifier.outputBound === null ? null : powerRatioToDb(amplifier.outputBound * amplifier.outputBound),
    power: powerModelReport(setup.scenario.amplifier),
    load: loadReport(setup.scenario.amplifier),
  };
}

function ledgerOf({ setup, records, uncorrected, linearization }: RunResults): PeakLedger {
  const { waveform } = records.judging;
  const corrected = linearization?.corrected ?? null;
  const entry = (drive: ComplexSignal) => ({
    peakToAverageDb: crestFactorDb(onPart(setup, drive)),
    reKneeDb: powerRatioToDb(peakPower(drive)),
  });
  return {
    data: crestFactorDb(onPart(setup, waveform.beforeReduction)),
    shaped: crestFactorDb(onPart(setup, waveform.signal)),
    uncorrectedDrive: entry(uncorrected.drive),
    drive: corrected && entry(corrected.drive),
    drivePeakGrowthDb: corrected && powerRatioToDb(peakPower(corrected.drive) / peakPower(uncorrected.drive)),
    driveHeld: corrected && (linearization?.ceilingHeldRatio ?? 0),
    output: crestFactorDb(onPart(setup, uncorrected.output)),
    correctedOutput: corrected && crestFactorDb(onPart(setup, corrected.output)),
  };
}

/** Whether a run makes passes of learning: anew, or on from stored coefficients. */
function learnsIn({ scenario: { predistorter } }: Setup): boolean {
  return predistorter !== null && passCountOf(predistorter) > 0;
}

function describeLearning(linearization: Linearization, { scenario }: Setup): LearningReport {
  const { learning, structure } = linearization;
  return {
    method: scenario.predistorter?.learning.method ?? 'indirect',
    convergence: learning.convergence ?? null,
    coefficientCount: structure.termCount,
    conditionNumber: learning.passes[0]?.conditionNumber ?? null,
    rawConditionNumber: learning.passes[0]?.rawConditionNumber ?? null,
    trainingSampleCount: learning.trainingSampleCount,
    passes: learning.passes,
    chosenPass: learning.chosenPass,
    rejectedBecause: linearization.rejectedBecause ?? (learning.keepsInitial ? learning.rejectedBecause : null),
    stoppedBecause: learning.stoppedBecause,
  };
}

function describePredistorter({ setup, linearization, uncorrected }: RunResults): PredistorterReport | null {
  const settings = setup.scenario.predistorter;
  if (settings === null || linearization === null || linearization.coefficients === null) return null;
  const kept = linearization.isStored ? settings.stored : null;
  return {
    ...structureReport(settings),
    numbers: linearization.numbers ?? null,
    crossTerms: crossTermsOf(settings),
    sampleRateHz: setup.waveform.sampleRateHz,
    coefficients: linearization.coefficients,
    driveCeilingRatio: settings.learning.driveCeilingRatio,
    driveScale: linearization.corrected?.driveScale ?? uncorrected.driveScale,
    kneeAmplitude: kept?.kneeAmplitude ?? setup.amplifier.ownUnits.drive,
    learnedFor: kept === null ? signatureOf(setup) : kept.learnedFor,
    stored: storedReport(settings, linearization),
    cost: structureCostOf(settings),
  };
}
