// What of a mask a record can show: faults of its pieces, bins too wide for a measuring bandwidth, distances beyond ±fs/2.
import { type Issue, printValue, type Warning } from '../../../shared/schema/issue.ts';
import type { MaskLimitSettings, MeasurementSettings } from '../../../shared/schema/measurement.ts';
import type { LimitSettings } from '../../../shared/schema/scenario.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { nextPowerOfTwo } from '../dsp/fft.ts';
import { formatHz } from '../dsp/frequencyText.ts';
import { segmentLengthFor } from '../dsp/spectrum.ts';
import { windowOf } from '../dsp/windows.ts';
import { maskReference, reachHz } from '../measurement/maskGeometry.ts';
import type { ResolvedWaveform } from '../waveform/resolvedWaveform.ts';

type SpectrumSettings = MeasurementSettings['spectrum'];

/** A line narrower than the window's lobe reads too low by more than this share only beyond it. */
const RESOLUTION_TOLERANCE = 1.1;

/** Segment length the readings will have, and whether the whole record is one. */
function segmentOf(settings: SpectrumSettings, { sampleRateHz, sampleCount }: ResolvedWaveform): number {
  const { method, window, segmentLength, resolutionBandwidthHz } = settings;
  if (method === 'wholeRecord') return sampleCount;
  if (resolutionBandwidthHz === 'auto') return segmentLength;
  return segmentLengthFor(resolutionBandwidthHz, sampleRateHz, window, sampleCount);
}

/** Faults of one mask among the limits. */
export function maskIssues(
  mask: MaskLimitSettings,
  path: string,
  spectrum: SpectrumSettings,
  waveform: ResolvedWaveform,
): Issue[] {
  return [
    ...pieceIssues(mask, path),
    ...binIssues(mask, path, spectrum, waveform),
    ...axisIssues(mask, path, waveform),
  ];
}

function pieceIssues(mask: MaskLimitSettings, path: string): Issue[] {
  return mask.pieces.flatMap((piece, i): Issue[] => {
    const { fromHz, toHz, startLevel, endLevel } = piece;
    if (toHz === 'end' && startLevel !== endLevel) {
      const rule = 'must equal startLevel in a piece that goes to the end: a slope needs two distances';
      const remedy = 'give toHz a distance, or make the levels equal';
      return [{ path: `${path}.pieces.${i}.endLevel`, rule, value: printValue(endLevel), remedy }];
    }
    if (toHz === 'end' || toHz >= fromHz) return [];
    const rule = `must not lie before fromHz of ${fromHz}`;
    return [{ path: `${path}.pieces.${i}.toHz`, rule, value: printValue(toHz), remedy: 'exchange the two' }];
  });
}

/** Bins wider than a measuring bandwidth cannot be integrated in it. */
function binIssues(
  mask: MaskLimitSettings,
  path: string,
  settings: SpectrumSettings,
  waveform: ResolvedWaveform,
): Issue[] {
  const { sampleRateHz, sampleCount } = waveform;
  const narrowest = Math.min(...mask.pieces.map((piece) => piece.measuringBandwidthHz));
  const binWidthHz = sampleRateHz / segmentOf(settings, waveform);
  if (binWidthHz <= narrowest * (1 + 1e-9)) return [];
  const wanted = nextPowerOfTwo(Math.ceil(sampleRateHz / narrowest));
  const remedy =
    wanted <= sampleCount
      ? `set measurement.spectrum.segmentLength to ${wanted} or more`
      : `lengthen the record to ${wanted} samples or more, with segments as long`;
  return [
    {
      path,
      rule: `needs bins no wider than its measuring bandwidth of ${formatHz(narrowest)}`,
      value: `${formatHz(binWidthHz)} a bin`,
      remedy,
    },
  ];
}

/** A mask of which nothing is shown has no verdict. */
function axisIssues(mask: MaskLimitSettings, path: string, waveform: ResolvedWaveform): Issue[] {
  const first = Math.min(...mask.pieces.map((piece) => piece.fromHz));
  const bandwidthHz = mask.pieces.find((piece) => piece.fromHz === first)?.measuringBandwidthHz ?? 0;
  const { reach, rateFor } = reachOf(mask, waveform, bandwidthHz);
  if (first <= reach) return [];
  return [
    {
      path,
      rule: `must begin inside the band of the record, which ends ${formatHz(Math.max(0, reach))} from the mask’s reference`,
      value: `first distance ${formatHz(first)}`,
      remedy: `raise waveform.sampleRateHz to ${formatHz(rateFor(first))} or more`,
    },
  ];
}

function reachOf(mask: MaskLimitSettings, { carriers, sampleRateHz }: ResolvedWaveform, bandwidthHz: number) {
  const reference = maskReference(
    carriers.map((carrier) => carrier.geometry),
    mask.measuredFrom,
  );
  const reach = Math.min(
    reachHz(reference, 'lower', sampleRateHz, bandwidthHz),
    reachHz(reference, 'upper', sampleRateHz, bandwidthHz),
  );
  return { reach, rateFor: (distanceHz: number) => sampleRateHz + 2 * (distanceHz - reach) };
}

/** Doubts about the masks that are known before a run. */
export function maskNotes(
  limits: readonly LimitSettings[],
  settings: SpectrumSettings,
  waveform: ResolvedWaveform,
): Warning[] {
  const masks = limits.filter((limit) => limit.reading === 'mask');
  return masks.flatMap((mask) => [...resolutionNotes(mask, settings, waveform), ...reachNotes(mask, waveform)]);
}

function resolutionNotes(mask: MaskLimitSettings, settings: SpectrumSettings, waveform: ResolvedWaveform): Warning[] {
  if (settings.method === 'wholeRecord') return [];
  const segment = segmentOf(settings, waveform);
  const { noiseBandwidthBins } = windowOf(settings.window, segment);
  const resolutionHz = (noiseBandwidthBins * waveform.sampleRateHz) / segment;
  const narrowest = Math.min(...mask.pieces.map((piece) => piece.measuringBandwidthHz));
  if (resolutionHz <= RESOLUTION_TOLERANCE * narrowest) return [];
  const lowDb = powerRatioToDb(resolutionHz / narrowest).toFixed(1);
  const message = `Mask ${mask.name}: the spectrum’s resolution bandwidth of ${formatHz(resolutionHz)} is wider than the measuring bandwidth of ${formatHz(narrowest)}. Noise-like emission reads right, a single line too low by up to about ${lowDb} dB. Lengthen measurement.spectrum.segmentLength.`;
  return [{ code: 'mask-resolution', message }];
}

function reachNotes(mask: MaskLimitSettings, waveform: ResolvedWaveform): Warning[] {
  const missing = mask.pieces.flatMap(({ fromHz, toHz, measuringBandwidthHz }) => {
    const { reach, rateFor } = reachOf(mask, waveform, measuringBandwidthHz);
    const wanted = toHz === 'end' ? fromHz : toHz;
    return wanted <= reach * (1 + 1e-12) ? [] : [{ wanted, reach, rate: rateFor(wanted) }];
  });
  if (missing.length === 0) return [];
  const wanted = Math.max(...missing.map((piece) => piece.wanted));
  const rate = Math.max(...missing.map((piece) => piece.rate));
  const reach = Math.min(...missing.map((piece) => piece.reach));
  const message = `Mask ${mask.name}: the record shows ${formatHz(reach)} beside the carriers, the mask asks for ${formatHz(wanted)}; what lies beyond is not judged. Raise waveform.sampleRateHz to ${formatHz(rate)} or more.`;
  return [{ code: 'mask-incomplete', message }];
}
