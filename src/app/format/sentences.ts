// Settings told as short sentences: what a block of the chain is set to.

import { carrierText } from '../../../shared/format/carrierText.ts';
import {
  formatEngineering,
  formatProbability,
  formatQuantity,
  formatSignificant,
} from '../../../shared/format/numbers.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';

export function dataSentence({ waveform }: Scenario): string {
  const [first] = waveform.carriers;
  if (first === undefined) return 'no carrier';
  const count = waveform.carriers.length;
  return count === 1 ? carrierText(first) : `${count} carriers, ${carrierText(first)}`;
}

export function crestSentence({ waveform }: Scenario): string {
  const reduction = waveform.crestFactorReduction;
  if (reduction === null) return 'left as it is';
  return `to ${formatQuantity(reduction.targetPaprDb, 'dB')} at ${formatProbability(reduction.probability)}`;
}

/** "1 to 9, odd" for a run of orders, or the list. */
export function ordersText(orders: readonly number[]): string {
  const last = orders.at(-1) ?? 1;
  if (orders.length > 2 && orders.every((order, i) => order === 2 * i + 1)) return `1 to ${last}, odd`;
  if (orders.length > 2 && orders.every((order, i) => order === i + 1)) return `1 to ${last}`;
  return orders.join(', ');
}

export function predistorterSentence({ predistorter }: Scenario): string {
  if (predistorter === null) return 'off';
  const { memoryDepth, stored } = predistorter;
  const memory = memoryDepth === 1 ? 'memoryless' : `memory ${memoryDepth}`;
  const from = stored === null ? '' : ', stored';
  if (predistorter.kind === 'envelopeTable') return `table of ${predistorter.entryCount}; ${memory}${from}`;
  const depths = predistorter.kind === 'memoryPolynomial' ? predistorter.memoryDepthByOrder : null;
  const depth = depths === null ? memory : `memory ${depths.join(', ')}`;
  const cross = predistorter.kind === 'generalizedMemoryPolynomial' ? ', cross terms' : '';
  return `orders ${ordersText(predistorter.nonlinearOrders)}; ${depth}${cross}${from}`;
}

/** What of the observation is not ideal, the weightiest first. */
export function observationSentence({ predistorter }: Scenario): string {
  if (predistorter === null) return 'not needed';
  const { observation, stored } = predistorter;
  if (stored !== null) return 'nothing is learned';
  if (observation === null) return 'ideal';
  const { bandwidthHz, sampleRateHz, snrDb, converterBitCount, delayErrorS } = observation;
  const parts = [
    bandwidthHz === 'full' ? '' : `${formatEngineering(bandwidthHz, 'Hz')} wide`,
    sampleRateHz === 'same' ? '' : `at ${formatSignificant(sampleRateHz / 1e6)} Msps`,
    snrDb === null ? '' : `SNR ${formatQuantity(snrDb, 'dB', 0)}`,
    converterBitCount === null ? '' : `${converterBitCount} bits`,
    delayErrorS === 0 ? '' : `${formatEngineering(delayErrorS, 's')} late`,
    observation.gainRippleDb === 0 ? '' : 'ripple',
    observation.imageDb === null ? '' : 'image',
    observation.carrierLeakDbc === null ? '' : 'carrier leak',
  ].filter((part) => part !== '');
  return parts.length === 0 ? 'receiver without errors' : parts.join(', ');
}

function modelText({ model }: Scenario['amplifier']): string {
  switch (model.kind) {
    case 'dataSheet':
      return 'data sheet';
    case 'filterNonlinearityFilter':
      return `knee ${formatSignificant(model.kneeSharpness)}`;
    case 'memoryPolynomial':
      return 'memory polynomial';
    case 'generalizedMemoryPolynomial':
      return 'generalized polynomial';
    case 'published':
      return model.id.replaceAll('_', ' ');
    case 'saleh':
      return 'Saleh';
    case 'rapp':
      return `Rapp, knee ${formatSignificant(model.kneeSharpness)}`;
    case 'modifiedRapp':
      return `modified Rapp, knee ${formatSignificant(model.kneeSharpness)}`;
    case 'ghorbani':
      return 'Ghorbani';
    case 'envelopePoints':
      return `${model.points.length} measured points`;
  }
}

export function amplifierSentence({ amplifier }: Scenario): string {
  const { saturatedPowerDbm } = amplifier;
  const name = modelText(amplifier);
  return saturatedPowerDbm === null ? name : `${formatQuantity(saturatedPowerDbm, 'dBm')} saturated, ${name}`;
}

export function antennaSentence({ amplifier, limits }: Scenario): string {
  const loss = amplifier.outputLossDb === 0 ? 'no loss' : `${formatQuantity(amplifier.outputLossDb, 'dB')} loss`;
  return `${loss}, ${limits.length === 0 ? 'no limits' : limits.length === 1 ? '1 limit' : `${limits.length} limits`}`;
}
