// What of a predistorter must fit together: its structure with itself, with the record and with the wanted power.
import type { Issue } from '../../../shared/schema/issue.ts';
import type { PredistorterSettings } from '../../../shared/schema/scenario.ts';
import { regressorsOf } from './structure.ts';

/** Coefficients a fit can hold in memory and solve while someone waits. */
export const MOST_COEFFICIENTS = 512;

/** Faults of a predistorter by itself and on a record of so many samples. */
export function predistorterIssues(settings: PredistorterSettings, sampleCount: number): Issue[] {
  const own = [...structureIssues(settings), ...numberIssues(settings)];
  // A structure that contradicts itself has no coefficients to count.
  if (own.length > 0) return own;
  const { termCount, memorySpanSamples } = regressorsOf(settings);
  return [
    ...sizeIssues(settings, termCount, memorySpanSamples, sampleCount),
    ...trainingIssues(settings, termCount, sampleCount),
  ];
}

/**
 * A ceiling at or below the mean drive holds every sample. The drive of this mean output power has at least about its
 * amplitude over the small-signal gain; a gain below 1 has its own warning.
 */
export function ceilingIssues(
  settings: PredistorterSettings,
  outputBackoffDb: number,
  smallSignalGain: number,
): Issue[] {
  const { driveCeilingRatio } = settings.learning;
  const mean = 10 ** (-outputBackoffDb / 20) / Math.max(1, smallSignalGain);
  if (driveCeilingRatio > mean) return [];
  return [
    {
      path: 'predistorter.learning.driveCeilingRatio',
      rule: `must be above the mean drive amplitude, here ${mean.toPrecision(3)}`,
      value: String(driveCeilingRatio),
      remedy: 'raise the ceiling, 2.2 is usual, or the output back-off',
    },
  ];
}

function structureIssues(settings: PredistorterSettings): Issue[] {
  if (settings.kind === 'envelopeTable') return basisIssues(settings.learning.basis);
  const { nonlinearOrders } = settings;
  const issues: Issue[] = [];
  if (nonlinearOrders.every((order) => order % 2 === 0)) {
    issues.push({
      path: 'predistorter.nonlinearOrders',
      rule: 'must hold an odd order: even orders alone pass no signal at low drive and make no third-order products',
      value: `[${nonlinearOrders.join(', ')}]`,
      remedy: 'add order 1',
    });
  }
  const byOrder = settings.kind === 'memoryPolynomial' ? settings.memoryDepthByOrder : null;
  if (byOrder !== null && byOrder.length !== nonlinearOrders.length) {
    issues.push({
      path: 'predistorter.memoryDepthByOrder',
      rule: `must hold one depth for each of the ${nonlinearOrders.length} orders`,
      value: `${byOrder.length} depths`,
      remedy: 'write as many depths as nonlinearOrders has orders, or null',
    });
  }
  return issues;
}

function basisIssues(basis: PredistorterSettings['learning']['basis']): Issue[] {
  if (basis === 'monomial') return [];
  return [
    {
      path: 'predistorter.learning.basis',
      rule: 'is for polynomials: the entries of a table need no other basis',
      value: basis,
      remedy: 'write "monomial"',
    },
  ];
}

function numberIssues({ kind, numbers }: PredistorterSettings): Issue[] {
  if (kind !== 'envelopeTable' || numbers === null || numbers.tableEntryCount === 'none') return [];
  return [
    {
      path: 'predistorter.numbers.tableEntryCount',
      rule: 'is for polynomials: an envelope table is a table already',
      value: String(numbers.tableEntryCount),
      remedy: 'write "none" and set predistorter.entryCount',
    },
  ];
}

function sizeIssues(
  settings: PredistorterSettings,
  termCount: number,
  memorySpanSamples: number,
  sampleCount: number,
): Issue[] {
  const issues: Issue[] = [];
  if (memorySpanSamples > sampleCount) {
    issues.push({
      path: 'predistorter.memoryDepth',
      rule: `must not reach over more than the record of ${sampleCount} samples`,
      value: String(memorySpanSamples),
      remedy: 'shorten the memory or lengthen the record',
    });
  }
  if (termCount > MOST_COEFFICIENTS) {
    issues.push({
      path: settings.kind === 'envelopeTable' ? 'predistorter.entryCount' : 'predistorter.memoryDepth',
      rule: `must not make more than ${MOST_COEFFICIENTS} coefficients`,
      value: `${termCount} coefficients`,
      remedy: settings.kind === 'envelopeTable' ? 'use fewer entries or taps' : 'use fewer orders or taps',
    });
  }
  return issues;
}

function trainingIssues({ learning }: PredistorterSettings, termCount: number, sampleCount: number): Issue[] {
  const path = 'predistorter.learning.trainingSampleCount';
  const training = learning.trainingSampleCount;
  const seen = training === 'all' ? sampleCount : training;
  if (seen > sampleCount) {
    const rule = `must not exceed the record of ${sampleCount} samples`;
    return [{ path, rule, value: String(training), remedy: 'write "all" or lengthen the record' }];
  }
  if (seen >= 2 * termCount) return [];
  const rule = `must be at least twice the ${termCount} coefficients`;
  const value = training === 'all' ? `"all", ${sampleCount} samples` : String(training);
  const samples = training === 'all' ? 'lengthen the record' : `use ${40 * termCount} samples or more`;
  return [{ path, rule, value, remedy: `${samples}, or fewer orders and taps` }];
}
