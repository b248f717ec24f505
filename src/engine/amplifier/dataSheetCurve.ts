// Static curve of an amplifier by its data sheet. v: drive in dB, 0 dB times small-signal gain is saturated power; u = 10^(v/10).
//
//   output  = v − w·R(v − v₁; 1) − (1 − w)·R(v − v₂; p) + E(v) − D(v)   dB,   R(x; p) = (10/p)·log10(1 + 10^(p·x/10))
//   E       = e·u²/(uₑ² + u²)                                            gain expansion, dB
//   D       = d·exp(−((v + 6)/3)²)                                       dip where a second device joins in, dB
//   phase   = φ·[(1 − m)·u/(h + u) + m·u²/(h² + u²)]
//
// R is Rapp's compression in dB (Rapp 1991): its slope is a logistic from 0 to 1, so two of them whose weights are 1 in sum
// rise from none to full compression. Without E and D the output rises monotonically to w·v₁ + (1 − w)·v₂. At low drive
// |g| ≈ 1 − (w/2)·u/u₁ when p > 1, the cubic term that makes the intercept. The rest of the family is our own.

/** Parameters of the curve. */
export interface SheetCurve {
  /** w, 0 … 1: share of the early, soft term. */
  readonly earlyShare: number;
  /** v₁, dB. */
  readonly earlyKneeDb: number;
  /** v₂, dB. */
  readonly lateKneeDb: number;
  /** p of the late term. */
  readonly lateSharpness: number;
  /** e, dB: what E adds in the end. */
  readonly expansionDb: number;
  /** d, dB. */
  readonly dipDb: number;
  /** φ, rad. */
  readonly phaseRad: number;
  /** m, 0 … 1: share of the phase that begins with u². */
  readonly latePhaseShare: number;
  /** h: envelope power at which half of each share is there. */
  readonly phaseHalfPower: number;
}

/** uₑ: gain expansion is half there 7 dB below the knee. */
const EXPANSION_AT_DB = -7;
/** Half the amplitude. */
const DIP_AT_DB = -6;
const DIP_WIDTH_DB = 3;
const DB_PER_NEPER_POWER = 10 / Math.LN10;

/** R(x; p): compression of Rapp's curve x dB above its knee, ≥ 0. */
export function rappCompressionDb(x: number, sharpness: number): number {
  const exponent = (sharpness * x) / DB_PER_NEPER_POWER;
  // log(1 + e^t) without overflow.
  const softplus = exponent > 0 ? exponent + Math.log1p(Math.exp(-exponent)) : Math.log1p(Math.exp(exponent));
  return (DB_PER_NEPER_POWER / sharpness) * softplus;
}

/** x with R(x; p) = compressionDb > 0. */
export function rappDriveDb(compressionDb: number, sharpness: number): number {
  return (DB_PER_NEPER_POWER / sharpness) * Math.log(Math.expm1((sharpness * compressionDb) / DB_PER_NEPER_POWER));
}

/** E(v)/e. */
export function expansionShape(v: number): number {
  return 1 / (1 + 10 ** ((EXPANSION_AT_DB - v) / 5));
}

/** D(v)/d. */
export function dipShape(v: number): number {
  const x = (v - DIP_AT_DB) / DIP_WIDTH_DB;
  return Math.exp(-x * x);
}

/** Gain over small-signal gain, dB; below 0 when compressed. */
export function curveGainDb(curve: SheetCurve, v: number): number {
  const { expansionDb, dipDb } = curve;
  const shaped = (expansionDb === 0 ? 0 : expansionDb * expansionShape(v)) - (dipDb === 0 ? 0 : dipDb * dipShape(v));
  return (
    shaped -
    curve.earlyShare * rappCompressionDb(v - curve.earlyKneeDb, 1) -
    (1 - curve.earlyShare) * rappCompressionDb(v - curve.lateKneeDb, curve.lateSharpness)
  );
}

/** The two shapes of phase at envelope power u, each from 0 to 1 and half at `halfPower`. */
export function phaseShapes(u: number, halfPower: number): readonly [number, number] {
  const ratio = u / halfPower;
  return [ratio / (1 + ratio), (ratio * ratio) / (1 + ratio * ratio)];
}

/** Phase against small signal at envelope power u, rad. */
export function curvePhaseRad(curve: SheetCurve, u: number): number {
  const [early, late] = phaseShapes(u, curve.phaseHalfPower);
  return curve.phaseRad * ((1 - curve.latePhaseShare) * early + curve.latePhaseShare * late);
}

/** Output at very high drive, dB re saturated power: no drive gives more, but for what E still has to rise. */
export function curveAsymptoteDb({ earlyShare, earlyKneeDb, lateKneeDb, expansionDb }: SheetCurve): number {
  return earlyShare * earlyKneeDb + (1 - earlyShare) * lateKneeDb + expansionDb;
}

/** |c₃| of g ≈ 1 + c₃·u at low drive; its inverse is the intercept's power per tone over saturated power. */
export function curveCubicTerm(curve: SheetCurve): number {
  const { earlyShare, earlyKneeDb, phaseRad, latePhaseShare, phaseHalfPower } = curve;
  const inPhase = (0.5 * earlyShare) / 10 ** (earlyKneeDb / 10);
  const across = ((1 - latePhaseShare) * phaseRad) / phaseHalfPower;
  return Math.sqrt(inPhase * inPhase + across * across);
}

const LOWEST_DB = -45;
const HIGHEST_DB = 80;
const STEP_DB = 0.75;
const MOST_NARROWINGS = 60;
const PLACE_TOLERANCE_DB = 1e-9;

/** Lowest drive in dB at which the gain has fallen `compressionDb` below small-signal gain; null when it does not. */
export function driveAtCompressionDb(curve: SheetCurve, compressionDb: number): number | null {
  return firstRise((v) => -curveGainDb(curve, v) - compressionDb);
}

/** Lowest drive in dB at which the CW output reaches `outputDb`; null when it does not. */
export function driveAtOutputDb(curve: SheetCurve, outputDb: number): number | null {
  return firstRise((v) => v + curveGainDb(curve, v) - outputDb);
}

/** First place at which f rises to zero, by a scan and false position with halved ends (Illinois method). */
function firstRise(f: (v: number) => number): number | null {
  let before = f(LOWEST_DB);
  for (let high = LOWEST_DB + STEP_DB; high <= HIGHEST_DB; high += STEP_DB) {
    const here = f(high);
    if (here >= 0) return narrowRise(f, high - STEP_DB, before, high, here);
    before = here;
  }
  return null;
}

function narrowRise(f: (v: number) => number, from: number, fFrom: number, to: number, fTo: number): number {
  let [low, fLow, high, fHigh] = [from, fFrom, to, fTo];
  for (let step = 0; step < MOST_NARROWINGS && high - low > PLACE_TOLERANCE_DB && fHigh > 0; step++) {
    const middle = high - (fHigh * (high - low)) / (fHigh - fLow);
    const value = f(middle);
    if (value < 0) {
      [low, fLow] = [middle, value];
      fHigh /= 2;
    } else if (value === 0) return middle;
    else {
      [high, fHigh] = [middle, value];
      fLow /= 2;
    }
    if (Math.abs(value) < PLACE_TOLERANCE_DB) return middle;
  }
  return high;
}
