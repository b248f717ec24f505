// Which part of the page a warning stands in: beside the reading it concerns.
import type { Warning } from '../../../shared/schema/issue.ts';
import type { RunDetail } from '../../worker/client.ts';

export type WarningPlace = 'answer' | 'spectrum' | 'limits' | 'evm' | 'learning' | 'peaks';

const PLACES: Readonly<Record<string, WarningPlace>> = {
  'source-limited': 'limits',
  'estimator-limited': 'limits',
  'aclr-beats-ideal-limiter': 'limits',
  'channel-outside-axis': 'spectrum',
  'rate-narrow': 'spectrum',
  'carriers-close': 'spectrum',
  'carrier-moved': 'spectrum',
  'noise-width-changed': 'spectrum',
  'symbol-rate-moved': 'spectrum',
  'tone-spacing-moved': 'spectrum',
  'notch-moved': 'spectrum',
  'burst-moved': 'spectrum',
  'channel-not-in-table': 'spectrum',
  'channel-outside-rate': 'spectrum',
  'own-channel-outside': 'spectrum',
  'tone-spacing-left-out': 'spectrum',
  'tones-unresolved': 'spectrum',
  'not-one-period': 'spectrum',
  'record-clipped': 'spectrum',
  'record-dc': 'spectrum',
  'record-fills-rate': 'spectrum',
  'record-unchecked': 'spectrum',
  'limit-not-judged': 'limits',
  'mask-incomplete': 'limits',
  'mask-resolution': 'limits',
  'notch-source-limited': 'limits',
  'notch-unresolved': 'limits',
  'record-join': 'limits',
  'record-centred': 'spectrum',
  'record-judged-on-training': 'learning',
  'filter-cuts-carrier': 'evm',
  'few-symbols': 'evm',
  'evm-source-limited': 'evm',
  'no-whole-symbol': 'evm',
  'reference-unlike': 'evm',
  'learned-on-tones': 'learning',
  'few-training-samples': 'learning',
  'fit-not-confirmed': 'learning',
  'improvement-implausible': 'learning',
  'beats-ideal-limiter': 'learning',
  'observation-narrow': 'learning',
  'observation-folds': 'learning',
  'image-not-corrected': 'learning',
  'stored-worse': 'learning',
  'stored-elsewhere': 'learning',
  'transmit-converter-clips': 'peaks',
  'drive-held': 'peaks',
  'crest-target-above-natural': 'peaks',
  'crest-target-missed': 'peaks',
  'crest-no-share': 'peaks',
  'crest-evm-over-budget': 'peaks',
};

/** True of any short record; they would flicker under a moving slider and say nothing about the scenario. */
const OF_SHORT_RECORDS = new Set(['few-symbols', 'estimator-limited', 'few-training-samples', 'fit-not-confirmed']);

/** A banner says these, in place of a line. */
const IN_BANNERS = new Set(['unequal-power', 'correction-rejected']);

/** The warnings of one place; a code that no place asks for stands under the answer. */
export function warningsAt(place: WarningPlace, warnings: readonly Warning[], detail: RunDetail): Warning[] {
  return warnings.filter(
    ({ code }) =>
      (PLACES[code] ?? 'answer') === place &&
      !IN_BANNERS.has(code) &&
      !(detail === 'coarse' && OF_SHORT_RECORDS.has(code)),
  );
}
