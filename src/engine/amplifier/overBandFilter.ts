// How gain and phase of an amplifier change inside one record: a linear filter behind the nonlinearity.
//
//   H(f) = 10^((G(F + f) − G(F))/20)·exp(j·(Φ(F + f) − Φ(F)))     F the channel, f the frequency in the record
//   y ← IDFT(H·DFT(y));   |y| ≤ Σ|h[n]|·max|y|,  h = IDFT(H)
//
// G and Φ in straight lines between the points, held beyond the outer ones. H(0) = 1: the operating point stays. A filter
// behind the nonlinearity moves saturated power and small-signal gain alike; how the knee changes inside a record is not
// modelled. Records are periodic, so the filter wraps; at half the sample rate, which stands for both signs, H is the
// mean of both.
import { type OverBandFigures, overBandFiguresAt } from '../../../shared/schema/overBand.ts';
import type { OverBandSettings } from '../../../shared/schema/scenario.ts';
import { type Complex, type ComplexSignal, zeros } from '../dsp/complex.ts';
import { fft, inverseFft, inverseFftInPlace, multiplyInPlace } from '../dsp/fft.ts';

const RAD_PER_DEG = Math.PI / 180;
/** Smaller differences, in dB and degrees, are arithmetic. */
const LEVEL = 1e-11;

interface OverBandFilter {
  /** Output for a periodic record of the length it was made for. A new record. */
  apply(signal: ComplexSignal): ComplexSignal;
  /** Largest output amplitude over largest input amplitude, for any record: Σ|h|. */
  readonly amplitudeBound: number;
}

/** H at a frequency of the record. */
function overBandResponse(settings: OverBandSettings, frequencyHz: number): Complex {
  return responseAgainst(overBandFiguresAt(settings.points, settings.channelHz), settings, frequencyHz);
}

function responseAgainst(
  channel: OverBandFigures,
  { channelHz, points }: OverBandSettings,
  frequencyHz: number,
): Complex {
  const there = overBandFiguresAt(points, channelHz + frequencyHz);
  const gain = 10 ** ((there.gainDb - channel.gainDb) / 20);
  const phase = RAD_PER_DEG * (there.phaseDeg - channel.phaseDeg);
  return { re: gain * Math.cos(phase), im: gain * Math.sin(phase) };
}

/** The filter for records of this rate and length; null where gain and phase are the same all over the record. */
export function createOverBandFilter(
  settings: OverBandSettings,
  sampleRateHz: number,
  sampleCount: number,
): OverBandFilter | null {
  if (isFlat(settings, sampleRateHz)) return null;
  const response = responseOf(settings, sampleRateHz, sampleCount);
  return {
    amplitudeBound: amplitudeSum(inverseFft(response)),
    apply: (signal) => {
      if (signal.re.length !== sampleCount) {
        throw new RangeError(`overBandFilter: ${signal.re.length} samples; made for ${sampleCount}`);
      }
      const spectrum = fft(signal);
      multiplyInPlace(spectrum, response);
      return inverseFftInPlace(spectrum);
    },
  };
}

/** Straight lines are level when they are so at their corners and ends; whole turns of phase there may be a delay. */
function isFlat({ channelHz, points }: OverBandSettings, sampleRateHz: number): boolean {
  const [lowest, highest] = [channelHz - sampleRateHz / 2, channelHz + sampleRateHz / 2];
  const inside = points.map(({ frequencyHz }) => frequencyHz).filter((hz) => hz > lowest && hz < highest);
  const channel = overBandFiguresAt(points, channelHz);
  return [lowest, highest, ...inside].every((hz) => {
    const { gainDb, phaseDeg } = overBandFiguresAt(points, hz);
    return Math.abs(gainDb - channel.gainDb) < LEVEL && Math.abs(phaseDeg - channel.phaseDeg) < LEVEL;
  });
}

/** H of every bin, bin 0 first. */
function responseOf(settings: OverBandSettings, sampleRateHz: number, sampleCount: number): ComplexSignal {
  const response = zeros(sampleCount);
  const step = sampleRateHz / sampleCount;
  const channel = overBandFiguresAt(settings.points, settings.channelHz);
  for (let b = 0; b < sampleCount; b++) {
    const h = responseAgainst(channel, settings, step * (2 * b < sampleCount ? b : b - sampleCount));
    response.re[b] = h.re;
    response.im[b] = h.im;
  }
  if (sampleCount % 2 === 0) {
    const half = sampleCount / 2;
    const above = overBandResponse(settings, sampleRateHz / 2);
    response.re[half] = (response.re[half] + above.re) / 2;
    response.im[half] = (response.im[half] + above.im) / 2;
  }
  return response;
}

function amplitudeSum({ re, im }: ComplexSignal): number {
  let sum = 0;
  for (let n = 0; n < re.length; n++) sum += Math.sqrt(re[n] * re[n] + im[n] * im[n]);
  return sum;
}
