// What stands behind DC power, heat and the load, in words for every face.
import type { LoadReport, PowerModelReport, SaturatedPowers } from '../schema/powerReport.ts';
import type { LadderResult } from '../schema/studyReport.ts';
import { formatEngineering, formatFixed, formatQuantity, formatSignificant } from './numbers.ts';

/** The ideal model, its efficiency at saturation and where it comes from; without a full stop. */
export function powerModelText({
  label,
  class: name,
  quiescentRatio,
  peakEfficiencyPercent,
  source,
}: PowerModelReport) {
  const bias = name === 'AB' ? `, quiescent current ${formatSignificant(quiescentRatio, 2)} of the peak` : '';
  return `${label}${bias}, ${formatQuantity(peakEfficiencyPercent, '%')} at saturated power (${source})`;
}

/** One sentence beside the figures. */
export function powerNote(power: PowerModelReport): string {
  return `DC power, efficiency and heat: ${powerModelText(power)}.`;
}

/** The same beside a ladder; null where it has no DC power. */
export function ladderPowerNote({ power, points }: LadderResult): string | null {
  const isKnown = points.some(({ subjects }) => subjects.some(({ dcPowerW }) => dcPowerW !== null));
  return power === null || !isKnown ? null : powerNote(power);
}

/** A constant carrier at saturated power, by the ideal model. */
export function saturatedText({ outputW, dcPowerW, heatW, voltageV, currentA }: SaturatedPowers): string {
  const watts = (value: number) => formatEngineering(value, 'W', 3);
  const stress = `${formatSignificant(voltageV, 3)} V and ${formatSignificant(currentA, 3)} A`;
  return `A carrier of ${watts(outputW)}, the saturated power: ${watts(dcPowerW)} of DC and ${watts(heatW)} of heat (ideal class); amplitude ${stress} into a matched 50 Ω.`;
}

/** What a load that is not matched sends back; null for a matched one. */
export function loadNote({ vswr, returnLossDb, mismatchLossDb }: LoadReport): string | null {
  if (returnLossDb === null) return null;
  const losses = `return loss ${formatQuantity(returnLossDb, 'dB', 2)}, mismatch loss ${formatQuantity(mismatchLossDb, 'dB', 2)}`;
  return `Load of VSWR ${formatFixed(vswr, 2)} at the antenna port: ${losses}; the reflected power is the most that circulator and its load take. How the amplifier itself changes under this load is not modelled.`;
}

/** Where peak voltage and current are stated. */
export const STRESS_NOTE = 'Peak voltage and current: carrier amplitude at the peak output into a matched 50 Ω.';

/** What the junction's temperature stands on. */
export const JUNCTION_NOTE =
  'Junction: case temperature + heat · thermal resistance, settled while on; short bursts stay cooler.';
