// Pairs with everything known: a flat band of noise through a known amplifier, seen by a receiver with known errors.
import { delayPeriodic } from '../../../src/engine/dsp/align.ts';
import { type ComplexSignal, meanPower, scale, zeros } from '../../../src/engine/dsp/complex.ts';
import { inverseFft } from '../../../src/engine/dsp/fft.ts';
import type { Random } from '../../../src/engine/dsp/random.ts';

/** Periodic Gaussian noise in bins −half … half (0 left out, as carriers leave it), mean power `power`. */
export function flatBand(length: number, half: number, power: number, random: Random): ComplexSignal {
  const bins = zeros(length);
  for (let k = -half; k <= half; k++) {
    if (k === 0) continue;
    const at = (k + length) % length;
    bins.re[at] = random.normal();
    bins.im[at] = random.normal();
  }
  const x = inverseFft(bins);
  return scale(x, Math.sqrt(power / meanPower(x)));
}

/** x·(1 + a·|x|² + b·|x|⁴): compression with AM/PM, no memory. */
export function staticCurve({ re, im }: ComplexSignal): ComplexSignal {
  const y = zeros(re.length);
  for (let n = 0; n < re.length; n++) {
    const u = re[n] * re[n] + im[n] * im[n];
    const [gRe, gIm] = [1 - 0.6 * u + 0.1 * u * u, 0.25 * u];
    y.re[n] = gRe * re[n] - gIm * im[n];
    y.im[n] = gRe * im[n] + gIm * re[n];
  }
  return y;
}

export interface Receiver {
  readonly delaySamples: number;
  readonly gainDb: number;
  readonly phaseDeg: number;
  /** Over the output's mean power. */
  readonly leakDbc: number;
  readonly imageDb: number;
  readonly snrDb: number;
}

/** g·(f + a·conj(f) + b + noise) delayed; a and b with phases of their own; noise white over the rate. */
export function observe(f: ComplexSignal, receiver: Receiver, random: Random): ComplexSignal {
  const power = meanPower(f);
  const image = 10 ** (receiver.imageDb / 20);
  const leak = Math.sqrt(power) * 10 ** (receiver.leakDbc / 20);
  const sigma = Math.sqrt(power / 2) * 10 ** (-receiver.snrDb / 20);
  const delayed = delayPeriodic(f, receiver.delaySamples);
  const g = 10 ** (receiver.gainDb / 20);
  const [c, s] = [g * Math.cos((receiver.phaseDeg * Math.PI) / 180), g * Math.sin((receiver.phaseDeg * Math.PI) / 180)];
  const y = zeros(f.re.length);
  for (let n = 0; n < y.re.length; n++) {
    // Image at 30°, leak at 110°.
    const [iRe, iIm] = [Math.cos(Math.PI / 6), Math.sin(Math.PI / 6)];
    const re =
      delayed.re[n] +
      image * (iRe * delayed.re[n] + iIm * delayed.im[n]) +
      leak * Math.cos((110 * Math.PI) / 180) +
      sigma * random.normal();
    const im =
      delayed.im[n] +
      image * (iIm * delayed.re[n] - iRe * delayed.im[n]) +
      leak * Math.sin((110 * Math.PI) / 180) +
      sigma * random.normal();
    y.re[n] = c * re - s * im;
    y.im[n] = c * im + s * re;
  }
  return y;
}
