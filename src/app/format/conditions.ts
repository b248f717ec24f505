// The line under a picture: under which conditions its figures hold.

import { formatCount, formatEngineering, formatQuantity } from '../../../shared/format/numbers.ts';
import type { EvmReading, Report } from '../../../shared/schema/report.ts';
import type { RunDetail } from '../../worker/client.ts';

const WINDOW_NAMES: Readonly<Record<string, string>> = {
  blackmanHarris: 'Blackman–Harris window',
  hann: 'Hann window',
  rectangular: 'rectangular window',
  flatTop: 'flat-top window',
};
export const EQUALIZER_NAMES: Readonly<Record<EvmReading['equalizer'], string>> = {
  none: 'no equalizer',
  oneGain: 'one-gain equalizer',
  perSubcarrier: 'equalizer per subcarrier',
  smoothed: 'smoothed equalizer',
};

export function powerText({ uncorrected }: Report): string {
  if (uncorrected.antennaMeanDbm === null)
    return `${formatQuantity(uncorrected.outputBackoffDb, 'dB')} output back-off`;
  return `${formatQuantity(uncorrected.antennaMeanDbm, 'dBm')} mean at the antenna port`;
}

function estimatorText({ traces: { conditions } }: Report): string {
  const bandwidth = `resolution bandwidth ${formatEngineering(conditions.resolutionBandwidthHz, 'Hz')}`;
  if (conditions.method === 'wholeRecord') return `${bandwidth}, whole record on exact bins`;
  const averages = `${conditions.segmentCount} averages of ${formatCount(conditions.segmentLength)} samples`;
  return `${bandwidth}, ${averages}, ${WINDOW_NAMES[conditions.window] ?? conditions.window}`;
}

function evmText(report: Report): string[] {
  const reading = report.uncorrected.evm;
  if (reading === null) return [];
  return [`EVM with ${EQUALIZER_NAMES[reading.equalizer]}, ${reading.symbolCount} symbols`];
}

/** Power, resolution bandwidth, averages, equalizer, seed. */
export function spectrumCondition(report: Report, detail: RunDetail): string {
  return [
    powerText(report),
    estimatorText(report),
    ...evmText(report),
    `judging seed ${report.scenario.seeds.judging}`,
    ...(detail === 'coarse' ? ['short record'] : []),
  ].join('; ');
}

/** Samples, rate, seed: for pictures of single samples. */
export function recordCondition({ waveform, scenario }: Report): string {
  const samples = `${formatCount(waveform.sampleCount)} samples at ${formatEngineering(waveform.sampleRateHz, 'Hz', 5)}`;
  return `${samples}; judging seed ${scenario.seeds.judging}`;
}

export { formatConditionNumber as conditionNumberText } from '../../../shared/format/numbers.ts';
