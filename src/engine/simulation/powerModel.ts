// The power model of a scenario's amplifier, and what one output reads of powers, heat and load.
import type {
  LoadReport,
  PowerModelReport,
  PowerReadings,
  SaturatedPowers,
} from '../../../shared/schema/powerReport.ts';
import type { AmplifierSettings } from '../../../shared/schema/scenario.ts';
import { drivePowerDbm, outputPowerDbm } from '../amplifier/operatingPoint.ts';
import { resolvePower } from '../amplifier/powerDefaults.ts';
import { peakPower } from '../dsp/complex.ts';
import { dbmToW } from '../dsp/decibels.ts';
import { cwEfficiencyPercent, dcCurveOf, measureEfficiency, powerModelLabel } from '../measurement/efficiency.ts';
import { carrierStress, loadOf, NO_POWERS, readPowers } from '../measurement/powerReadings.ts';
import type { DrivenOutput } from './chain.ts';
import type { Setup } from './checkScenario.ts';
import { meanPowerOn, onPart } from './whileOn.ts';

/** The model behind DC power and heat, with where it comes from. */
export function powerModelReport(amplifier: Pick<AmplifierSettings, 'model' | 'power'>): PowerModelReport {
  const power = resolvePower(amplifier);
  return {
    ...power,
    label: powerModelLabel(power),
    peakEfficiencyPercent: cwEfficiencyPercent(dcCurveOf(power), 1),
  };
}

/** The load of the antenna port. */
export function loadReport({ loadVswr }: Pick<AmplifierSettings, 'loadVswr'>): LoadReport {
  return loadOf(loadVswr);
}

export type { SaturatedPowers };

/** A constant carrier at saturated power by the ideal model; null without a power scale. */
export function saturatedPowers(amplifier: AmplifierSettings): SaturatedPowers | null {
  if (amplifier.saturatedPowerDbm === null) return null;
  const outputW = dbmToW(amplifier.saturatedPowerDbm);
  const dcPowerW = (100 * outputW) / powerModelReport(amplifier).peakEfficiencyPercent;
  const { voltageV, currentA } = carrierStress(outputW);
  return { outputW, dcPowerW, heatW: dcPowerW - outputW, voltageV, currentA };
}

/** Powers, heat and load of one output; null without a power scale. */
export function powerReadings(setup: Setup, { output, drive }: DrivenOutput): PowerReadings {
  const { amplifier } = setup.scenario;
  const { saturatedPowerDbm } = amplifier;
  if (saturatedPowerDbm === null) return NO_POWERS;
  const g = setup.amplifier.smallSignalGain;
  const watts = (dbm: number | null) => dbmToW(dbm ?? Number.NEGATIVE_INFINITY);
  return readPowers({
    meanW: watts(outputPowerDbm(meanPowerOn(setup, output), amplifier)),
    peakW: watts(outputPowerDbm(peakPower(output), amplifier)),
    driveMeanW: watts(drivePowerDbm(meanPowerOn(setup, drive), amplifier, g)),
    drivePeakW: watts(drivePowerDbm(peakPower(drive), amplifier, g)),
    efficiency: measureEfficiency(onPart(setup, output), resolvePower(amplifier), dbmToW(saturatedPowerDbm)),
    gainDb: amplifier.gainDb,
    outputLossDb: amplifier.outputLossDb,
    loadVswr: amplifier.loadVswr,
    caseTemperatureC: amplifier.power.caseTemperatureC,
    thermalResistanceKPerW: amplifier.power.thermalResistanceKPerW,
  });
}
