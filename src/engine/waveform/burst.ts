// A burst pattern on the record: whole periods, and its gate on a signal.
//
// Stated powers are those while on (transmitter ON period of TS 38.104, from memory): the gated record has unit mean power times
// the share `activeRatio`, the mean of the squared envelope.
import type { BurstGeometry } from '../../../shared/schema/geometry.ts';
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import { printValue } from '../../../shared/schema/issue.ts';
import type { BurstSettings } from '../../../shared/schema/scenario.ts';
import { burstEnvelope } from '../dsp/burst.ts';
import { type ComplexSignal, meanPower, zeros } from '../dsp/complex.ts';

/** Fewer samples fully on hold nothing to read. */
const LEAST_FLAT_SAMPLES = 16;
const PERIOD_MOVED = 1e-9;

interface BurstRecord {
  readonly sampleRateHz: number;
  readonly sampleCount: number;
}

/** The pattern moved to whole periods per record (a note tells by how much), or null with the faults in `issues`. */
export function resolveBurst(
  settings: BurstSettings,
  { sampleRateHz, sampleCount }: BurstRecord,
  issues: Issue[],
  notes: Warning[],
): BurstGeometry | null {
  const periodCount = Math.round(sampleCount / (settings.periodS * sampleRateHz));
  if (periodCount < 1) {
    const lasts = sampleCount / sampleRateHz;
    issues.push({
      path: 'waveform.burst.periodS',
      rule: `must fit the record, which lasts ${microseconds(lasts)}`,
      value: printValue(settings.periodS),
      remedy: `use up to ${microseconds(lasts)}, or lengthen the record`,
    });
    return null;
  }
  const periodSamples = sampleCount / periodCount;
  const onSamples = settings.dutyRatio * periodSamples;
  const rampSamples = settings.rampS * sampleRateHz;
  const fault = checkRamp(settings, { periodSamples, onSamples, rampSamples }, sampleRateHz);
  if (fault !== null) {
    issues.push(fault);
    return null;
  }
  const pattern = { periodSamples, periodCount, onSamples, rampSamples };
  const periodS = periodSamples / sampleRateHz;
  if (Math.abs(periodS - settings.periodS) > PERIOD_MOVED * settings.periodS) {
    const message = `The burst period is moved from ${microseconds(settings.periodS)} to ${microseconds(periodS)}, so that whole periods fill the record: ${periodCount} in ${microseconds(sampleCount / sampleRateHz)}.`;
    notes.push({ code: 'burst-moved', message });
  }
  return { ...pattern, activeRatio: meanSquare(burstEnvelope(pattern, sampleCount)) };
}

function checkRamp(
  { dutyRatio, rampS }: BurstSettings,
  { periodSamples, onSamples, rampSamples }: Pick<BurstGeometry, 'periodSamples' | 'onSamples' | 'rampSamples'>,
  sampleRateHz: number,
): Issue | null {
  const offSamples = periodSamples - onSamples;
  if (onSamples - rampSamples >= LEAST_FLAT_SAMPLES && offSamples >= rampSamples) return null;
  const on = `on for ${microseconds(onSamples / sampleRateHz)}, off for ${microseconds(offSamples / sampleRateHz)}`;
  const least = Math.min(onSamples - LEAST_FLAT_SAMPLES, offSamples) / sampleRateHz;
  if (least < 0) {
    return {
      path: 'waveform.burst.dutyRatio',
      rule: `must keep at least ${LEAST_FLAT_SAMPLES} samples on (${on})`,
      value: printValue(dutyRatio),
      remedy: 'raise the duty, lengthen the period or raise the sample rate',
    };
  }
  return {
    path: 'waveform.burst.rampS',
    rule: `must fit into on-time and off-time (${on})`,
    value: printValue(rampS),
    remedy: `use up to ${microseconds(least)}, another duty or a longer period`,
  };
}

function microseconds(seconds: number): string {
  return `${Number((1e6 * seconds).toPrecision(6))} µs`;
}

function meanSquare(envelope: Float64Array): number {
  let sum = 0;
  for (let n = 0; n < envelope.length; n++) sum += envelope[n] * envelope[n];
  return sum / envelope.length;
}

/** The signal under the pattern, mean power `activeRatio`. */
export function gate(x: ComplexSignal, burst: BurstGeometry): ComplexSignal {
  const length = x.re.length;
  const envelope = burstEnvelope(burst, length);
  const out = zeros(length);
  for (let n = 0; n < length; n++) {
    out.re[n] = envelope[n] * x.re[n];
    out.im[n] = envelope[n] * x.im[n];
  }
  const factor = Math.sqrt(burst.activeRatio / meanPower(out));
  for (let n = 0; n < length; n++) {
    out.re[n] *= factor;
    out.im[n] *= factor;
  }
  return out;
}
