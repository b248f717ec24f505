// Powers while on. All stated powers, crest factors and exceedances of a burst waveform are those of the transmitter-on
// time (transmitter ON period of TS 38.104, from memory); a record's mean is that times the pattern's active share, and silence tells nothing.
//
//   mean power, drive power, back-off, density   mean over the record / activeRatio
//   crest factor, exceedance, DC power, held samples   over the samples that are fully on
import { whileOn } from '../dsp/burst.ts';
import { type ComplexSignal, meanPower } from '../dsp/complex.ts';
import type { Setup } from './checkScenario.ts';

type Burst = Pick<Setup, 'waveform'>;

/** Share of the power while on that the mean over the record is; 1 without a burst pattern. */
export function activeRatioOf({ waveform: { burst } }: Burst): number {
  return burst?.activeRatio ?? 1;
}

/** Mean |x|² while on. */
export function meanPowerOn(setup: Burst, x: ComplexSignal): number {
  return meanPower(x) / activeRatioOf(setup);
}

/** The samples that are fully on. */
export function onPart({ waveform: { burst } }: Burst, x: ComplexSignal): ComplexSignal {
  return whileOn(x, burst);
}

/**
 * Share of the samples that are on at which the amplifier's drive is held. The model takes whole records only (it may
 * resample them), and silence is never held, so that the count over the record stands for that while on.
 */
export function heldRatioOn(setup: Setup, drive: ComplexSignal): number {
  const held = setup.amplifier.heldSampleRatio(drive);
  return Math.min(1, (held * drive.re.length) / onPart(setup, drive).re.length);
}
