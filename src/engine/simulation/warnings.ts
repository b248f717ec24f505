// Doubts about a run, each with its numbers and what to do.

import { formatEngineering } from '../../../shared/format/numbers.ts';
import type { Warning } from '../../../shared/schema/issue.ts';
import type { FloorReport, OutputReport, WaveformReport } from '../../../shared/schema/report.ts';
import { formatHz } from '../dsp/frequencyText.ts';
import { windowOf } from '../dsp/windows.ts';
import { type AclrChannel, sidesOf, worstAclrDb } from '../measurement/aclr.ts';
import { evmBiasRatio } from '../measurement/evm.ts';
import { OWN_SHARE_DB } from '../measurement/floors.ts';
import type { Setup } from './checkScenario.ts';
import type { Linearization } from './linearize.ts';
import { pathDoubts } from './pathDoubts.ts';
import { storedDoubts } from './storedPredistorter.ts';

export interface RunFindings {
  readonly setup: Setup;
  readonly waveform: WaveformReport;
  readonly uncorrected: OutputReport;
  readonly corrected: OutputReport | null;
  readonly ideal: OutputReport;
  readonly linearization: Linearization | null;
  readonly floors: readonly FloorReport[];
  readonly powerDifferenceDb: number;
}

/** Above this a comparison is no longer at equal power (architecture: levelling is within 0.01 dB each). */
export const UNEQUAL_POWER_DB = 0.05;
const SOURCE_DOUBT_DB = 60;
const FLOOR_NEAR_DB = 10;
const IMPLAUSIBLE_IMPROVEMENT_DB = 45;
/** Samples a coefficient needs for figures that hold on fresh data (judgement; pitfall P7). */
const SAMPLES_PER_COEFFICIENT = 40;
const SOLVER_DOUBT_DB = -60;
const EQUALIZER_SYMBOLS = 20;

export function findDoubts(findings: RunFindings): Warning[] {
  return [
    ...powerDoubts(findings),
    ...floorDoubts(findings),
    ...rangeDoubts(findings),
    ...learningDoubts(findings),
    ...storedDoubts(findings),
    ...pathDoubts(findings),
    ...boundDoubts(findings),
    ...channelDoubts(findings),
    ...equalizerDoubts(findings),
    ...sourceEvmDoubts(findings),
    ...notchDoubts(findings),
    ...burstDoubts(findings),
    ...settledDoubts(findings),
    ...resolutionDoubts(findings),
  ];
}

/** A power of two is never farther from what is asked for than this, unless the record or the shortest segment bound it. */
const NEAREST_POWER_RATIO = 1.02 * Math.SQRT2;

/** A resolution bandwidth that was asked for and is not what the spectrum has. */
function resolutionDoubts({ setup }: RunFindings): Warning[] {
  const { method, window, segmentLength, resolutionBandwidthHz: asked } = setup.scenario.measurement.spectrum;
  if (asked === 'auto') return [];
  const { sampleRateHz, sampleCount } = setup.waveform;
  const isWhole = method === 'wholeRecord';
  const length = isWhole ? sampleCount : segmentLength;
  const bins = isWhole ? 1 : windowOf(window, length).noiseBandwidthBins;
  const hz = (bins * sampleRateHz) / length;
  if (hz <= asked * NEAREST_POWER_RATIO && hz >= asked / NEAREST_POWER_RATIO) return [];
  const remedy = isWhole
    ? 'The whole record takes its own bins; use segments.'
    : 'Lengthen the record, or ask for what it gives.';
  const message = `The spectrum’s resolution bandwidth is ${formatHz(hz)}, not the ${formatHz(asked)} asked for. ${remedy}`;
  return [{ code: 'resolution-not-reached', message }];
}

function powerDoubts({ powerDifferenceDb }: RunFindings): Warning[] {
  if (powerDifferenceDb <= UNEQUAL_POWER_DB) return [];
  const message = `Unequal power: corrected and uncorrected outputs differ by ${powerDifferenceDb.toFixed(2)} dB in mean power. The comparison is not fair; level both to the same power.`;
  return [{ code: 'unequal-power', message }];
}

function floorDoubts({ floors, uncorrected, corrected, setup }: RunFindings): Warning[] {
  const best = corrected ?? uncorrected;
  const reading = worstAclrDb(best.aclr, setup.channels[0]?.name);
  const [source, estimator] = (['source', 'estimator'] as const).map(
    (name) => floors.find((floor) => floor.name === name)?.aclrDb ?? null,
  );
  if (reading === null || source === null || estimator === null) return [];
  const near = (floor: number) => floor < reading + FLOOR_NEAR_DB;
  const doubts: Warning[] = [];
  // The source is read through the estimator: near the estimator's floor its reading says nothing about the source.
  const isSourceHidden = source > estimator - OWN_SHARE_DB;
  const isSourceDoubtful = near(source) || source < SOURCE_DOUBT_DB;
  if (isSourceDoubtful && !isSourceHidden) {
    const message = `Source-limited: the waveform’s own ACLR is ${source.toFixed(1)} dB, the reading ${reading.toFixed(1)} dB. Use a channel filter or a longer symbol overlap before judging the amplifier.`;
    doubts.push({ code: 'source-limited', message });
  }
  if (near(estimator) || (isSourceDoubtful && isSourceHidden)) {
    const message = `Estimator-limited: the spectrum estimator alone shows ${estimator.toFixed(1)} dB, the reading is ${reading.toFixed(1)} dB. Use the Blackman-Harris window with longer segments, or the whole record.`;
    doubts.push({ code: 'estimator-limited', message });
  }
  return doubts;
}

function rangeDoubts({ uncorrected, corrected, setup }: RunFindings): Warning[] {
  return [uncorrected, corrected].flatMap((output, i) => {
    if (output === null || output.heldSampleRatio === 0) return [];
    const which = i === 0 ? 'uncorrected' : 'corrected';
    const message = `Outside the fitted range: ${(100 * output.heldSampleRatio).toPrecision(2)} % of the ${which} drive’s samples are beyond the amplifier model’s drive range of ${setup.amplifier.driveRange?.toPrecision(3)} and are held there.`;
    return [{ code: `outside-drive-range-${which}`, message }];
  });
}

function learningDoubts({ linearization, setup }: RunFindings): Warning[] {
  if (linearization === null) return [];
  const { learning, structure } = linearization;
  const doubts: Warning[] = [];
  const needed = SAMPLES_PER_COEFFICIENT * structure.termCount;
  if (linearization.rejectedBecause !== null) {
    const message = `Correction not used: ${linearization.rejectedBecause}.${remedyOf(linearization)}`;
    doubts.push({ code: 'correction-rejected', message });
  }
  const isLearned = !linearization.isStored;
  if (isLearned && learning.trainingSampleCount < needed) {
    const message = `Few training samples: ${learning.trainingSampleCount} for ${structure.termCount} coefficients; ${needed} or more are needed for figures that hold on fresh data.`;
    doubts.push({ code: 'few-training-samples', message });
  }
  if (learning.solverDifferenceDb !== null && learning.solverDifferenceDb > SOLVER_DOUBT_DB) {
    const message = `The fit is not confirmed: Cholesky and QR solutions differ by ${learning.solverDifferenceDb.toFixed(0)} dB of the drive (condition number ${learning.passes[0]?.conditionNumber?.toExponential(1) ?? 'beyond double precision'}). Use QR, fewer orders or taps, or a ridge.`;
    doubts.push({ code: 'fit-not-confirmed', message });
  }
  if (linearization.ceilingHeldRatio > 0) {
    const message = `${(1e6 * linearization.ceilingHeldRatio).toFixed(0)} ppm of the corrected drive’s samples are held at the drive ceiling of ${setup.scenario.predistorter?.learning.driveCeilingRatio} times the knee.`;
    doubts.push({ code: 'drive-held', message });
  }
  return doubts;
}

/** What helps depends on how far learning came; without a pass the reason says itself what to do. */
function remedyOf({ learning, corrected }: Linearization): string {
  if (learning.bestPass === null) return '';
  if (corrected === null) return ' Raise the output back-off or the drive ceiling.';
  return ' Raise the output back-off, shape the crest factor further, or use fewer orders.';
}

/** Total error cannot beat the ideal limiter; ACLR can by little; an enormous improvement means equal structures. */
function boundDoubts({ uncorrected, corrected, ideal, setup }: RunFindings): Warning[] {
  if (corrected === null) return [];
  const first = setup.channels[0]?.name;
  const before = worstAclrDb(uncorrected.aclr, first);
  const after = worstAclrDb(corrected.aclr, first);
  const bound = worstAclrDb(ideal.aclr, first);
  const doubts: Warning[] = [];
  if (corrected.nmseDb < ideal.nmseDb - 0.1) {
    const message = `The corrected output’s total error of ${corrected.nmseDb.toFixed(1)} dB beats the ideal limiter’s ${ideal.nmseDb.toFixed(1)} dB, which no amplifier that stops at its saturated power can: check the model’s range and its saturated amplitude.`;
    doubts.push({ code: 'beats-ideal-limiter', message });
  }
  if (after !== null && bound !== null && after > bound + 2) {
    const message = `The corrected ACLR of ${after.toFixed(1)} dB is more than 2 dB better than the ideal limiter’s ${bound.toFixed(1)} dB: the drive shapes the waveform as well; look at EVM.`;
    doubts.push({ code: 'aclr-beats-ideal-limiter', message });
  }
  if (before !== null && after !== null && after - before > IMPLAUSIBLE_IMPROVEMENT_DB) {
    const message = `An improvement of ${(after - before).toFixed(0)} dB is implausible on hardware: the predistorter has the amplifier’s own structure, or nothing disturbs the observation.`;
    doubts.push({ code: 'improvement-implausible', message });
  }
  return doubts;
}

function channelDoubts({ setup, uncorrected }: RunFindings): Warning[] {
  const isRead = (channel: AclrChannel) =>
    sidesOf(channel).every((side) =>
      uncorrected.aclr.some((reading) => reading.channel === channel.name && reading.side === side),
    );
  const missing = setup.channels.filter((channel) => !isRead(channel));
  if (missing.length === 0) return [];
  const rate = (setup.waveform.sampleRateHz / 1e6).toFixed(2);
  const names = [...new Set(missing.map((channel) => channel.name))].join(' and ');
  const message = `At ${rate} Msps the ${names} channel lies outside ±fs/2 and is not read on every side. Raise the sample rate.`;
  return [{ code: 'channel-outside-axis', message }];
}

function equalizerDoubts({ uncorrected }: RunFindings): Warning[] {
  const evm = uncorrected.evm;
  if (evm === null || evm.equalizer !== 'perSubcarrier' || evm.symbolCount >= EQUALIZER_SYMBOLS) return [];
  const low = 100 * (1 - evmBiasRatio(evm.symbolCount));
  const message = `The per-subcarrier equalizer learns from ${evm.symbolCount} symbols only: EVM reads about ${low.toFixed(1)} % of its value too low. Use ${EQUALIZER_SYMBOLS} symbols or more.`;
  return [{ code: 'few-symbols', message }];
}

/** A reading below this many times the waveform's own EVM holds a good part of it. */
const SOURCE_EVM_RATIO = 2;

function sourceEvmDoubts({ waveform, uncorrected, corrected }: RunFindings): Warning[] {
  const evm = (corrected ?? uncorrected).evm;
  const source = waveform.sourceEvmPercent;
  if (evm === null || source === null || evm.rmsPercent >= SOURCE_EVM_RATIO * source) return [];
  const message = `EVM is source-limited: the waveform itself reads ${source.toPrecision(2)} %, the ${corrected === null ? 'uncorrected' : 'corrected'} output ${evm.rmsPercent.toPrecision(2)} %. Widen the channel filter, shorten the symbol overlap or part the carriers before judging the amplifier.`;
  return [{ code: 'evm-source-limited', message }];
}

/** A notch read this near the waveform's own is filled by the waveform, not by the amplifier (pitfall P18). */
const NOTCH_SOURCE_DB = 15;

function notchDoubts({ uncorrected, corrected }: RunFindings): Warning[] {
  const notch = (corrected ?? uncorrected).notch;
  if (notch === null || notch.sourceRatioDb >= notch.ratioDb + NOTCH_SOURCE_DB) return [];
  const message = `The notch is source-limited: the waveform’s own notch power ratio is ${notch.sourceRatioDb.toFixed(1)} dB, the ${corrected === null ? 'uncorrected' : 'corrected'} output reads ${notch.ratioDb.toFixed(1)} dB; ${NOTCH_SOURCE_DB} dB between them are needed. Leave out the burst pattern and crest-factor reduction, or widen the channel filter.`;
  return [{ code: 'notch-source-limited', message }];
}

/** A carrier with symbols of which none lies wholly inside a burst has no EVM. */
function burstDoubts({ setup, uncorrected }: RunFindings): Warning[] {
  const { burst, carriers } = setup.waveform;
  if (burst === null) return [];
  const isRead = (index: number) => uncorrected.evmPerCarrier.some((reading) => reading.carrierIndex === index);
  const missing = carriers.flatMap(({ geometry }, i) =>
    (geometry.ofdm ?? geometry.singleCarrier) !== null && !isRead(i) ? [i + 1] : [],
  );
  if (missing.length === 0) return [];
  const onMs = (1e3 * burst.onSamples) / setup.waveform.sampleRateHz;
  const message = `No symbol of carrier ${missing.join(' and ')} lies wholly inside a burst of ${onMs.toPrecision(3)} ms: its EVM is not read. Lengthen the burst or raise the duty.`;
  return [{ code: 'no-whole-symbol', message }];
}

/** A run repeats its record for ever: heat and traps are warm, which a first burst's are not. */
function settledDoubts({ setup }: RunFindings): Warning[] {
  const states = setup.scenario.amplifier.slowStates;
  if (states === null || (states.heatDepthRatio === 0 && states.trapDepthRatio === 0)) return [];
  const seconds = (value: number) => formatEngineering(value, 's', 3);
  const memories = [
    ...(states.heatDepthRatio > 0 ? [`heat (${seconds(states.heatTimeConstantS)})`] : []),
    ...(states.trapDepthRatio > 0 ? [`traps (${seconds(states.trapReleaseS)} to empty)`] : []),
  ];
  const recordS = setup.waveform.sampleCount / setup.waveform.sampleRateHz;
  const message = `Settled states only: the record of ${seconds(recordS)} is repeated until ${memories.join(' and ')} stand where it leaves them, learning included. After a silence the first symbols fare worse; the burst study shows them.`;
  return [{ code: 'slow-states-settled', message }];
}
