// Ready-made studies: the questions of Quarry Link, the invented backhaul hop, and of its bursts. All figures are invented.
import { coldStart } from '../presets/coldStart.ts';
import { quarryLink } from '../presets/quarryLink.ts';
import { skipChannelRadio } from '../presets/skipChannelRadio.ts';
import type { ScenarioInput } from '../schema/scenario.ts';
import type { StudyInput } from '../schema/study.ts';

/** Quarry Link with the 9th order: at 8 dB of output back-off the order decides. */
const ninthOrder: ScenarioInput = {
  ...quarryLink,
  predistorter: { nonlinearOrders: [1, 3, 5, 7, 9], memoryDepth: 3, learning: { passCount: 3 } },
};

const ladder: StudyInput = {
  title: 'Quarry Link: how much back-off',
  story:
    'The hop out of the quarry needs 45 dB of ACLR and 5 % EVM. How far below saturation must the 35 W amplifier run, ' +
    'alone and with a predistorter of 9th order × 3 taps, and how much average power does correction buy?',
  scenario: ninthOrder,
  question: { kind: 'ladder' },
};

const shape: StudyInput = {
  title: 'Quarry Link: which crest factor',
  story:
    'Without reduction the carrier peaks near 9.7 dB at 1e-4. Each dB taken off lets the corrected amplifier run about ' +
    'half a dB higher and spends EVM. Which target gives the most clean power within 3 % of EVM for the reduction?',
  scenario: ninthOrder,
  question: { kind: 'shape', targetPaprDb: [6.5, 7, 7.5, 8, 8.5, 9] },
};

const map: StudyInput = {
  title: 'Quarry Link: which order',
  story:
    'At 37.5 dBm, 8 dB of output back-off, the 7th order misses 45 dB by little. Which is the smallest structure that ' +
    'passes, and what does more order or more memory cost?',
  scenario: { ...ninthOrder, operatingPoint: { meanPowerDbm: 37.5 } },
  question: { kind: 'map' },
};

const ask: StudyInput = {
  title: 'Quarry Link: which amplifier',
  story:
    '36.5 dBm is wanted at the antenna port within 45 dB and 5 %. How much saturated power must the amplifier have, with ' +
    'correction and without?',
  scenario: ninthOrder,
  question: { kind: 'ask', wantedAntennaMeanDbm: 36.5 },
};

const spread: StudyInput = {
  title: 'Quarry Link: how firm',
  story:
    'At 37.5 dBm the 9th order just passes. Does it pass with other records too, and with other amplifiers of the same ' +
    'line, whose saturated power differs by 0.3 dB and whose AM/PM by 1°?',
  scenario: { ...ninthOrder, operatingPoint: { meanPowerDbm: 37.5 } },
  question: { kind: 'spread', seedCount: 8, unitCount: 40 },
};

const tones: StudyInput = {
  title: 'Quarry Link: which intercept',
  story:
    'A supplier asks for the third-order intercept of the 35 W amplifier. Two tones, stepped in level, show from where on ' +
    'the products follow at 3 dB per dB and one number may be quoted; stepped in spacing, they show what the bias network ' +
    'does to the two sides.',
  scenario: { ...quarryLink, predistorter: null },
  question: { kind: 'tones', toneSpacingHz: 5e6 },
};

const burst: StudyInput = {
  title: 'Cold Start: how a burst starts',
  story:
    'The hop is silent between its bursts, and the amplifier cools while its traps empty. The predistorter knows the warm ' +
    'amplifier only. How far off are the first symbols after 0.2 to 50 ms of silence, for how long, and would the usual ' +
    'spectrum of the whole burst have shown it?',
  scenario: coldStart,
  question: { kind: 'burst', recordCount: 6 },
};

const path: StudyInput = {
  title: 'Quarry Link: how wide an observation',
  story:
    'The receiver that observes the output costs bandwidth, bits and alignment. How wide must it be for the 7th order × 3 ' +
    'taps at 36.5 dBm, and what does the correction lose with less?',
  scenario: quarryLink,
  question: { kind: 'path', parameter: 'observationBandwidthHz' },
};

const hold: StudyInput = {
  title: 'Skip-Channel Radio: does it hold',
  story:
    'A hop of 1 ms leaves no time to learn. Coefficients are learned beforehand at the centres of equal sub-bands and ' +
    'frozen. How many sets does the band need, and what do more of them buy?',
  scenario: skipChannelRadio,
  question: { kind: 'hold', axis: 'channel', trainedOn: 'own' },
};

/** Study by the name the command line and the address bar use. */
export const studies: Readonly<Record<string, StudyInput>> = {
  'quarry-link-ladder': ladder,
  'quarry-link-shape': shape,
  'quarry-link-map': map,
  'quarry-link-ask': ask,
  'quarry-link-spread': spread,
  'quarry-link-tones': tones,
  'cold-start-burst': burst,
  'quarry-link-path': path,
  'skip-channel-radio-hold': hold,
};
export const studyNames: readonly string[] = Object.keys(studies);
