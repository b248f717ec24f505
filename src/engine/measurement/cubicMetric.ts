// Cubic metric: how much power an amplifier must give up for a waveform, from the third-order products alone.
//
//   raw = 20·log10(rms(v³)),  v = |x|/rms|x|;   CM = (raw − 1.52 dB)/K
// TS 25.101 and TS 36.101 clause 6.2 (from memory; reports R1-060023): 1.52 dB is the raw metric of the UTRA voice
// reference, K = 1.85 for signals like it, one single carrier; K = 1.56 for multicarrier signals and the LTE uplink. The
// standards round up to half a decibel; this does not. A complex Gaussian envelope has E v⁶ = 6: raw 7.78 dB, CM 4.01 dB.
import type { CarrierGeometry } from '../../../shared/schema/geometry.ts';
import { whileOn } from '../dsp/burst.ts';
import type { ComplexSignal } from '../dsp/complex.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import type { Waveform } from '../dsp/waveformTypes.ts';

const REFERENCE_RAW_DB = 1.52;
const SINGLE_CARRIER_SLOPE = 1.85;
const MULTICARRIER_SLOPE = 1.56;

/**
 * 20·log10(rms(v³)), v the envelope over its rms. 0 dB for a constant envelope.
 * @throws RangeError for an empty or silent signal.
 */
export function rawCubicMetricDb(signal: ComplexSignal): number {
  let power = 0;
  let cubed = 0;
  for (let n = 0; n < signal.re.length; n++) {
    const p = signal.re[n] * signal.re[n] + signal.im[n] * signal.im[n];
    power += p;
    cubed += p * p * p;
  }
  if (!(power > 0)) throw new RangeError(`rawCubicMetricDb: no power in ${signal.re.length} samples`);
  const mean = power / signal.re.length;
  return powerRatioToDb(cubed / signal.re.length / (mean * mean * mean));
}

/**
 * Cubic metric of a waveform as it drives the amplifier, while it is on, in dB; null where the standards define none:
 * tones, records, and single carriers beside other carriers.
 */
export function cubicMetricDb(waveform: Waveform): number | null {
  const slope = slopeOf(waveform.carriers);
  if (slope === null) return null;
  return (rawCubicMetricDb(whileOn(waveform.signal, waveform.burst)) - REFERENCE_RAW_DB) / slope;
}

function slopeOf(carriers: readonly CarrierGeometry[]): number | null {
  if (carriers.length === 1 && carriers[0].kind === 'singleCarrier') return SINGLE_CARRIER_SLOPE;
  return carriers.every(({ kind }) => kind === 'ofdm' || kind === 'noise') ? MULTICARRIER_SLOPE : null;
}
