// The report of an identification: every reading of a fitted pair, and how far to trust it.
import type { IdentificationReport, IdentifiedStructure } from '../../../shared/schema/identificationReport.ts';
import type { Warning } from '../../../shared/schema/issue.ts';
import type { SampleWindow } from '../basis/gram.ts';
import { delayPeriodic } from '../dsp/align.ts';
import { type ComplexSignal, meanPower, peakPower } from '../dsp/complex.ts';
import { amplitudeRatioToDb, powerRatioToDb } from '../dsp/decibels.ts';
import { measureLoopWidth } from '../identification/loopWidth.ts';
import { gather } from '../identification/samplePart.ts';
import {
  bestOf,
  KEPT_MARGIN_DB,
  type StructureSearch,
  type TriedStructure,
} from '../identification/searchStructures.ts';
import { type CheckedPair, windowsOf } from './identifyChecks.ts';
import type { FittedPair } from './identifyFit.ts';
import type { FittedModel } from './identifyModel.ts';
import { difference, errorShares, magnitudeOf, nmseDb, pairReading, predictedChannels } from './identifyReadings.ts';
import { judgeTrust } from './identifyTrust.ts';

/** `doubts`: warnings of the records and of the scale, told before those of the fit. */
export function writeReport(
  checked: CheckedPair,
  fitted: FittedPair,
  made: FittedModel,
  validation: IdentificationReport['validation'],
  doubts: readonly Warning[],
): IdentificationReport {
  const { drive } = checked.pair;
  const { chosen, search } = fitted;
  const report = {
    ...recordReadings(checked),
    ...alignmentReadings(checked, fitted, made.outputPower),
    chosen: structureReading(chosen),
    heldOutWithReceiverErrorsDb: fitted.heldOutWithReceiverErrorsDb,
    trainingSampleCount: fitted.trainingSampleCount,
    heldOutSampleCount: fitted.heldOutSampleCount,
    keptMarginDb: KEPT_MARGIN_DB,
    gains: gainsOf(search),
    structures: search.tried.map(structureReading).sort((a, b) => a.coefficientCount - b.coefficientCount),
    ...errorReadings(drive, checked, fitted, made.output),
    driveRange: made.driveRange,
    scale: { ...made.scale, compressionAtPeakDb: compressionOf(chosen, fitted.coefficients, made.driveRange) },
    validation,
  };
  const { trust, warnings } = judgeTrust(report);
  return { ...report, trust, warnings: [...doubts, ...warnings] };
}

function recordReadings({ pair: { drive }, clippedSamples }: CheckedPair) {
  return {
    sampleRateHz: drive.sampleRateHz,
    sampleCount: drive.signal.re.length,
    driveMeanDbfs: powerRatioToDb(meanPower(drive.signal)),
    drivePeak: Math.sqrt(peakPower(drive.signal)),
    clippedSamples,
  };
}

function alignmentReadings(checked: CheckedPair, { alignment, clean }: FittedPair, outputPower: number) {
  const { drive, observed } = checked.pair;
  const { sampleRateHz } = drive;
  return {
    alignment: {
      ...pairReading(alignment, sampleRateHz, outputPower),
      delayDeviationS: alignment.delayDeviationSamples / sampleRateHz,
      ...(checked.frequencyOffsetHz === 0 ? {} : { frequencyOffsetHz: checked.frequencyOffsetHz }),
    },
    loops: loopsOf(drive.signal, observed.signal, alignment.delaySamples, clean, windowsOf(checked)),
  };
}

function errorReadings(
  { signal, sampleRateHz }: CheckedPair['pair']['drive'],
  checked: CheckedPair,
  { clean, search, chosen }: FittedPair,
  output: ComplexSignal,
): Pick<IdentificationReport, 'fitNmseDb' | 'shares' | 'aclr' | 'channels' | 'errorAclrDb'> {
  const windows = windowsOf(checked);
  const [sent, seen, made] = [gather(signal, windows), gather(clean, windows), gather(output, windows)];
  const fitNmseDb = nmseDb(clean, output, windows);
  const best = search.best.heldOutNmseDb;
  const staticFit = bestOf(search.tried, ({ memoryDepth }) => memoryDepth === 1) ?? chosen;
  const residual = difference(seen, made);
  const shares = errorShares(staticFit.heldOutNmseDb, best, fitNmseDb, residual, made, sampleRateHz);
  return { fitNmseDb, shares, ...predictedChannels(sent, seen, made, sampleRateHz, checked.isOnePeriod) };
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
  windows: readonly SampleWindow[],
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
