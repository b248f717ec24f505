// Powers beyond mean and peak: heat, what the drive adds, what reaches the antenna, what the load sends back, and the
// voltage and current at the peak.
//
//   heat      = DC power − output                          junction = case + heat·Rth
//   PAE       = (output − drive)/DC power = η·(1 − 1/G)    antenna efficiency = η·10^(−loss/10)
//   |Γ|       = (s − 1)/(s + 1), s the VSWR                reflected = |Γ|²·(power at the antenna port)
//   return loss = −20·log10|Γ|                             mismatch loss = −10·log10(1 − |Γ|²)
//   V, I      = √(2·P·R), √(2·P/R), R = 50 Ω
//
// The load is a reflection of what was sent: the amplifier's own change under load (load pull) is not modelled. What comes
// back loses part of the output loss on its way to the circulator's load, so the reflected power is the most it takes.
// Sources: definitions; Pozar, Microwave Engineering (mismatch). Values: tests/engine/measurement/powerReadings.test.ts.
import type { LoadReport, PowerReadings } from '../../../shared/schema/powerReport.ts';
import { dbToPowerRatio, powerRatioToDb, wToDbm } from '../dsp/decibels.ts';
import type { EfficiencyReading } from './efficiency.ts';

/** Impedance in which peak voltage and current are stated. */
export const REFERENCE_OHM = 50;

/** |Γ|² of a load of this VSWR, 1 or more. RangeError below. */
export function reflectionRatio(vswr: number): number {
  if (!(vswr >= 1)) throw new RangeError(`reflectionRatio: a VSWR of ${vswr} is below 1`);
  const reflection = (vswr - 1) / (vswr + 1);
  return reflection * reflection;
}

/** Return loss and mismatch loss in dB of a load of this VSWR. */
export function loadOf(vswr: number): LoadReport {
  const ratio = reflectionRatio(vswr);
  return {
    vswr,
    returnLossDb: ratio === 0 ? null : -powerRatioToDb(ratio),
    mismatchLossDb: -powerRatioToDb(1 - ratio),
  };
}

/** Power-added efficiency in %: (output − drive) over DC power, all in W. */
export function powerAddedEfficiencyPercent(outputW: number, driveW: number, dcPowerW: number): number {
  return (100 * (outputW - driveW)) / dcPowerW;
}

/** Junction temperature in °C: case + heat in W · thermal resistance in K/W. */
export function junctionTemperatureC(caseC: number, heatW: number, resistanceKPerW: number): number {
  return caseC + heatW * resistanceKPerW;
}

/** Amplitudes in V and A of a carrier of this power in W into 50 Ω. */
export function carrierStress(powerW: number): { readonly voltageV: number; readonly currentA: number } {
  return { voltageV: Math.sqrt(2 * powerW * REFERENCE_OHM), currentA: Math.sqrt((2 * powerW) / REFERENCE_OHM) };
}

export interface PowerInput {
  /** Powers at the amplifier's output and of its drive, in W, while on. */
  readonly meanW: number;
  readonly peakW: number;
  readonly driveMeanW: number;
  readonly drivePeakW: number;
  readonly efficiency: EfficiencyReading;
  readonly gainDb: number;
  readonly outputLossDb: number;
  readonly loadVswr: number;
  readonly caseTemperatureC: number | null;
  readonly thermalResistanceKPerW: number | null;
}

/** Every reading of one output on a known power scale. */
export function readPowers(input: PowerInput): PowerReadings {
  const { meanW, peakW, driveMeanW, drivePeakW, efficiency } = input;
  const { caseTemperatureC, thermalResistanceKPerW } = input;
  const { dcPowerW, efficiencyPercent, heatW } = efficiency;
  const throughLoss = dbToPowerRatio(-input.outputLossDb);
  const { voltageV, currentA } = carrierStress(peakW);
  const hasGain = input.gainDb > 0;
  return {
    peakPowerW: peakW,
    driveMeanW,
    drivePeakW,
    dcPowerW,
    efficiencyPercent,
    heatW,
    powerAddedEfficiencyPercent: hasGain ? powerAddedEfficiencyPercent(meanW, driveMeanW, dcPowerW) : null,
    antennaEfficiencyPercent: efficiencyPercent * throughLoss,
    junctionTemperatureC:
      caseTemperatureC === null || thermalResistanceKPerW === null
        ? null
        : junctionTemperatureC(caseTemperatureC, heatW, thermalResistanceKPerW),
    ...reflectedPowers(meanW * throughLoss, peakW * throughLoss, input.loadVswr),
    peakVoltageV: voltageV,
    peakCurrentA: currentA,
  };
}

type Reflected = Pick<PowerReadings, 'reflectedMeanW' | 'reflectedMeanDbm' | 'reflectedPeakW' | 'reflectedPeakDbm'>;

const NO_REFLECTION: Reflected = {
  reflectedMeanW: null,
  reflectedMeanDbm: null,
  reflectedPeakW: null,
  reflectedPeakDbm: null,
};

function reflectedPowers(antennaMeanW: number, antennaPeakW: number, vswr: number): Reflected {
  const ratio = reflectionRatio(vswr);
  if (ratio === 0) return NO_REFLECTION;
  const [mean, peak] = [antennaMeanW * ratio, antennaPeakW * ratio];
  return {
    reflectedMeanW: mean,
    reflectedMeanDbm: wToDbm(mean),
    reflectedPeakW: peak,
    reflectedPeakDbm: wToDbm(peak),
  };
}

/** Without a power scale. */
export const NO_POWERS: PowerReadings = {
  peakPowerW: null,
  driveMeanW: null,
  drivePeakW: null,
  dcPowerW: null,
  efficiencyPercent: null,
  heatW: null,
  powerAddedEfficiencyPercent: null,
  antennaEfficiencyPercent: null,
  junctionTemperatureC: null,
  ...NO_REFLECTION,
  peakVoltageV: null,
  peakCurrentA: null,
};
