// The one line of conditions under every picture of a study.
import { structureText } from '../../../shared/format/predistorterText.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';

export function conditionsOf(scenario: Scenario): string {
  const { waveform, measurement, seeds, predistorter } = scenario;
  const first = waveform.carriers[0];
  const kind =
    first?.kind === 'ofdm'
      ? `${first.standard.toUpperCase()} ${first.channelBandwidthHz / 1e6} MHz ${first.modulation}`
      : 'noise';
  const carriers = waveform.carriers.length === 1 ? kind : `${waveform.carriers.length} carriers, first ${kind}`;
  const crest = waveform.crestFactorReduction;
  const shaping =
    crest === null ? 'no crest-factor reduction' : `crest factor ${crest.targetPaprDb} dB at ${crest.probability}`;
  const structure =
    predistorter === null
      ? 'no correction'
      : `${structureText(predistorter)}, ${predistorter.learning.passCount} passes`;
  const { spectrum, evm } = measurement;
  return `${carriers}; ${shaping}; ${structure}; ${spectrum.segmentLength}-point ${spectrum.window} segments; EVM ${evm.equalizer} against ${evm.reference}; seeds ${seeds.judging}, ${seeds.training}, ${seeds.selection}`;
}
