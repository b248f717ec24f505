// What a report says of DC power, heat, mismatch and the stress on the output, and of the model behind them.
import type { PowerClass } from './powerModel.ts';

/** Class, factor and quiescent current with where they come from. */
export interface PowerChoice {
  readonly class: PowerClass;
  readonly efficiencyFactor: number;
  /** Bias over peak device current; used in class AB only. */
  readonly quiescentRatio: number;
  readonly source: string;
}

/** What DC power, efficiency and heat are computed with. */
export interface PowerModelReport extends PowerChoice {
  /** Such as "ideal class B" or "ideal class AB × 0.8". */
  readonly label: string;
  /** Drain efficiency at |y| = 1, constant carrier. */
  readonly peakEfficiencyPercent: number;
  /** What is usual for the amplifier model, whatever the scenario states. */
  readonly ofModel: PowerChoice;
}

/** The load at the antenna port. Source: Pozar, Microwave Engineering: |Γ| = (s − 1)/(s + 1). */
export interface LoadReport {
  readonly vswr: number;
  /** −20·log10|Γ|; null for a perfect load. */
  readonly returnLossDb: number | null;
  /** −10·log10(1 − |Γ|²). */
  readonly mismatchLossDb: number;
}

/** Powers, heat and stress of one output; all null without a power scale, mean values while on. */
export interface PowerReadings {
  readonly peakPowerW: number | null;
  readonly driveMeanW: number | null;
  readonly drivePeakW: number | null;
  /** Mean DC power of the ideal model named in `amplifier.power`, over this output's amplitudes. */
  readonly dcPowerW: number | null;
  /** Drain efficiency of that model: mean output power over DC power. */
  readonly efficiencyPercent: number | null;
  /** DC power less mean output power: dissipated in the output stage. */
  readonly heatW: number | null;
  /** (output − drive) over DC power; null too without a gain above 0 dB. */
  readonly powerAddedEfficiencyPercent: number | null;
  /** Mean power behind the output loss over DC power. */
  readonly antennaEfficiencyPercent: number | null;
  /** Case temperature + heat · thermal resistance, settled while on; null when either is not stated. */
  readonly junctionTemperatureC: number | null;
  /** What the load sends back to the antenna port, at mean and at peak; null with a VSWR of 1. */
  readonly reflectedMeanW: number | null;
  readonly reflectedMeanDbm: number | null;
  readonly reflectedPeakW: number | null;
  readonly reflectedPeakDbm: number | null;
  /** Carrier amplitude at the amplifier's peak output into a matched 50 Ω: √(2·P·50 Ω), √(2·P/50 Ω). */
  readonly peakVoltageV: number | null;
  readonly peakCurrentA: number | null;
}

/** A constant carrier at saturated power: what it draws and wastes by the ideal model, and its stress into 50 Ω. */
export interface SaturatedPowers {
  readonly outputW: number;
  readonly dcPowerW: number;
  readonly heatW: number;
  readonly voltageV: number;
  readonly currentA: number;
}
