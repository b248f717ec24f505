// What the transmitter adds between the digital drive and the amplifier, in the order of the hardware.
//
//   drive ─ band limit ─ converter (bits, hold, jitter) ─ modulator (image, leak) ─ oscillator (phase noise) ─ noise
//
// Everything scales with the drive, T(a·x) = a·T(x): full scale, noise and leak are stated over the drive's own power.
//
// Jitter δ[n] moves the sampling instants of the signal at its centre f₀; to first order
//   e(t) = d/dt(x·e^(j2πf₀t))·δ = (x′ + j2πf₀·x)·δ,   SNR = −20·log10(2π·f_rms·σ), f_rms² = f₀² + B²/12 for a flat band.
// Phase noise multiplies by e^(jφ), φ Gaussian and flat over the bins up to its bandwidth, of exactly the stated rms:
//   EVM = √(e^(σ²) − 1) after the least-squares gain.
import { CLEAR_TRANSMITTER, type TransmitterSettings } from '../../../shared/schema/signalPaths.ts';
import type { AmplifierModel } from '../amplifier/model.ts';
import { addScaled, type ComplexSignal, meanPower, zeros } from '../dsp/complex.ts';
import { dbToPowerRatio } from '../dsp/decibels.ts';
import { inverseFftInPlace } from '../dsp/fft.ts';
import { addImageAndLeak, phasesOf, whiteNoise } from '../dsp/pathNoise.ts';
import { quantize } from '../dsp/quantizer.ts';
import { createRandom } from '../dsp/random.ts';
import { lowpassGain, type Response, shapeSpectrum } from '../dsp/shapeSpectrum.ts';
import type { Device } from '../dsp/waveformTypes.ts';

/** Effects of a transmitter, in the order they act. */
export const TRANSMITTER_EFFECTS = [
  'bandwidth',
  'converterBits',
  'droop',
  'clockJitter',
  'image',
  'carrierLeak',
  'phaseNoise',
  'noise',
] as const;
export type TransmitterEffect = (typeof TRANSMITTER_EFFECTS)[number];

/**
 * The transmitter as a function of a whole periodic drive at `sampleRateHz`. `activeRatio`: share of the time that a
 * burst is on; powers are those while on. Random effects are seeded by `noiseSeed` and the drive (pathNoise.ts).
 */
export function createTransmitter(settings: TransmitterSettings, sampleRateHz: number, activeRatio = 1): Device {
  const random = randomOf(settings, sampleRateHz);
  return (drive) => {
    const rms = Math.sqrt(meanPower(drive) / activeRatio);
    if (rms === 0) return drive;
    const of = random(drive);
    const limited = bandLimited(settings, drive, sampleRateHz);
    const converted = jittered(
      held(settings, convert(settings, limited, rms), sampleRateHz),
      settings,
      sampleRateHz,
      of,
    );
    const modulated = modulate(settings, converted, rms);
    const turned = of.phaseRad === null ? modulated : turnBy(modulated, of.phaseRad);
    if (of.noise === null || settings.noiseDbcPerHz === null) return turned;
    const noiseRms = rms * Math.sqrt(dbToPowerRatio(settings.noiseDbcPerHz) * sampleRateHz);
    return addScaled(turned, { re: noiseRms, im: 0 }, of.noise);
  };
}

function bandLimited({ bandwidthHz }: TransmitterSettings, x: ComplexSignal, sampleRateHz: number): ComplexSignal {
  if (bandwidthHz === 'full') return x;
  return shapeSpectrum(x, sampleRateHz, (frequencyHz, out) => {
    out.re = lowpassGain(frequencyHz, bandwidthHz, 0);
    out.im = 0;
  });
}

/** Full scale of either rail, the headroom over the rail's rms. */
export function transmitFullScale({ converterHeadroomDb }: TransmitterSettings, rms: number): number {
  return rms * Math.SQRT1_2 * 10 ** (converterHeadroomDb / 20);
}

function convert(settings: TransmitterSettings, x: ComplexSignal, rms: number): ComplexSignal {
  const { converterBitCount } = settings;
  return converterBitCount === null ? x : quantize(x, converterBitCount, transmitFullScale(settings, rms));
}

/** sin(πf/fs)/(πf/fs): each sample held to the next, its delay of half a sample taken out. */
function held({ droop }: TransmitterSettings, x: ComplexSignal, sampleRateHz: number): ComplexSignal {
  if (droop === 'none') return x;
  return shapeSpectrum(x, sampleRateHz, (frequencyHz, out) => {
    const angle = (Math.PI * frequencyHz) / sampleRateHz;
    out.re = angle === 0 ? 1 : Math.sin(angle) / angle;
    out.im = 0;
  });
}

interface RandomParts {
  readonly jitterS: Float64Array | null;
  readonly phaseRad: Float64Array | null;
  readonly noise: ComplexSignal | null;
}

/** The random parts of a drive; those of the last one are kept, since levelling sends it many times. */
function randomOf(settings: TransmitterSettings, sampleRateHz: number): (drive: ComplexSignal) => RandomParts {
  const { noiseSeed, clockJitterS, phaseNoiseDeg, phaseNoiseBandwidthHz, noiseDbcPerHz } = settings;
  let last: { readonly key: string; readonly parts: RandomParts } | null = null;
  return (drive) => {
    const length = drive.re.length;
    const key = `${length} ${phasesOf(drive)}`;
    if (last?.key === key) return last.parts;
    const phaseRms = ((phaseNoiseDeg ?? 0) * Math.PI) / 180;
    const parts = {
      jitterS: clockJitterS ? normals(length, clockJitterS, noiseSeed, `jitter ${key}`) : null,
      phaseRad:
        phaseRms > 0
          ? flatPhase(length, (phaseNoiseBandwidthHz * length) / sampleRateHz, phaseRms, noiseSeed, `phase ${key}`)
          : null,
      noise: noiseDbcPerHz === null ? null : whiteNoise(length, noiseSeed, `transmit ${key}`),
    };
    last = { key, parts };
    return parts;
  };
}

function normals(length: number, rms: number, seed: number, purpose: string): Float64Array {
  const random = createRandom(seed, purpose);
  return Float64Array.from({ length }, () => rms * random.normal());
}

/** A real periodic process, flat over the cycles 1 … mostCycles of the record, at least one, of exactly this rms. */
function flatPhase(length: number, mostCycles: number, rms: number, seed: number, purpose: string): Float64Array {
  const random = createRandom(seed, purpose);
  const bins = zeros(length);
  const last = Math.max(1, Math.min(Math.floor(mostCycles), Math.ceil(length / 2) - 1));
  for (let k = 1; k <= last; k++) {
    const re = random.normal();
    const im = random.normal();
    bins.re[k] = re;
    bins.im[k] = im;
    bins.re[length - k] = re;
    bins.im[length - k] = -im;
  }
  const { re } = inverseFftInPlace(bins);
  let power = 0;
  for (let n = 0; n < length; n++) power += re[n] * re[n];
  const factor = rms / Math.sqrt(power / length);
  return re.map((value) => factor * value);
}

function jittered(
  x: ComplexSignal,
  { converterCentreHz }: TransmitterSettings,
  sampleRateHz: number,
  { jitterS }: RandomParts,
): ComplexSignal {
  if (jitterS === null) return x;
  const derivative: Response = (frequencyHz, out) => {
    out.re = 0;
    out.im = 2 * Math.PI * (frequencyHz + converterCentreHz);
  };
  const slope = shapeSpectrum(x, sampleRateHz, derivative);
  const out = zeros(x.re.length);
  for (let n = 0; n < x.re.length; n++) {
    out.re[n] = x.re[n] + jitterS[n] * slope.re[n];
    out.im[n] = x.im[n] + jitterS[n] * slope.im[n];
  }
  return out;
}

function modulate({ imageDb, carrierLeakDbc }: TransmitterSettings, x: ComplexSignal, rms: number): ComplexSignal {
  if (imageDb === null && carrierLeakDbc === null) return x;
  const amplitude = (db: number | null) => (db === null ? 0 : Math.sqrt(dbToPowerRatio(db)));
  return addImageAndLeak(x, amplitude(imageDb), rms * amplitude(carrierLeakDbc));
}

function turnBy(x: ComplexSignal, phaseRad: Float64Array): ComplexSignal {
  const out = zeros(x.re.length);
  for (let n = 0; n < x.re.length; n++) {
    const c = Math.cos(phaseRad[n]);
    const s = Math.sin(phaseRad[n]);
    out.re[n] = x.re[n] * c - x.im[n] * s;
    out.im[n] = x.re[n] * s + x.im[n] * c;
  }
  return out;
}

/** The settings with one effect only; null when that effect is left out anyway. */
export function transmitterWithOnly(
  settings: TransmitterSettings,
  effect: TransmitterEffect,
): TransmitterSettings | null {
  const only = { ...CLEAR_TRANSMITTER, noiseSeed: settings.noiseSeed };
  switch (effect) {
    case 'bandwidth':
      return settings.bandwidthHz === 'full' ? null : { ...only, bandwidthHz: settings.bandwidthHz };
    case 'converterBits': {
      const { converterBitCount, converterHeadroomDb } = settings;
      return converterBitCount === null ? null : { ...only, converterBitCount, converterHeadroomDb };
    }
    case 'droop':
      return settings.droop === 'none' ? null : { ...only, droop: settings.droop };
    case 'clockJitter': {
      const { clockJitterS, converterCentreHz } = settings;
      return clockJitterS ? { ...only, clockJitterS, converterCentreHz } : null;
    }
    case 'image':
      return settings.imageDb === null ? null : { ...only, imageDb: settings.imageDb };
    case 'carrierLeak':
      return settings.carrierLeakDbc === null ? null : { ...only, carrierLeakDbc: settings.carrierLeakDbc };
    case 'phaseNoise': {
      const { phaseNoiseDeg, phaseNoiseBandwidthHz } = settings;
      return phaseNoiseDeg ? { ...only, phaseNoiseDeg, phaseNoiseBandwidthHz } : null;
    }
    case 'noise':
      return settings.noiseDbcPerHz === null ? null : { ...only, noiseDbcPerHz: settings.noiseDbcPerHz };
  }
}

/** The amplifier as the digital drive sees it; unchanged without a transmitter. */
export function behindTransmitter(
  amplifier: AmplifierModel,
  settings: TransmitterSettings | null,
  sampleRateHz: number,
  activeRatio: number,
): AmplifierModel {
  if (settings === null) return amplifier;
  const transmit = createTransmitter(settings, sampleRateHz, activeRatio);
  return {
    ...amplifier,
    amplify: (drive) => amplifier.amplify(transmit(drive)),
    amplifyAfterSilence: (drive, silenceS, settledWith) =>
      amplifier.amplifyAfterSilence(transmit(drive), silenceS, settledWith && transmit(settledWith)),
    heldSampleRatio: (drive) => amplifier.heldSampleRatio(transmit(drive)),
  };
}
