// A memoryless curve as an amplifier: brought to the scale of the operating point, largest output 1, small-signal gain 1.
import { type Complex, type ComplexSignal, zeros } from '../dsp/complex.ts';
import type { ModelCore } from './modelCore.ts';
import type { StaticCurve } from './staticCurves.ts';

/** A static curve with what the operating point needs, in the curve's own scale. */
export interface ScaledCurve {
  readonly label: string;
  readonly source: string | null;
  readonly curve: StaticCurve;
  /** Gain at vanishing drive; where that is none (a curve that expands from zero), the largest. */
  readonly smallSignalGain: number;
  /** Largest output, or the limit of the output for ever more drive. */
  readonly saturatedAmplitude: number;
  /** Where the input is held; null when the curve saturates by itself. */
  readonly driveRange: number | null;
}

/** The amplifier of a curve: y = A(c·r)/A_sat·exp(jΦ(c·r)) with c = A_sat/g. */
export function staticCurveCore(own: ScaledCurve): ModelCore {
  const { label, source, curve, smallSignalGain, saturatedAmplitude, driveRange } = own;
  const driveFactor = saturatedAmplitude / smallSignalGain;
  const scaled: StaticCurve = {
    amplitude: (r) => curve.amplitude(driveFactor * r) / saturatedAmplitude,
    phaseRad: (r) => curve.phaseRad(driveFactor * r),
  };
  const phase = scaled.phaseRad(0);
  return {
    label,
    source,
    modelRateHz: null,
    driveRange: driveRange === null ? null : driveRange / driveFactor,
    guarded: true,
    outputBound: 1,
    smallSignalGain: { re: Math.cos(phase), im: Math.sin(phase) },
    ownUnits: { drive: driveFactor, output: saturatedAmplitude },
    memorySpanSamples: 1,
    apply: (drive) => applyCurve(scaled, drive),
    staticOutput: (amplitude) => curveOutput(scaled, amplitude),
  };
}

function curveOutput(curve: StaticCurve, amplitude: number): Complex {
  const magnitude = curve.amplitude(amplitude);
  const phase = curve.phaseRad(amplitude);
  return { re: magnitude * Math.cos(phase), im: magnitude * Math.sin(phase) };
}

function applyCurve(curve: StaticCurve, drive: ComplexSignal): ComplexSignal {
  const out = zeros(drive.re.length);
  for (let n = 0; n < drive.re.length; n++) {
    const r = Math.sqrt(drive.re[n] * drive.re[n] + drive.im[n] * drive.im[n]);
    if (r === 0) continue;
    const gain = curve.amplitude(r) / r;
    const phase = curve.phaseRad(r);
    const c = gain * Math.cos(phase);
    const s = gain * Math.sin(phase);
    out.re[n] = drive.re[n] * c - drive.im[n] * s;
    out.im[n] = drive.re[n] * s + drive.im[n] * c;
  }
  return out;
}
