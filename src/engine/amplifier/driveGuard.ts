// The guard of a model's declared drive range: beyond it the drive is held at the edge, phase kept, amplitude stopped.
import { type ComplexSignal, copy } from '../dsp/complex.ts';

/** The drive with every amplitude above `driveRange` brought back to it; the record itself when none is. */
export function holdDrive(drive: ComplexSignal, driveRange: number): ComplexSignal {
  if (heldSampleCount(drive, driveRange) === 0) return drive;
  const out = copy(drive);
  const limit = driveRange * driveRange;
  for (let n = 0; n < out.re.length; n++) {
    const power = out.re[n] * out.re[n] + out.im[n] * out.im[n];
    if (power > limit) {
      const factor = driveRange / Math.sqrt(power);
      out.re[n] *= factor;
      out.im[n] *= factor;
    }
  }
  return out;
}

/** Samples whose amplitude is above `driveRange`. */
export function heldSampleCount(drive: ComplexSignal, driveRange: number): number {
  const limit = driveRange * driveRange;
  let held = 0;
  for (let n = 0; n < drive.re.length; n++) {
    if (drive.re[n] * drive.re[n] + drive.im[n] * drive.im[n] > limit) held++;
  }
  return held;
}
