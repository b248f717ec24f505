// What the pictures of an identification are drawn from: spectra of what was observed, predicted and left over, and the
// AM/AM–AM/PM clouds before and after alignment and of the model.
//   spectra: averaged segments on one axis; level = 10·log10(power in the resolution bandwidth over mean |observed|²)
//   clouds: drive re its largest, gain and phase re the least-squares gain of the aligned observation over the drive
import type { IdentificationTraces } from '../../../shared/schema/identificationReport.ts';
import type { AmAmAmPmTrace, SpectrumTrace } from '../../../shared/schema/report.ts';
import type { SampleWindow } from '../basis/gram.ts';
import { type Complex, type ComplexSignal, meanPower, peakPower } from '../dsp/complex.ts';
import { amplitudeRatioToDb, powerRatioToDb } from '../dsp/decibels.ts';
import { estimateSpectrum, type PowerSpectrum } from '../dsp/spectrum.ts';
import { gather } from '../identification/samplePart.ts';
import { type AmAmAmPmOptions, measureAmAmAmPm } from '../measurement/amAmAmPm.ts';
import { difference } from './identifyReadings.ts';

export interface TraceSignals {
  readonly drive: ComplexSignal;
  /** As recorded. */
  readonly observed: ComplexSignal;
  /** Aligned, without the receiver's leak and image. */
  readonly clean: ComplexSignal;
  /** The model's output. */
  readonly output: ComplexSignal;
}

const LONGEST_SEGMENT = 2048;
/** Fewer segments than this scatter too much to be looked at. */
const FEWEST_SEGMENTS = 8;
/** Drive axis from 30 dB below the largest drive. */
const DRIVE_SPAN_DB = 30;
/** Before alignment gain and phase go anywhere; few samples lie outside this gain, and no phase does. */
const UNALIGNED = { gainRangeDb: [-20, 20], phaseRangeDeg: [-180, 180] } as const;

/**
 * The signals equally long; only the samples of the windows are shown. gain: of the observation over the drive, its phase as
 * recorded; the aligned observation and the model's output stand at the drive's phase.
 */
export function identificationTraces(
  { drive, observed, clean, output }: TraceSignals,
  gain: Complex,
  windows: readonly SampleWindow[],
  sampleRateHz: number,
  isOnePeriod: boolean,
): IdentificationTraces {
  const [sent, recorded, seen, made] = [drive, observed, clean, output].map((x) => gather(x, windows)) as [
    ComplexSignal,
    ComplexSignal,
    ComplexSignal,
    ComplexSignal,
  ];
  const estimate = (x: ComplexSignal) => averagedSpectrum(x, sampleRateHz, isOnePeriod);
  const observedSpectrum = estimate(seen);
  const reference = meanPower(seen);
  const aligned = { re: Math.sqrt(gain.re * gain.re + gain.im * gain.im), im: 0 };
  const after = loopOf(sent, seen, aligned, rangesRound(loopOf(sent, seen, aligned)));
  return {
    spectra: {
      observed: traceOf(observedSpectrum, reference),
      predicted: traceOf(estimate(made), reference),
      residual: traceOf(estimate(difference(seen, made)), reference),
    },
    resolutionBandwidthHz: observedSpectrum.resolutionBandwidthHz,
    loops: {
      asRecorded: loopOf(sent, recorded, gain, UNALIGNED),
      aligned: after,
      predicted: loopOf(sent, made, aligned, rangesOf(after)),
    },
  };
}

function averagedSpectrum(x: ComplexSignal, sampleRateHz: number, isOnePeriod: boolean): PowerSpectrum {
  const longest = 2 ** Math.floor(Math.log2(x.re.length / FEWEST_SEGMENTS));
  return estimateSpectrum(x, {
    sampleRateHz,
    method: 'segments',
    window: 'blackmanHarris',
    segmentLength: Math.min(LONGEST_SEGMENT, longest),
    overlapRatio: 0.5,
    periodic: isOnePeriod,
  });
}

function traceOf(
  { frequencyHz, power, resolutionBandwidthHz, binWidthHz }: PowerSpectrum,
  reference: number,
): SpectrumTrace {
  const factor = resolutionBandwidthHz / binWidthHz / reference;
  return { frequencyHz, level: power.map((value) => powerRatioToDb(factor * value)) };
}

type Ranges = Pick<AmAmAmPmOptions, 'gainRangeDb' | 'phaseRangeDeg'>;

/** The cloud is cut this many standard deviations from its mean curve; margins of the axis within these, in dB. */
const SHOWN_DEVIATIONS = 4;
const LEAST_MARGIN_DB = 0.25;
const MOST_MARGIN_DB = 3;
/** A deviation of the gain of 1 dB goes with one of the phase of ln(10)/20 rad. */
const DEG_PER_DB = (180 / Math.PI) * (Math.LN10 / 20);
/** Further below the largest drive, noise alone spreads the cloud. */
const JUDGED_SPAN_DB = 15;

/** Axes close round an aligned cloud, so that the cells of its picture are finer than the cloud is wide. */
function rangesRound({ driveDb, gainDb, phaseDeg, gainSpreadDb }: AmAmAmPmTrace): Ranges {
  const spread = gainSpreadDb.reduce((most, db, i) => (driveDb[i] >= -JUDGED_SPAN_DB ? Math.max(most, db) : most), 0);
  const margin = Math.min(MOST_MARGIN_DB, Math.max(LEAST_MARGIN_DB, SHOWN_DEVIATIONS * spread));
  const round = (curve: Float64Array, by: number) => [Math.min(...curve, 0) - by, Math.max(...curve, 0) + by] as const;
  return { gainRangeDb: round(gainDb, margin), phaseRangeDeg: round(phaseDeg, DEG_PER_DB * margin) };
}

/** So that two clouds have the same axes. */
function rangesOf({ gain, phase }: AmAmAmPmTrace): Ranges {
  return { gainRangeDb: [gain.yMinimum, gain.yMaximum], phaseRangeDeg: [phase.yMinimum, phase.yMaximum] };
}

function loopOf(drive: ComplexSignal, y: ComplexSignal, referenceGain: Complex, ranges: Ranges = {}): AmAmAmPmTrace {
  const peakDb = amplitudeRatioToDb(Math.sqrt(peakPower(drive)));
  const range = { driveMinimumDb: peakDb - DRIVE_SPAN_DB, driveMaximumDb: peakDb + 1e-9 };
  const trace = measureAmAmAmPm(drive, y, { referenceGain, ...range, ...ranges });
  const overPeak = (density: AmAmAmPmTrace['gain']) => ({ ...density, xMinimum: -DRIVE_SPAN_DB, xMaximum: 0 });
  const driveDb = trace.driveDb.map((value) => value - peakDb);
  return { ...trace, gain: overPeak(trace.gain), phase: overPeak(trace.phase), driveDb };
}
