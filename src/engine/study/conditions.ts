// The one line of conditions under every picture of a study.
import { EQUALIZER_NAMES, REFERENCE_NAMES, WINDOW_NAMES } from '../../../shared/format/measurementWords.ts';
import { formatProbability } from '../../../shared/format/numbers.ts';
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
    crest === null
      ? 'no crest-factor reduction'
      : `crest factor ${crest.targetPaprDb} dB at ${formatProbability(crest.probability)}`;
  const structure =
    predistorter === null
      ? 'no correction'
      : `${structureText(predistorter)}, ${predistorter.learning.passCount} passes`;
  const { spectrum, evm } = measurement;
  const estimator =
    spectrum.method === 'wholeRecord'
      ? 'whole record on exact bins'
      : `segments of ${spectrum.segmentLength} samples, ${WINDOW_NAMES[spectrum.window] ?? spectrum.window}`;
  const modulation = `EVM: ${EQUALIZER_NAMES[evm.equalizer]}, against ${REFERENCE_NAMES[evm.reference]}`;
  const records = `seeds ${seeds.judging} judging, ${seeds.training} training, ${seeds.selection} selection`;
  return `${carriers}; ${shaping}; ${structure}; ${estimator}; ${modulation}; ${records}`;
}
