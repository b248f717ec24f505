// An amplifier model from a pair of records: what was sent and what a receiver saw of the output.
//
//   drive, observed ─align─▶ time and phase ─separate─▶ leak, image ─search─▶ structure ─fit─▶ model ─▶ readings
//
// Leak and image are found on the samples the structures are fitted to; the held-out samples decide which structure is
// taken; its model is fitted again to all samples. A second pair, when there is one, is predicted and never fitted.
import type { IdentificationReport, IdentifiedStructure } from '../../../shared/schema/identificationReport.ts';
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import type { AmplifierModelSettings } from '../../../shared/schema/scenario.ts';
import { applyBasis, memoryPolynomialStructure } from '../basis/memoryPolynomial.ts';
import { delayPeriodic } from '../dsp/align.ts';
import { type ComplexSignal, meanPower, peakPower } from '../dsp/complex.ts';
import { amplitudeRatioToDb, powerRatioToDb } from '../dsp/decibels.ts';
import { alignPair } from '../identification/alignPair.ts';
import { candidateStructures } from '../identification/candidateStructures.ts';
import { measureLoopWidth } from '../identification/loopWidth.ts';
import { fitOver } from '../identification/partEquations.ts';
import { separateReceiverErrors } from '../identification/receiverErrors.ts';
import { gather, partRoundPeak, sampleCountOf, splitSamples } from '../identification/samplePart.ts';
import {
  bestOf,
  KEPT_MARGIN_DB,
  type StructureSearch,
  searchStructures,
  type TriedStructure,
} from '../identification/searchStructures.ts';
import { modelSettings } from './identifiedModel.ts';
import { type CheckedPair, checkPair, type RecordPair, windowsOf } from './identifyChecks.ts';
import { difference, errorShares, magnitudeOf, nmseDb, pairReading, predictedChannels } from './identifyReadings.ts';
import { checkScale, type IdentifyScale, scaleOf } from './identifyScale.ts';
import { judgeTrust } from './identifyTrust.ts';
import { validateModel } from './identifyValidation.ts';

export interface IdentifyInput extends RecordPair, IdentifyScale {
  /** A second pair of the same amplifier: predicted, never fitted. */
  readonly validation?: RecordPair | null;
  /** Highest order tried, odd; default 9. */
  readonly highestOrder?: number;
  /** Deepest memory tried, delays including zero; default 5. */
  readonly memoryDepth?: number;
  /** Farthest envelope delay of cross terms; 0 leaves them out; default 2. */
  readonly crossReachSamples?: number;
}

export type IdentifyOutcome =
  | { readonly kind: 'identified'; readonly model: AmplifierModelSettings; readonly report: IdentificationReport }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

/** Samples for each coefficient below which a structure is not tried. */
const SAMPLES_PER_COEFFICIENT = 20;
/** More samples tell no structure better; the model is fitted to all in the end. */
const MOST_SEARCHED = 2 ** 17;
/** The largest drive itself must not be held for the rounding of a change of scale. */
const RANGE_MARGIN = 1 + 1e-9;
const RECEIVER_ORDERS = [1, 3, 5, 7, 9];
const RECEIVER_DEPTH = 5;

/** Identifies, or says everything that makes the records unusable. */
export function identifyAmplifier(input: IdentifyInput): IdentifyOutcome {
  const checked = checkPair(input, '');
  const validation = input.validation ?? null;
  const second = validation && checkPair(validation, 'validation.');
  const issues = [...checked.issues, ...(second?.issues ?? []), ...checkSettings(input), ...checkScale(input)];
  if (validation !== null && validation.drive.sampleRateHz !== input.drive.sampleRateHz) {
    issues.push(otherRate(validation, input));
  }
  if (issues.length > 0) return { kind: 'invalid', issues };
  const fitted = fitPair(input, checked);
  if ('issue' in fitted) return { kind: 'invalid', issues: [fitted.issue] };
  return { kind: 'identified', ...writeReport(input, checked, fitted, validation, second) };
}

function checkSettings(input: IdentifyInput): Issue[] {
  const limits = { highestOrder: [1, 15], memoryDepth: [1, 12], crossReachSamples: [0, 4] } as const;
  return (['highestOrder', 'memoryDepth', 'crossReachSamples'] as const).flatMap((path): Issue[] => {
    const value = input[path];
    const [least, most] = limits[path];
    const isFine = value === undefined || (Number.isInteger(value) && value >= least && value <= most);
    const rule = `must be a whole number from ${least} to ${most}`;
    return isFine ? [] : [{ path, rule, value: String(value), remedy: 'leave it out, or set it within these' }];
  });
}

function otherRate(validation: RecordPair, { drive }: RecordPair): Issue {
  return {
    path: 'validation.drive.sampleRateHz',
    rule: `must be that of the first pair, ${drive.sampleRateHz} Hz`,
    value: `${validation.drive.sampleRateHz} Hz`,
    remedy: 'the model’s taps hold at one rate; record both pairs at it',
  };
}

interface FittedPair {
  readonly alignment: ReturnType<typeof alignPair>;
  /** Aligned, without leak and image. */
  readonly clean: ComplexSignal;
  readonly search: StructureSearch;
  readonly chosen: TriedStructure;
  readonly coefficients: ComplexSignal;
  readonly heldOutWithReceiverErrorsDb: number;
  readonly trainingSampleCount: number;
  readonly heldOutSampleCount: number;
}

function fitPair(input: IdentifyInput, checked: CheckedPair): FittedPair | { readonly issue: Issue } {
  const drive = input.drive.signal;
  const windows = windowsOf(checked);
  const alignment = alignPair(drive, input.observed.signal, windows);
  const { highestOrder = 9, memoryDepth = 5, crossReachSamples = 2 } = input;
  const [from, to] = partRoundPeak(drive, checked.from, checked.to, MOST_SEARCHED);
  const split = splitSamples(from, to, memoryDepth + 2 * crossReachSamples + 2);
  const trainingSampleCount = sampleCountOf(split.training);
  const coefficientCount = Math.floor(trainingSampleCount / SAMPLES_PER_COEFFICIENT);
  const limits = { highestOrder, memoryDepth, crossReachSamples, coefficientCount };
  const receiverBasis = memoryPolynomialStructure(RECEIVER_ORDERS, RECEIVER_DEPTH);
  const separated = separateReceiverErrors(receiverBasis, drive, alignment.aligned, split.training);
  const search = separated && searchStructures(candidateStructures(limits), drive, separated.clean, split);
  const overall = search && separateReceiverErrors(search.chosen.structure, drive, alignment.aligned, windows);
  const coefficients = overall && fitOver(search.chosen.structure, drive, overall.clean, windows);
  if (search === null || overall === null || coefficients === null) return { issue: dependentIssue() };
  const { chosen } = search;
  const raw = fitOver(chosen.structure, drive, alignment.aligned, split.training) ?? chosen.coefficients;
  return {
    alignment: { ...alignment, receiver: overall.errors },
    clean: overall.clean,
    search,
    chosen,
    coefficients,
    heldOutWithReceiverErrorsDb: nmseDb(alignment.aligned, applyBasis(chosen.structure, raw, drive), split.heldOut),
    trainingSampleCount,
    heldOutSampleCount: sampleCountOf(split.heldOut),
  };
}

function dependentIssue(): Issue {
  return {
    path: 'drive',
    rule: 'must excite the amplifier: its levels and its band must tell the orders and delays apart',
    value: 'a drive whose regressors depend on each other',
    remedy: 'drive it with a modulated signal, not with single tones or a constant envelope',
  };
}

function writeReport(
  input: IdentifyInput,
  checked: CheckedPair,
  fitted: FittedPair,
  validation: RecordPair | null,
  second: CheckedPair | null,
): { model: AmplifierModelSettings; report: IdentificationReport } {
  const { drive, observed } = input;
  const { sampleRateHz } = drive;
  const { alignment, chosen, clean, search } = fitted;
  const windows = windowsOf(checked);
  const driveRange = RANGE_MARGIN * Math.sqrt(peakPower(gather(drive.signal, windows)));
  const output = applyBasis(chosen.structure, fitted.coefficients, drive.signal);
  const outputPower = meanPower(gather(output, windows));
  const { scale, saturatedAmplitude, warnings: scaleWarnings } = scaleOf(input, outputPower);
  const facts = { modelRateHz: sampleRateHz, driveRange, saturatedAmplitude };
  const model = modelSettings(chosen.structure, fitted.coefficients, facts);
  const report: Omit<IdentificationReport, 'trust' | 'warnings'> = {
    sampleRateHz,
    sampleCount: drive.signal.re.length,
    driveMeanDbfs: powerRatioToDb(meanPower(drive.signal)),
    drivePeak: Math.sqrt(peakPower(drive.signal)),
    clippedSamples: checked.clippedSamples,
    alignment: {
      ...pairReading(alignment, sampleRateHz, outputPower),
      delayDeviationS: alignment.delayDeviationSamples / sampleRateHz,
    },
    loops: loopsOf(drive.signal, observed.signal, alignment.delaySamples, clean, windows),
    chosen: structureReading(chosen),
    heldOutWithReceiverErrorsDb: fitted.heldOutWithReceiverErrorsDb,
    trainingSampleCount: fitted.trainingSampleCount,
    heldOutSampleCount: fitted.heldOutSampleCount,
    keptMarginDb: KEPT_MARGIN_DB,
    gains: gainsOf(search),
    structures: search.tried.map(structureReading).sort((a, b) => a.coefficientCount - b.coefficientCount),
    ...errorReadings(input, checked, fitted, output),
    driveRange,
    scale: { ...scale, compressionAtPeakDb: compressionOf(chosen, fitted.coefficients, driveRange) },
    validation: validation && second && validateModel(model, validation, second, chosen.heldOutNmseDb),
  };
  const doubts: Warning[] = [...checked.warnings, ...(second?.warnings ?? []), ...scaleWarnings];
  const { trust, warnings } = judgeTrust(report);
  return { model, report: { ...report, trust, warnings: [...doubts, ...warnings] } };
}

function errorReadings(
  { drive: { signal, sampleRateHz } }: IdentifyInput,
  checked: CheckedPair,
  { clean, search, chosen }: FittedPair,
  output: ComplexSignal,
): Pick<IdentificationReport, 'fitNmseDb' | 'shares' | 'aclr' | 'errorAclrDb'> {
  const windows = windowsOf(checked);
  const [sent, seen, made] = [gather(signal, windows), gather(clean, windows), gather(output, windows)];
  const fitNmseDb = nmseDb(clean, output, windows);
  const best = search.best.heldOutNmseDb;
  const staticFit = bestOf(search.tried, ({ memoryDepth }) => memoryDepth === 1) ?? chosen;
  const residual = difference(seen, made);
  const shares = errorShares(staticFit.heldOutNmseDb, best, fitNmseDb, residual, made, sampleRateHz);
  return { fitNmseDb, shares, ...predictedChannels(sent, seen, made, sampleRateHz, checked.from === 0) };
}

function structureReading(tried: TriedStructure): IdentifiedStructure {
  const { nonlinearOrders, memoryDepth, leadSamples, cross, terms } = tried.structure;
  const { trainingNmseDb, heldOutNmseDb } = tried;
  return {
    nonlinearOrders,
    memoryDepth,
    leadSamples,
    cross,
    coefficientCount: terms.length,
    trainingNmseDb,
    heldOutNmseDb,
  };
}

function gainsOf({ tried }: StructureSearch): IdentificationReport['gains'] {
  const gain = (has: (one: TriedStructure['structure']) => boolean, among: typeof has = () => true) => {
    const [withIt, without] = [true, false].map((wanted) => bestOf(tried, (s) => among(s) && has(s) === wanted));
    return withIt && without ? without.heldOutNmseDb - withIt.heldOutNmseDb : null;
  };
  return {
    memoryDb: gain(({ memoryDepth }) => memoryDepth > 1),
    crossTermsDb: gain(({ cross }) => cross !== null),
    evenOrdersDb: gain(({ nonlinearOrders }) => nonlinearOrders.includes(2)),
  };
}

function loopsOf(
  drive: ComplexSignal,
  observed: ComplexSignal,
  delaySamples: number,
  clean: ComplexSignal,
  windows: ReturnType<typeof windowsOf>,
): IdentificationReport['loops'] {
  const x = gather(drive, windows);
  const width = (y: ComplexSignal) => measureLoopWidth(x, gather(y, windows));
  return {
    asRecorded: width(observed),
    wholeSamples: width(delayPeriodic(observed, -Math.round(delaySamples))),
    aligned: width(clean),
  };
}

/** Static gain at vanishing drive over that at the edge of the range. */
function compressionOf({ structure }: TriedStructure, coefficients: ComplexSignal, driveRange: number): number {
  const gainAt = (r: number) => {
    const sum = { re: 0, im: 0 };
    structure.terms.forEach(({ nonlinearOrder }, i) => {
      const factor = r ** (nonlinearOrder - 1);
      sum.re += coefficients.re[i] * factor;
      sum.im += coefficients.im[i] * factor;
    });
    return magnitudeOf(sum);
  };
  return amplitudeRatioToDb(gainAt(0) / gainAt(driveRange));
}
