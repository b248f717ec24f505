// Doubts about the transmit and observation paths of a run, each with its numbers.
import type { Warning } from '../../../shared/schema/issue.ts';
import type { OutputReport } from '../../../shared/schema/report.ts';
import { type ComplexSignal, meanPower } from '../dsp/complex.ts';
import { dbToPowerRatio } from '../dsp/decibels.ts';
import { formatHz } from '../dsp/frequencyText.ts';
import type { Setup } from './checkScenario.ts';
import { transmitFullScale } from './transmitter.ts';
import { activeRatioOf } from './whileOn.ts';

export interface PathFindings {
  readonly setup: Setup;
  readonly corrected: OutputReport | null;
  readonly linearization: { readonly corrected: { readonly drive: ComplexSignal } | null } | null;
}

/** Below twice the signal's bandwidth the observation misses regrowth that the inverse is made of (pitfall P21). */
const NARROW_RATIO = 2;

export function pathDoubts(findings: PathFindings): Warning[] {
  return [...observationDoubts(findings.setup), ...imageDoubts(findings), ...clippingDoubts(findings)];
}

/** From the lowest to the highest edge of all carriers, counted from the record's centre on the farther side. */
function centredSpanHz({ waveform }: Setup): number {
  const edges = waveform.carriers.map(({ geometry }) => Math.abs(geometry.offsetHz) + geometry.occupiedBandwidthHz / 2);
  return 2 * Math.max(...edges);
}

function observationDoubts(setup: Setup): Warning[] {
  const { predistorter } = setup.scenario;
  const observation = predistorter?.observation ?? null;
  if (observation === null || predistorter?.stored?.passCount === 0) return [];
  const { sampleRateHz } = setup.waveform;
  const rateHz = observation.sampleRateHz === 'same' ? sampleRateHz : Math.min(observation.sampleRateHz, sampleRateHz);
  const filterHz = observation.bandwidthHz === 'full' ? sampleRateHz : observation.bandwidthHz;
  const seenHz = Math.min(rateHz, filterHz);
  const spanHz = centredSpanHz(setup);
  const doubts: Warning[] = [];
  if (seenHz < NARROW_RATIO * spanHz) {
    const ratio = (seenHz / spanHz).toFixed(2);
    const message = `The observation sees ${formatHz(seenHz)}, ${ratio} times the signal’s ${formatHz(spanHz)}: what the amplifier makes beside it is not learned, good in band and bad outside. Observe at least ${NARROW_RATIO} times the signal, ${formatHz(NARROW_RATIO * spanHz)}; compare the second channel too.`;
    doubts.push({ code: 'observation-narrow', message });
  }
  const reachesHz = Math.min(sampleRateHz, filterHz * (1 + observation.transitionRatio));
  if (reachesHz > rateHz * (1 + 1e-9)) {
    const message = `The observation is sampled at ${formatHz(rateHz)} and its filter passes ${formatHz(reachesHz)}: what lies beyond half the rate folds into the observation. Narrow the filter or raise the rate.`;
    doubts.push({ code: 'observation-folds', message });
  }
  return doubts;
}

/** The image counts where it is at least this share of the corrected error. */
const IMAGE_SHARE = 0.1;

/** The conjugate is no function of x·|x|^k: a predistorter of these cannot make what would cancel it. */
function imageDoubts({ setup, corrected }: PathFindings): Warning[] {
  const imageDb = setup.scenario.transmitter?.imageDb ?? null;
  if (imageDb === null || corrected === null) return [];
  if (dbToPowerRatio(imageDb) < IMAGE_SHARE * dbToPowerRatio(corrected.nmseDb)) return [];
  const percent = (100 * 10 ** (imageDb / 20)).toPrecision(3);
  const message = `The transmitter’s image of ${imageDb.toFixed(1)} dB is not corrected: no term of this predistorter contains the conjugate of its input. The corrected output’s error of ${corrected.nmseDb.toFixed(1)} dB holds it; alone it is an EVM of ${percent} %. Balance gain and phase of the modulator.`;
  return [{ code: 'image-not-corrected', message }];
}

/** Peaks that correction adds do not fit a converter set up for the plain drive. */
function clippingDoubts({ setup, linearization }: PathFindings): Warning[] {
  const { transmitter } = setup.scenario;
  const drive = linearization?.corrected?.drive ?? null;
  if (transmitter === null || transmitter.converterBitCount === null || drive === null) return [];
  const fullScale = transmitFullScale(transmitter, Math.sqrt(meanPower(drive) / activeRatioOf(setup)));
  let clipped = 0;
  for (let n = 0; n < drive.re.length; n++) {
    if (Math.abs(drive.re[n]) > fullScale || Math.abs(drive.im[n]) > fullScale) clipped++;
  }
  if (clipped === 0) return [];
  const ppm = ((1e6 * clipped) / drive.re.length).toFixed(0);
  const message = `${ppm} ppm of the corrected drive’s samples exceed the drive converter’s full scale, ${transmitter.converterHeadroomDb} dB over the rms of a rail. Raise transmitter.converterHeadroomDb.`;
  return [{ code: 'transmit-converter-clips', message }];
}
