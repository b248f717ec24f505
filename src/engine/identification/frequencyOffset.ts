// A receiver whose reference is not the transmitter's: its observation turns steadily against the drive.
//   c_s = Σ conj(x[n])·y[n + d] over segment s,   arg c_s = φ₀ + 2π·Δf·s·L/fs
// Against a common delay, but no offset, one correlation over the whole record finds the delay; with an offset of some 1/T
// it finds nothing, because the record's parts cancel. So shorter and shorter parts are correlated until one answers; the
// offset then is the slope of a line through the phases of equal segments.
// Source: common practice; the error of a straight line's slope from any textbook of statistics.
import { type Alignment, alignRecords } from '../dsp/align.ts';
import { type Complex, type ComplexSignal, zeros } from '../dsp/complex.ts';

export interface FrequencyOffset {
  /** Of the observation against the drive, cycles a sample. */
  readonly cyclesPerSample: number;
  /** One standard deviation, from the scatter of the phases. */
  readonly deviation: number;
  /** Altogether, once the offset is taken out. */
  readonly correlationRatio: number;
  readonly delaySamples: number;
}

type Standing = Pick<Alignment, 'delaySamples' | 'correlationRatio'>;

/** A correlation this high is of one transmission, turned by less than half a turn. */
const ENOUGH_CORRELATION = 0.6;
const SHORTEST_PART = 1024;
const SEGMENTS = 32;

/** Records equally long; `whole`: how they stand to each other altogether. Null when no part of them correlates. */
export function findFrequencyOffset(
  drive: ComplexSignal,
  observed: ComplexSignal,
  whole: Standing,
): FrequencyOffset | null {
  const first = phaseSlope(drive, observed, whole);
  if (first === null) return null;
  const once = removeFrequencyOffset(observed, first.cyclesPerSample);
  const found = alignRecords(drive, once);
  const { delaySamples, correlationRatio } = found;
  const rest = phaseSlope(drive, once, found) ?? { cyclesPerSample: 0, deviation: first.deviation };
  const cyclesPerSample = first.cyclesPerSample + rest.cyclesPerSample;
  return { cyclesPerSample, deviation: rest.deviation, correlationRatio, delaySamples };
}

interface Slope {
  readonly cyclesPerSample: number;
  readonly deviation: number;
}

function phaseSlope(drive: ComplexSignal, observed: ComplexSignal, whole: Standing): Slope | null {
  const length = drive.re.length;
  for (let part = length; part >= SHORTEST_PART; part >>= 1) {
    const from = (length - part) >> 1;
    const [x, y] = [cut(drive, from, part), cut(observed, from, part)];
    if (isSilent(x) || isSilent(y)) return null;
    const { delaySamples, correlationRatio } = part === length ? whole : alignRecords(x, y);
    if (correlationRatio < ENOUGH_CORRELATION) continue;
    const segment = Math.min(part >> 1, Math.floor(length / SEGMENTS));
    return slopeOf(segmentPhases(drive, observed, Math.round(delaySamples), segment));
  }
  return null;
}

function cut({ re, im }: ComplexSignal, from: number, count: number): ComplexSignal {
  return { re: re.slice(from, from + count), im: im.slice(from, from + count) };
}

function isSilent({ re, im }: ComplexSignal): boolean {
  return re.every((value, n) => value === 0 && im[n] === 0);
}

interface Phases {
  /** Weighted by how much the segments hold. */
  readonly correlation: readonly Complex[];
  /** Samples from one segment to the next. */
  readonly step: number;
}

function segmentPhases(x: ComplexSignal, y: ComplexSignal, delay: number, step: number): Phases {
  const first = Math.max(0, -delay);
  const last = Math.min(x.re.length, x.re.length - delay);
  const correlation: Complex[] = [];
  for (let from = first; from + step <= last; from += step) {
    let [re, im] = [0, 0];
    for (let n = from; n < from + step; n++) {
      re += x.re[n] * y.re[n + delay] + x.im[n] * y.im[n + delay];
      im += x.re[n] * y.im[n + delay] - x.im[n] * y.re[n + delay];
    }
    correlation.push({ re, im });
  }
  return { correlation, step };
}

/** Weighted least-squares line through the phases, each unwrapped against the mean turn. */
function slopeOf({ correlation, step }: Phases): Slope {
  let [re, im] = [0, 0];
  for (let s = 1; s < correlation.length; s++) {
    const [a, b] = [correlation[s - 1], correlation[s]];
    re += a.re * b.re + a.im * b.im;
    im += a.re * b.im - a.im * b.re;
  }
  const turn = Math.atan2(im, re);
  const middle = (correlation.length - 1) / 2;
  // Turned back by the mean turn, all segments add up to the common phase, and the phases against it are small.
  const back = correlation.map((c, s) => turned(c, -turn * (s - middle)));
  const sum = back.reduce((total, c) => ({ re: total.re + c.re, im: total.im + c.im }));
  const common = Math.atan2(sum.im, sum.re);
  const rest = back.map((c) => turned(c, -common));
  const weights = rest.map((c) => Math.sqrt(c.re * c.re + c.im * c.im));
  const phases = rest.map((c) => Math.atan2(c.im, c.re));
  const total = weights.reduce((a, b) => a + b);
  const centre = weights.reduce((a, w, s) => a + w * s, 0) / total;
  const spread = weights.reduce((a, w, s) => a + w * (s - centre) * (s - centre), 0);
  const slope = weights.reduce((a, w, s) => a + w * (s - centre) * phases[s], 0) / spread;
  const mean = weights.reduce((a, w, s) => a + w * phases[s], 0) / total;
  const scatter = weights.reduce((a, w, s) => a + w * (phases[s] - mean - slope * (s - centre)) ** 2, 0) / total;
  const perSample = 1 / (2 * Math.PI * step);
  const deviation = Math.sqrt((scatter * total) / spread / Math.max(1, correlation.length - 2));
  return { cyclesPerSample: (turn + slope) * perSample, deviation: deviation * perSample };
}

function turned({ re, im }: Complex, angle: number): Complex {
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  return { re: re * c - im * s, im: re * s + im * c };
}

/** The observation turned back by an offset. A new record. */
export function removeFrequencyOffset({ re, im }: ComplexSignal, cyclesPerSample: number): ComplexSignal {
  const out = zeros(re.length);
  for (let n = 0; n < re.length; n++) {
    const angle = -2 * Math.PI * cyclesPerSample * n;
    const [c, s] = [Math.cos(angle), Math.sin(angle)];
    out.re[n] = re[n] * c - im[n] * s;
    out.im[n] = re[n] * s + im[n] * c;
  }
  return out;
}
