// A predistorter whose coefficients were learned before, used as they are.
//
//   levelBy "drive"         u = ceiling(P(s·x; c)),      s searched for the wanted mean output power
//   levelBy "analogueGain"  u = ceiling(a·P(s₀·x; c)),   s₀ the drive scale of the learning, a searched
//
// The first moves along the predistorter's own amplitude axis, as a digital level does; the second leaves its input where
// it was and moves the amplifier away from it. Source: product.md F21, architecture (drive level).
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import type { OutputReport, StoredReport } from '../../../shared/schema/report.ts';
import type { PredistorterSettings, StoredPredistorter } from '../../../shared/schema/scenario.ts';
import type { Regressors } from '../basis/regressors.ts';
import { type ComplexSignal, scale, zeros } from '../dsp/complex.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { formatHz } from '../dsp/frequencyText.ts';
import { heldRatio, holdAmplitude } from '../linearization/idealLimiter.ts';
import type { LearningResult } from '../linearization/indirectLearning.ts';
import { worstAclrDb } from '../measurement/aclr.ts';
import type { ResolvedWaveform } from '../waveform/resolvedWaveform.ts';
import { type DrivenOutput, levelAt, type UncorrectedOutput } from './chain.ts';
import type { Setup } from './checkScenario.ts';
import { heldRatioOn, onPart } from './whileOn.ts';

/** Rates closer than this are the same: a record's length in seconds holds it no better. */
const SAME_RATE_RATIO = 1e-6;

/** Faults of stored coefficients: their count against the structure, their rate against the record's. */
export function storedIssues(
  predistorter: PredistorterSettings,
  termCount: number,
  { sampleRateHz }: Pick<ResolvedWaveform, 'sampleRateHz'>,
): Issue[] {
  const { stored } = predistorter;
  if (stored === null) return [];
  const issues: Issue[] = [];
  const count = stored.coefficients.length;
  if (count !== termCount) {
    issues.push({
      path: 'predistorter.stored.coefficients',
      rule: `must be as many as the structure has terms, ${termCount}`,
      value: `${count} coefficients`,
      remedy: 'take the orders, taps and cross terms that they were learned with, or write null to learn again',
    });
  }
  if (!isSameRate(stored.sampleRateHz, sampleRateHz)) {
    issues.push({
      path: 'predistorter.stored.sampleRateHz',
      rule: `must be the record’s rate of ${formatHz(sampleRateHz)}: taps hold at one rate only`,
      value: formatHz(stored.sampleRateHz),
      remedy: 'set the waveform’s sample rate to that of the coefficients, or write null to learn again at this one',
    });
  }
  return issues;
}

export function isSameRate(a: number, b: number): boolean {
  return Math.abs(a / b - 1) <= SAME_RATE_RATIO;
}

/** Passes of learning that a run is to make: none with stored coefficients that are used as they are. */
export function passCountOf({ stored, learning }: PredistorterSettings): number {
  return stored === null ? learning.passCount : stored.passCount;
}

/** Coefficients as a signal of shape [count]. */
export function coefficientsOf({ coefficients }: Pick<StoredPredistorter, 'coefficients'>): ComplexSignal {
  const out = zeros(coefficients.length);
  coefficients.forEach(({ re, im }, i) => {
    out.re[i] = re;
    out.im[i] = im;
  });
  return out;
}

/** Stands for learning where none takes place. */
const NOTHING_LEARNED: LearningResult = {
  passes: [],
  coefficients: [],
  scales: [],
  chosenPass: null,
  bestPass: null,
  baseline: { worstAclrDb: null, evmPercent: null },
  rejectedBecause: null,
  stoppedBecause: null,
  trainingSampleCount: 0,
  solverDifferenceDb: null,
  convergence: null,
};

/** The judging record through stored coefficients, ceiling and amplifier at the wanted power. */
export interface StoredCorrection {
  readonly structure: Regressors;
  readonly learning: LearningResult;
  /** As sent: with an analogue gain behind, that gain is folded in. */
  readonly coefficients: ComplexSignal | null;
  readonly corrected: DrivenOutput | null;
  readonly ceilingHeldRatio: number;
  readonly rejectedBecause: string | null;
  readonly isStored: true;
}

/**
 * Sends the judging record through the stored coefficients. They are used even where they do harm: that is what a
 * frozen predistorter does. Only a power out of reach leaves nothing to show.
 */
export function applyStored(
  setup: Setup,
  judging: ComplexSignal,
  uncorrected: UncorrectedOutput,
  structure: Regressors,
  { stored, ceiling }: { readonly stored: StoredPredistorter; readonly ceiling: number },
): StoredCorrection {
  const coefficients = coefficientsOf(stored);
  const byDrive = stored.levelBy === 'drive';
  const fixed = byDrive ? null : structure.apply(coefficients, scale(judging, stored.driveScaleRatio));
  const requestedAt = (level: ComplexSignal) => (fixed === null ? structure.apply(coefficients, level) : level);
  const limit = (u: ComplexSignal) => (ceiling === Infinity ? u : holdAmplitude(u, ceiling));
  const device = (level: ComplexSignal) => setup.amplifier.amplify(limit(requestedAt(level)));
  const start = byDrive ? { startScale: uncorrected.driveScale, startSlope: 1 } : { startScale: 1, startSlope: 1 };
  const levelled = levelAt(setup, device, fixed ?? judging, start);
  const common = { structure, learning: NOTHING_LEARNED, isStored: true as const };
  if (levelled.kind === 'outOfReach') {
    const rejectedBecause = 'with the stored coefficients the wanted power is out of reach on the judging record';
    return { ...common, coefficients: null, corrected: null, ceilingHeldRatio: 0, rejectedBecause };
  }
  const requested = requestedAt(levelled.drive);
  const drive = limit(requested);
  return {
    ...common,
    coefficients: byDrive ? coefficients : scale(coefficients, levelled.driveScale),
    corrected: {
      driveScale: byDrive ? levelled.driveScale : stored.driveScaleRatio,
      drive,
      output: levelled.output,
      heldSampleRatio: heldRatioOn(setup, drive),
    },
    ceilingHeldRatio: ceiling === Infinity ? 0 : heldRatio(onPart(setup, requested), ceiling),
    rejectedBecause: null,
  };
}

/** What a report says of stored coefficients; null where those sent were learned in the run. */
export function storedReport(
  predistorter: PredistorterSettings,
  { coefficients, corrected, isStored }: Pick<StoredCorrection, 'coefficients' | 'corrected'> & { isStored?: boolean },
): StoredReport | null {
  const { stored } = predistorter;
  if (stored === null || !isStored || coefficients === null || corrected === null) return null;
  const own = coefficientsOf(stored);
  const power = (c: ComplexSignal) => c.re.reduce((sum, re, i) => sum + re * re + c.im[i] * c.im[i], 0);
  return {
    name: stored.name,
    levelBy: stored.levelBy,
    digitalLevelDb: powerRatioToDb((corrected.driveScale / stored.driveScaleRatio) ** 2),
    analogueGainDb: stored.levelBy === 'drive' ? 0 : powerRatioToDb(power(coefficients) / power(own)),
  };
}

const megahertz = (hz: number) => `${Number((hz / 1e6).toFixed(3))}`;

/** The signature of a run in three parts: carriers, power, amplifier. Coefficients hold for these. */
export function signatureOf({ waveform, scenario, outputBackoffDb, amplifier }: Setup): string {
  const carriers = waveform.carriers.map(
    ({ geometry }) =>
      `${geometry.kind} ${megahertz(geometry.occupiedBandwidthHz)} MHz at ${megahertz(geometry.offsetHz)} MHz`,
  );
  const { saturatedPowerDbm } = scenario.amplifier;
  const saturated = saturatedPowerDbm === null ? '' : `, saturated ${saturatedPowerDbm.toFixed(2)} dBm`;
  return [
    `carriers ${carriers.join(' + ')}`,
    `output back-off ${outputBackoffDb.toFixed(1)} dB`,
    `amplifier ${amplifier.label.replaceAll(';', ',')}${saturated}`,
  ].join('; ');
}

export interface StoredFindings {
  readonly setup: Setup;
  readonly uncorrected: OutputReport;
  readonly corrected: OutputReport | null;
  readonly linearization: { readonly isStored?: boolean } | null;
}

/** Stored coefficients that do harm, or that are used for something else than they were learned for. */
export function storedDoubts({ setup, uncorrected, corrected, linearization }: StoredFindings): Warning[] {
  const stored = setup.scenario.predistorter?.stored ?? null;
  if (stored === null || !linearization?.isStored) return [];
  const doubts: Warning[] = [];
  const worse = corrected && worseText(setup, uncorrected, corrected);
  if (worse) {
    const message = `The stored predistorter does harm: ${worse}. Learn it again for this signal, power and amplifier, or leave it out.`;
    doubts.push({ code: 'stored-worse', message });
  }
  const elsewhere = differences(stored.learnedFor, signatureOf(setup));
  if (elsewhere.length > 0) {
    const message = `The stored predistorter was learned for something else: ${elsewhere.join('; ')}. Its figures are those of frozen coefficients; learn again to compare.`;
    doubts.push({ code: 'stored-elsewhere', message });
  }
  return doubts;
}

function worseText(setup: Setup, uncorrected: OutputReport, corrected: OutputReport): string | null {
  const first = setup.channels[0]?.name;
  const before = worstAclrDb(uncorrected.aclr, first);
  const after = worstAclrDb(corrected.aclr, first);
  if (before === null || after === null) {
    if (corrected.nmseDb <= uncorrected.nmseDb) return null;
    return `total error ${corrected.nmseDb.toFixed(1)} dB with it, ${uncorrected.nmseDb.toFixed(1)} dB without`;
  }
  return after < before ? `ACLR ${after.toFixed(1)} dB with it, ${before.toFixed(1)} dB without` : null;
}

/** Parts of two signatures that differ; a text of one's own has no parts to compare. */
function differences(learnedFor: string, now: string): string[] {
  const before = learnedFor.split('; ');
  const after = now.split('; ');
  const comparable = before.length === after.length && before[0].startsWith('carriers ');
  if (!comparable) return [];
  return after.flatMap((part, i) =>
    part === before[i] ? [] : [`${before[i]}, now ${part.replace(/^(carriers|output back-off|amplifier) /, '')}`],
  );
}
