// Notch (noise) power ratio: density beside a notch over density inside it. The instrument's classic is noise through a
// stop filter (from memory: ITU-R multichannel noise loading); a device fills the notch with its distortion, so for a
// distortion that is flat over the band NPR = −20·log10(EVM) (a closed form, both being carrier over distortion).
//
// Noise: exact bins of the whole periodic record. OFDM: symbol by symbol, transformed at the middle of the cyclic
// prefix, empty against carrying subcarriers: a free-running transform cuts symbols, and their skirts fill the notch to
// some 22 dB. A bin or subcarrier on the very edge counts on neither side.
import type { CarrierGeometry, OfdmGeometry } from '../../../shared/schema/geometry.ts';
import type { NotchReading } from '../../../shared/schema/report.ts';
import type { ComplexSignal } from '../dsp/complex.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { fft } from '../dsp/fft.ts';
import type { Waveform } from '../dsp/waveformTypes.ts';
import { countedSymbols, createDemodulator } from './evmWindow.ts';

/**
 * The notch of one carrier in `output`, and in the waveform itself. Null for a carrier without a notch, or one so narrow
 * that nothing lies inside.
 * @param output aligned with the waveform, any scale.
 * @param noisePerHz density of white noise beside `output`, in its |y|² per Hz; it stands inside the notch and beside it.
 */
export function measureNotch(
  output: ComplexSignal,
  waveform: Waveform,
  carrierIndex: number,
  noisePerHz = 0,
): NotchReading | null {
  const carrier = waveform.carriers[carrierIndex];
  const ratioDb = ratioOf(output, waveform, carrierIndex, noisePerHz);
  const sourceRatioDb = ratioOf(waveform.signal, waveform, carrierIndex, 0);
  if (ratioDb === null || sourceRatioDb === null) return null;
  return { carrierIndex, ratioDb, sourceRatioDb, method: carrier.ofdm === null ? 'wholeRecord' : 'symbolSynchronous' };
}

/** The carrier whose notch is filled most; null when none has a notch. */
export function worstNotch(output: ComplexSignal, waveform: Waveform, noisePerHz = 0): NotchReading | null {
  const readings = waveform.carriers.flatMap((_, i) => measureNotch(output, waveform, i, noisePerHz) ?? []);
  return readings.reduce<NotchReading | null>(
    (worst, one) => (worst !== null && worst.ratioDb <= one.ratioDb ? worst : one),
    null,
  );
}

function ratioOf(x: ComplexSignal, waveform: Waveform, carrierIndex: number, noisePerHz: number): number | null {
  const carrier = waveform.carriers[carrierIndex];
  if (!carrier?.notch) return null;
  const { ofdm } = carrier;
  const density =
    ofdm === null ? binDensities(x, waveform, carrier) : subcarrierDensities(x, waveform, carrierIndex, ofdm);
  if (density === null || !(density.beside > 0)) return null;
  // White noise of variance σ² = N₀·fs a sample has σ² in every bin of a transform divided by √N.
  const noise = noisePerHz * waveform.sampleRateHz;
  return -powerRatioToDb((density.inside + noise) / (density.beside + noise));
}

/** Mean power of bins of a transform divided by the root of its length. */
interface Densities {
  readonly inside: number;
  readonly beside: number;
}

/** A position this near an edge, in bins, is on it. */
const EDGE_BINS = 0.49;

/** Positions −reach … reach in steps of `stepHz` against the carrier's centre: those inside the notch and those beside. */
function split(notch: NonNullable<CarrierGeometry['notch']>, stepHz: number, reach: number) {
  const lower = notch.lowerHz / stepHz;
  const upper = notch.upperHz / stepHz;
  const inside: number[] = [];
  const beside: number[] = [];
  for (let k = -reach; k <= reach; k++) {
    if (k >= lower + EDGE_BINS && k <= upper - EDGE_BINS) inside.push(k);
    else if (k <= lower - EDGE_BINS || k >= upper + EDGE_BINS) beside.push(k);
  }
  return { inside, beside };
}

function binDensities(x: ComplexSignal, waveform: Waveform, carrier: CarrierGeometry): Densities | null {
  if (carrier.notch === null) return null;
  const length = x.re.length;
  const binHz = waveform.sampleRateHz / length;
  const cycles = Math.round(carrier.offsetHz / binHz);
  const reach = Math.floor(carrier.occupiedBandwidthHz / binHz / 2 - EDGE_BINS);
  const { inside, beside } = split(carrier.notch, binHz, reach);
  if (inside.length === 0 || beside.length === 0) return null;
  const spectrum = fft(x);
  const mean = (bins: readonly number[]) => {
    let sum = 0;
    for (const k of bins) {
      const bin = (((cycles + k) % length) + length) % length;
      sum += spectrum.re[bin] * spectrum.re[bin] + spectrum.im[bin] * spectrum.im[bin];
    }
    return sum / bins.length / length;
  };
  return { inside: mean(inside), beside: mean(beside) };
}

function subcarrierDensities(
  x: ComplexSignal,
  waveform: Waveform,
  carrierIndex: number,
  ofdm: OfdmGeometry,
): Densities | null {
  const { notch } = waveform.carriers[carrierIndex];
  const carrying = new Set(ofdm.subcarriers);
  const reach = ofdm.fftLength / 2 - 1;
  const empty =
    notch === null ? [] : split(notch, ofdm.subcarrierSpacingHz, reach).inside.filter((k) => !carrying.has(k));
  if (empty.length === 0 || countedSymbols(waveform.burst, ofdm)?.length === 0) return null;
  const bins = Int32Array.from([...empty, ...ofdm.subcarriers]);
  const symbols = createDemodulator(x, waveform, carrierIndex, ofdm)(0, bins);
  let inside = 0;
  let all = 0;
  for (let i = 0; i < symbols.re.length; i++) {
    const power = symbols.re[i] * symbols.re[i] + symbols.im[i] * symbols.im[i];
    all += power;
    if (i % bins.length < empty.length) inside += power;
  }
  const symbolCount = symbols.re.length / bins.length;
  return {
    inside: inside / empty.length / symbolCount,
    beside: (all - inside) / ofdm.subcarriers.length / symbolCount,
  };
}
