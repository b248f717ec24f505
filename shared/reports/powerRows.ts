// The rows of powers, heat and drive in the table of a run.
import type { OutputReport } from '../schema/report.ts';
import type { MakeRow, ReadReport, RunRow } from './runTable.ts';

type PickWatts = (output: OutputReport) => number | null;

/** Below this a power reads better in mW. */
const SMALL_W = 0.1;

/** One row in W, or in mW where the uncorrected output's power is small. */
function wattRow({ uncorrected }: ReadReport, row: MakeRow, label: string, pick: PickWatts, like = pick): RunRow {
  const isSmall = (like(uncorrected) ?? 1) < SMALL_W;
  return row(`${label}, ${isSmall ? 'mW' : 'W'}`, 2, (output) => {
    const value = pick(output);
    return value === null ? null : value * (isSmall ? 1000 : 1);
  });
}

/** Output powers, then DC power, efficiencies and heat of the ideal model, then voltage, current and what is reflected. */
export function powerRows(report: ReadReport, row: MakeRow): RunRow[] {
  const { scenario, amplifier } = report;
  const ideal = amplifier.power.label;
  const mean: PickWatts = ({ meanPowerW }) => meanPowerW;
  const watts = (label: string, pick: PickWatts) => wattRow(report, row, label, pick, mean);
  const hasLoss = scenario.amplifier.outputLossDb > 0;
  return [
    row('mean output power, dBm', 2, (output) => output.meanPowerDbm),
    watts('mean output power', mean),
    row('peak output power, dBm', 2, (output) => output.peakPowerDbm),
    watts('peak output power', ({ peakPowerW }) => peakPowerW),
    ...(hasLoss ? [row('mean at the antenna port, dBm', 2, (output) => output.antennaMeanDbm)] : []),
    row('output back-off, dB', 2, (output) => output.outputBackoffDb),
    watts(`DC power, ${ideal}`, ({ dcPowerW }) => dcPowerW),
    watts(`heat, ${ideal}`, ({ heatW }) => heatW),
    row(`drain efficiency, ${ideal}, %`, 1, (output) => output.efficiencyPercent),
    row('power-added efficiency, ideal, %', 1, (output) => output.powerAddedEfficiencyPercent),
    ...(hasLoss
      ? [row('efficiency at the antenna port, ideal, %', 1, (output) => output.antennaEfficiencyPercent)]
      : []),
    row('junction temperature, ideal, °C', 1, (output) => output.junctionTemperatureC),
    row('peak voltage into 50 Ω, V', 1, (output) => output.peakVoltageV),
    row('peak current into 50 Ω, A', 2, (output) => output.peakCurrentA),
    row('reflected power, mean, dBm', 2, (output) => output.reflectedMeanDbm),
    watts('reflected power, mean', ({ reflectedMeanW }) => reflectedMeanW),
    row('reflected power, peak, dBm', 2, (output) => output.reflectedPeakDbm),
    watts('reflected power, peak', ({ reflectedPeakW }) => reflectedPeakW),
  ];
}

/** Mean and peak of the drive. */
export function driveRows(report: ReadReport, row: MakeRow): RunRow[] {
  const mean: PickWatts = ({ driveMeanW }) => driveMeanW;
  return [
    row('mean drive, dBm', 2, (output) => output.driveMeanDbm),
    wattRow(report, row, 'mean drive', mean),
    row('peak drive, dBm', 2, (output) => output.drivePeakDbm),
    wattRow(report, row, 'peak drive', ({ drivePeakW }) => drivePeakW, mean),
  ];
}
