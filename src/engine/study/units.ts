// Amplifiers of one production line: the scenario's filter–nonlinearity–filter model with its figures drawn from normal
// distributions. The wanted power in dBm stays, so a unit of less saturated power runs nearer to it. Each unit learns its
// own correction, on the same records, so that only the amplifier differs.
import type { FilterNonlinearityFilterSettings, Scenario } from '../../../shared/schema/scenario.ts';
import type { SpreadQuestion } from '../../../shared/schema/study.ts';
import { createRandom, type Random } from '../dsp/random.ts';
import { rounded } from './variation.ts';

/** Limits of the scenario's schema, which a draw may not leave. */
const KNEE_SHARPNESS = [0.2, 50] as const;
const AM_PM_DEG = [-90, 90] as const;
const SATURATED_POWER_DBM = [-50, 90] as const;

/** Unit `index` of the line: the same whatever the number of units. Needs a filter–nonlinearity–filter model. */
export function unitOf(base: Scenario, question: SpreadQuestion, index: number): Scenario {
  const { model, saturatedPowerDbm } = base.amplifier;
  if (model.kind !== 'filterNonlinearityFilter') throw new RangeError(`unitOf: no spread of a ${model.kind} model`);
  const { unitSpread, unitSeed } = question;
  const random = createRandom(unitSeed, `unit ${index}`);
  const powerDb = rounded(unitSpread.saturatedPowerDb * random.normal());
  const drawn = {
    ...model,
    kneeSharpness: within(model.kneeSharpness + unitSpread.kneeSharpness * random.normal(), KNEE_SHARPNESS),
    amPmDeg: within(model.amPmDeg + unitSpread.amPmDeg * random.normal(), AM_PM_DEG),
    inputTaps: drawTaps(model.inputTaps, unitSpread.tapRatio, random),
    outputTaps: drawTaps(model.outputTaps, unitSpread.tapRatio, random),
  };
  const { outputBackoffDb } = base.operatingPoint;
  return {
    ...base,
    amplifier: {
      ...base.amplifier,
      model: drawn,
      saturatedPowerDbm: saturatedPowerDbm === null ? null : within(saturatedPowerDbm + powerDb, SATURATED_POWER_DBM),
    },
    // A point stated in dBm or W stays as it is; one stated as back-off moves with the saturated power.
    operatingPoint:
      outputBackoffDb === undefined ? base.operatingPoint : { outputBackoffDb: rounded(outputBackoffDb + powerDb) },
  };
}

function within(value: number, [minimum, maximum]: readonly [number, number]): number {
  return rounded(Math.min(maximum, Math.max(minimum, value)));
}

type Taps = FilterNonlinearityFilterSettings['inputTaps'];

/** Every tap after the first, times 1 + δ with δ complex normal of rms `ratio`. */
function drawTaps(taps: Taps, ratio: number, random: Random): Taps {
  return taps.map((tap, i) => {
    if (i === 0) return tap;
    const re = 1 + ratio * Math.SQRT1_2 * random.normal();
    const im = ratio * Math.SQRT1_2 * random.normal();
    return { re: rounded(tap.re * re - tap.im * im), im: rounded(tap.re * im + tap.im * re) };
  });
}
