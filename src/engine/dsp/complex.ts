// Complex samples as separate real and imaginary arrays, index n.

/** Samples whose buffer may be transferred between threads. */
export type Samples = Float64Array<ArrayBuffer>;

export interface ComplexSignal {
  readonly re: Samples;
  readonly im: Samples;
}

/** One complex number. */
export interface Complex {
  readonly re: number;
  readonly im: number;
}

/** A signal of `length` zeros. */
export function zeros(length: number): ComplexSignal {
  return { re: new Float64Array(length), im: new Float64Array(length) };
}

/** A copy with its own buffers. */
export function copy(x: ComplexSignal): ComplexSignal {
  return { re: x.re.slice(), im: x.im.slice() };
}

/** From pairs; missing imaginary parts are zero. */
export function fromPairs(pairs: readonly { readonly re: number; readonly im?: number }[]): ComplexSignal {
  const out = zeros(pairs.length);
  pairs.forEach((pair, i) => {
    out.re[i] = pair.re;
    out.im[i] = pair.im ?? 0;
  });
  return out;
}

/** g·x for a real factor. */
export function scale(x: ComplexSignal, factor: number): ComplexSignal {
  const out = zeros(x.re.length);
  for (let n = 0; n < x.re.length; n++) {
    out.re[n] = factor * x.re[n];
    out.im[n] = factor * x.im[n];
  }
  return out;
}

/** g·x for a complex factor. */
export function rotate(x: ComplexSignal, g: Complex): ComplexSignal {
  const out = zeros(x.re.length);
  for (let n = 0; n < x.re.length; n++) {
    out.re[n] = g.re * x.re[n] - g.im * x.im[n];
    out.im[n] = g.re * x.im[n] + g.im * x.re[n];
  }
  return out;
}

/** x + g·y, complex g. Lengths must agree. */
export function addScaled(x: ComplexSignal, g: Complex, y: ComplexSignal): ComplexSignal {
  requireEqualLength('addScaled', x, y);
  const out = zeros(x.re.length);
  for (let n = 0; n < x.re.length; n++) {
    out.re[n] = x.re[n] + g.re * y.re[n] - g.im * y.im[n];
    out.im[n] = x.im[n] + g.re * y.im[n] + g.im * y.re[n];
  }
  return out;
}

/** Mean of |x|². Four running sums: the additions of one would wait for each other. */
export function meanPower(x: ComplexSignal): number {
  const { re, im } = x;
  const length = re.length;
  let s0 = 0;
  let s1 = 0;
  let s2 = 0;
  let s3 = 0;
  let n = 0;
  for (; n + 3 < length; n += 4) {
    s0 += re[n] * re[n] + im[n] * im[n];
    s1 += re[n + 1] * re[n + 1] + im[n + 1] * im[n + 1];
    s2 += re[n + 2] * re[n + 2] + im[n + 2] * im[n + 2];
    s3 += re[n + 3] * re[n + 3] + im[n + 3] * im[n + 3];
  }
  for (; n < length; n++) s0 += re[n] * re[n] + im[n] * im[n];
  return (s0 + s1 + (s2 + s3)) / length;
}

/** Largest |x|². */
export function peakPower(x: ComplexSignal): number {
  let peak = 0;
  for (let n = 0; n < x.re.length; n++) {
    const power = x.re[n] * x.re[n] + x.im[n] * x.im[n];
    if (power > peak) peak = power;
  }
  return peak;
}

/** ⟨y, x⟩ = Σ conj(x)·y. */
export function innerProduct(x: ComplexSignal, y: ComplexSignal): Complex {
  requireEqualLength('innerProduct', x, y);
  let re = 0;
  let im = 0;
  for (let n = 0; n < x.re.length; n++) {
    re += x.re[n] * y.re[n] + x.im[n] * y.im[n];
    im += x.re[n] * y.im[n] - x.im[n] * y.re[n];
  }
  return { re, im };
}

/** Complex g that minimises |y − g·x|² (least-squares gain of y against x). */
export function leastSquaresGain(x: ComplexSignal, y: ComplexSignal): Complex {
  const inner = innerProduct(x, y);
  const power = meanPower(x) * x.re.length;
  return { re: inner.re / power, im: inner.im / power };
}

export function requireEqualLength(where: string, x: ComplexSignal, y: ComplexSignal): void {
  if (x.re.length !== y.re.length) {
    throw new RangeError(`${where}: signals of ${x.re.length} and ${y.re.length} samples; lengths must agree`);
  }
}

/** `value` modulo `length`, in 0 … below length, also for negative and fractional values. */
export function wrap(value: number, length: number): number {
  const remainder = value % length;
  if (remainder >= 0) return remainder;
  // A tiny negative rest rounds up to the length itself.
  const wrapped = remainder + length;
  return wrapped === length ? 0 : wrapped;
}
