// States slower than any filter, in blocks of 64 samples of the drive x:
//
//   heat  H ← H + (1 − exp(−t/τ_H))·(min(mean|x|², 4) − H)
//   trap  T ← T + (1 − exp(−t/τ))·(P − T),  P = min(peak|x|², 2),  τ = attack while P > T, release otherwise
//   g     = max(0.1, 1 − d_T·T − d_H·H)
//   x     ← x·g·exp(j·φ·(1 − g)),  φ in degrees per unit of gain lost
//
// t is the block's time. The gain runs in a straight line from its value before the block to that after it: a stair
// would add spectrum of its own. The gain stands ahead of the model's first filter.
//
// A periodic record finds the states as it leaves them: H has a closed form, and T, as a function of the state a period
// earlier, rises by less than one per unit, so that its one fixed point is found by halving.
// Sources: a one-pole thermal network is common practice; traps that fill fast and empty slowly: common practice for
// GaN; the limits 4, 2 and 0.1 are ours and keep any drive bounded.
import type { SlowStatesSettings } from '../../../shared/schema/amplifierCurves.ts';
import { type ComplexSignal, type Samples, zeros } from '../dsp/complex.ts';

/** Samples over which the states take one step. */
export const SLOW_STATE_BLOCK = 64;
const HEAT_POWER_LIMIT = 4;
const TRAP_POWER_LIMIT = 2;
const LEAST_GAIN = 0.1;
const HALVINGS = 60;
const RAD_PER_DEG = Math.PI / 180;

/** Heat and trap, both in units of envelope power. */
export interface SlowStates {
  readonly heat: number;
  readonly trap: number;
}

export const COLD: SlowStates = { heat: 0, trap: 0 };

/** What the states follow, block by block. */
interface BlockPowers {
  readonly mean: Samples;
  readonly peak: Samples;
  /** Samples in the last block; all others are full. */
  readonly lastCount: number;
}

function blockPowers({ re, im }: ComplexSignal): BlockPowers {
  const count = Math.ceil(re.length / SLOW_STATE_BLOCK);
  const mean = new Float64Array(count);
  const peak = new Float64Array(count);
  for (let b = 0; b < count; b++) {
    const end = Math.min(re.length, (b + 1) * SLOW_STATE_BLOCK);
    let sum = 0;
    let most = 0;
    for (let n = b * SLOW_STATE_BLOCK; n < end; n++) {
      const power = re[n] * re[n] + im[n] * im[n];
      sum += power;
      if (power > most) most = power;
    }
    mean[b] = Math.min(sum / (end - b * SLOW_STATE_BLOCK), HEAT_POWER_LIMIT);
    peak[b] = Math.min(most, TRAP_POWER_LIMIT);
  }
  return { mean, peak, lastCount: re.length - (count - 1) * SLOW_STATE_BLOCK };
}

/** Shares by which a state nears its target in a full block and in the last one. */
interface Shares {
  readonly full: number;
  readonly last: number;
}

function sharesOf(timeConstantS: number, rateHz: number, lastCount: number): Shares {
  const share = (count: number) => -Math.expm1(-count / (rateHz * timeConstantS));
  return { full: share(SLOW_STATE_BLOCK), last: share(lastCount) };
}

interface Steps {
  readonly heat: Shares;
  readonly attack: Shares;
  readonly release: Shares;
}

function stepsOf(settings: SlowStatesSettings, rateHz: number, lastCount: number): Steps {
  const { heatTimeConstantS, trapAttackS, trapReleaseS } = settings;
  return {
    heat: sharesOf(heatTimeConstantS, rateHz, lastCount),
    attack: sharesOf(trapAttackS, rateHz, lastCount),
    release: sharesOf(trapReleaseS, rateHz, lastCount),
  };
}

function heatAfter(heat: number, { mean }: BlockPowers, { heat: shares }: Steps): number {
  const last = mean.length - 1;
  for (let b = 0; b <= last; b++) heat += (b === last ? shares.last : shares.full) * (mean[b] - heat);
  return heat;
}

function trapAfter(trap: number, { peak }: BlockPowers, { attack, release }: Steps): number {
  const last = peak.length - 1;
  for (let b = 0; b <= last; b++) {
    const shares = peak[b] > trap ? attack : release;
    trap += (b === last ? shares.last : shares.full) * (peak[b] - trap);
  }
  return trap;
}

/** The states just before sample 0 of a drive that has repeated for ever. */
export function settledStates(settings: SlowStatesSettings, drive: ComplexSignal, rateHz: number): SlowStates {
  const powers = blockPowers(drive);
  const steps = stepsOf(settings, rateHz, powers.lastCount);
  // After one period H has lost this share and gained what the period adds from cold.
  const lost = -Math.expm1(-drive.re.length / (rateHz * settings.heatTimeConstantS));
  const heat = heatAfter(0, powers, steps) / lost;
  let low = 0;
  let high = TRAP_POWER_LIMIT;
  for (let step = 0; step < HALVINGS; step++) {
    const middle = (low + high) / 2;
    if (trapAfter(middle, powers, steps) > middle) low = middle;
    else high = middle;
  }
  return { heat, trap: (low + high) / 2 };
}

/** The states after a silence. */
export function afterSilence(settings: SlowStatesSettings, { heat, trap }: SlowStates, silenceS: number): SlowStates {
  if (!(silenceS >= 0)) throw new RangeError(`afterSilence: silence of ${silenceS} s must not be negative`);
  return {
    heat: heat * Math.exp(-silenceS / settings.heatTimeConstantS),
    trap: trap * Math.exp(-silenceS / settings.trapReleaseS),
  };
}

/** Gain that these states leave: 0.1 … 1. */
export function slowGainOf(settings: SlowStatesSettings, { heat, trap }: SlowStates): number {
  return Math.max(LEAST_GAIN, 1 - settings.trapDepthRatio * trap - settings.heatDepthRatio * heat);
}

/** x·g·exp(j·φ·(1 − g)) over one pass of the drive from these states. A new record. */
export function applySlowStates(
  settings: SlowStatesSettings,
  drive: ComplexSignal,
  rateHz: number,
  start: SlowStates,
): ComplexSignal {
  const powers = blockPowers(drive);
  const steps = stepsOf(settings, rateHz, powers.lastCount);
  const out = zeros(drive.re.length);
  const phasePerGain = RAD_PER_DEG * settings.phasePerGainDeg;
  let { heat, trap } = start;
  let before = slowGainOf(settings, start);
  const last = powers.mean.length - 1;
  for (let b = 0; b <= last; b++) {
    const part = b === last ? 'last' : 'full';
    heat += steps.heat[part] * (powers.mean[b] - heat);
    trap += (powers.peak[b] > trap ? steps.attack : steps.release)[part] * (powers.peak[b] - trap);
    const after = slowGainOf(settings, { heat, trap });
    const count = b === last ? powers.lastCount : SLOW_STATE_BLOCK;
    rotateBlock(drive, out, b * SLOW_STATE_BLOCK, count, before, after, phasePerGain);
    before = after;
  }
  return out;
}

/** Gain and phase in straight lines from the block's begin to its end. */
function rotateBlock(
  x: ComplexSignal,
  out: ComplexSignal,
  start: number,
  count: number,
  before: number,
  after: number,
  phasePerGain: number,
): void {
  const step = (after - before) / count;
  // Within a block the phase turns by far less than a degree: its sine and cosine are as straight as the gain.
  const from = { c: Math.cos(phasePerGain * (1 - before)), s: Math.sin(phasePerGain * (1 - before)) };
  const to = { c: Math.cos(phasePerGain * (1 - after)), s: Math.sin(phasePerGain * (1 - after)) };
  const cStep = (to.c - from.c) / count;
  const sStep = (to.s - from.s) / count;
  for (let i = 0; i < count; i++) {
    const gain = before + step * (i + 0.5);
    const c = gain * (from.c + cStep * (i + 0.5));
    const s = gain * (from.s + sStep * (i + 0.5));
    const n = start + i;
    out.re[n] = x.re[n] * c - x.im[n] * s;
    out.im[n] = x.re[n] * s + x.im[n] * c;
  }
}
