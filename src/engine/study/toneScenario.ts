// The scenario of one point of the two-tone study: the base's amplifier with two tones in place of its waveform.
//
// The record is one period of whole cycles, read on exact bins. The tones stand on −h and +h cycles with h odd, so that
// products folded at the edges of the band fall between the lines read: with N a power of two, order m lands on line 3
// only where h·(m ∓ 3) is a multiple of N.
import type { AmplifierModelSettings, Scenario } from '../../../shared/schema/scenario.ts';
import type { TonesQuestion } from '../../../shared/schema/study.ts';
import { publishedAmplifiers } from '../../../shared/tables/publishedAmplifiers.ts';
import { scenarioAtChannel } from '../simulation/overBandSetup.ts';
import { rounded } from './variation.ts';

/** Mean power of two tones over the mean power per tone. */
const BOTH_TONES_DB = 10 * Math.log10(2);

/** At least so many cycles of the envelope's beat in a record: the spacing is then placed within 1 %. */
const BEATS = 128;
/** Below this the spacing would be placed coarser than 6 %. */
const LEAST_BEATS = 8;
const LEAST_SAMPLES = 4096;
const MOST_SAMPLES = 2 ** 20;

export interface TonePlace {
  readonly toneBackoffDb: number;
  readonly toneSpacingHz: number;
}

/** Third-order products of wider tones lie outside the record's band. */
export function widestSpacingHz(base: Scenario): number {
  return rateOf(base) / 3;
}

/** Narrower tones would need a longer record than is run. */
export function narrowestSpacingHz(base: Scenario): number {
  return (LEAST_BEATS * rateOf(base)) / MOST_SAMPLES;
}

/** Level of the upper tone over the lower one: the base's own tones keep theirs. */
export function upperOverLowerDb(base: Scenario): number {
  const [first] = base.waveform.carriers;
  return first?.kind === 'twoTone' ? first.upperOverLowerDb : 0;
}

/** One point as a scenario of its own. */
export function toneScenario(base: Scenario, question: TonesQuestion, place: TonePlace): Scenario {
  const sampleRateHz = rateOf(base);
  const sampleCount = sampleCountFor(place.toneSpacingHz, sampleRateHz);
  const halfCycles = nearestOdd((place.toneSpacingHz * sampleCount) / (2 * sampleRateHz));
  return {
    ...base,
    waveform: {
      ...base.waveform,
      carriers: [
        {
          kind: 'twoTone',
          offsetHz: 0,
          relativePowerDb: 0,
          crestShareRatio: 1,
          toneSpacingHz: (2 * halfCycles * sampleRateHz) / sampleCount,
          upperOverLowerDb: upperOverLowerDb(base),
          channelBandwidthHz: 'auto',
        },
      ],
      sampleCount,
      sampleRateHz,
      spectralEdge: { kind: 'none' },
      crestFactorReduction: null,
      burst: null,
    },
    operatingPoint: { outputBackoffDb: rounded(place.toneBackoffDb - BOTH_TONES_DB) },
    predistorter: question.withCorrection ? onWholeRecord(base.predistorter) : null,
    measurement: {
      ...base.measurement,
      spectrum: { ...base.measurement.spectrum, method: 'wholeRecord' },
      channels: 'auto',
      slots: [],
      // Lines have no bandwidth: a noise density has no level beside them.
      noise: { transmitterNoiseDbmPerHz: null, analyserFloorDb: null },
    },
    limits: [],
  };
}

/** The model's own rate, so that nothing is resampled; the scenario's, which is written out, where it has none. */
export function rateOf(base: Scenario): number {
  const { sampleRateHz } = base.waveform;
  const own = modelRateOf(scenarioAtChannel(base).amplifier.model);
  if (own !== null) return own;
  if (sampleRateHz === 'auto') throw new RangeError('toneScenario: the base scenario is not resolved');
  return sampleRateHz;
}

function sampleCountFor(toneSpacingHz: number, sampleRateHz: number): number {
  const wanted = 2 ** Math.ceil(Math.log2((BEATS * sampleRateHz) / toneSpacingHz));
  return Math.min(MOST_SAMPLES, Math.max(LEAST_SAMPLES, wanted));
}

function nearestOdd(value: number): number {
  return 2 * Math.max(0, Math.round((value - 1) / 2)) + 1;
}

function onWholeRecord(predistorter: Scenario['predistorter']): Scenario['predistorter'] {
  return predistorter && { ...predistorter, learning: { ...predistorter.learning, trainingSampleCount: 'all' } };
}

function modelRateOf(model: AmplifierModelSettings): number | null {
  if (model.kind === 'published') return publishedAmplifiers[model.id]?.sample_rate_Hz ?? null;
  return 'modelRateHz' in model && model.modelRateHz !== 'any' ? model.modelRateHz : null;
}
