// Sentences and cells of a run that the terminal and every page share.
import { requirementWords, verdictSubject } from '../format/limitText.ts';
import {
  formatConditionNumber,
  formatEngineering,
  formatErrorDb,
  formatFixed,
  formatSigned,
  NO_READING,
} from '../format/numbers.ts';
import { numbersLossText, structureText } from '../format/predistorterText.ts';
import type { BoundsReport, FloorName, FloorReport, LearningReport, Verdict } from '../schema/report.ts';
import type { ReadReport } from './runTable.ts';

/** Figures at unequal power must not be compared: printed on every face. */
export function unequalPowerText(report: ReadReport): string {
  const difference = formatFixed(report.powerDifferenceDb, 2);
  return `UNEQUAL POWER: corrected and uncorrected outputs differ by ${difference} dB in mean power; their figures are not to be compared.`;
}

export const FLOOR_NAMES: Readonly<Record<FloorName, string>> = {
  source: 'source',
  estimator: 'estimator',
  numbers: 'numbers',
  transmitterNoise: 'transmitter noise',
  analyser: 'analyser',
  idealLimiter: 'ideal limiter',
};

export const STATE_MARKS: Readonly<Record<Verdict['state'], string>> = {
  pass: '✓ within',
  marginal: '~ marginal',
  fail: '✕ over',
};

/** Mark, subject, reading, requirement, margin, what limits it, source. */
export function verdictCells(verdict: Verdict): string[] {
  const what = [verdictSubject(verdict), verdict.side].filter((part) => part !== null).join(', ');
  const relation = requirementWords(verdict);
  const limitedBy = verdict.limitedBy === null ? '' : `limited by: ${FLOOR_NAMES[verdict.limitedBy]}`;
  return [
    STATE_MARKS[verdict.state],
    verdict.of,
    what,
    levelText(verdict, verdict.measured),
    `${relation} ${levelText(verdict, verdict.required)}`,
    `margin ${formatSigned(verdict.marginDb, '', 1)} dB`,
    limitedBy,
    // Values from memory or of one's own are not the standard's until someone reads them there.
    verdict.status === 'own' ? verdict.source : `${verdict.source} (${verdict.status})`,
  ];
}

function levelText({ unit }: Verdict, value: number): string {
  if (unit === 'Hz') return formatEngineering(value, unit, 4);
  return `${formatFixed(value, unit === '%' ? 2 : 1)} ${unit}`;
}

/** Name, level, meaning. */
export function floorCells({ name, aclrDb, meaning }: FloorReport): string[] {
  return [FLOOR_NAMES[name], aclrDb === null ? NO_READING : `${formatFixed(aclrDb, 1)} dB`, meaning];
}

export function learningText({ learning, scenario, correctionUsed, predistorter }: ReadReport): string {
  if (learning === null || scenario.predistorter === null) return '';
  const structure = `${structureText(scenario.predistorter)}: ${learning.coefficientCount} coefficients`;
  const unchosen = correctionUsed ? 'the stored coefficients are kept' : 'none is used';
  const chosen = learning.chosenPass === null ? unchosen : `pass ${learning.chosenPass + 1} is used`;
  const passes = `${learning.passes.length} ${learning.passes.length === 1 ? 'pass' : 'passes'}, ${chosen}`;
  const condition =
    learning.passes.length === 0
      ? 'no pass was made'
      : `condition number ${formatConditionNumber(learning.conditionNumber)} scaled, ${formatConditionNumber(learning.rawConditionNumber)} raw`;
  const seeds = `training seed ${scenario.seeds.training}, selection seed ${scenario.seeds.selection}, judging seed ${scenario.seeds.judging}`;
  const rejected = learning.rejectedBecause === null ? '' : ` Not used: ${learning.rejectedBecause}.`;
  const stopped =
    learning.stoppedBecause === null || learning.passes.length === 0 ? '' : ` Stopped: ${learning.stoppedBecause}.`;
  const method = `${METHOD_NAMES[learning.method]}${adaptationText(learning.convergence)}`;
  const loss = numbersLossText(predistorter?.numbers ?? null);
  const numbers = loss === '' ? '' : ` ${loss}`;
  return `Predistorter: ${structure}. ${method}: ${passes}; ${condition}; ${seeds}.${stopped}${rejected}${numbers}`;
}

const METHOD_NAMES: Readonly<Record<LearningReport['method'], string>> = {
  indirect: 'Indirect learning',
  forwardModel: 'Forward-model learning',
  direct: 'Direct learning',
};

function adaptationText(convergence: LearningReport['convergence']): string {
  const [first, last] = [convergence?.errorDb.at(0), convergence?.errorDb.at(-1)];
  if (first === undefined || last === undefined) return '';
  return `, sample by sample (error ${formatFixed(first, 1)} dB at first, ${formatFixed(last, 1)} dB at the end)`;
}

const LIMIT_NAMES: Readonly<Record<BoundsReport['limitedBy'], string>> = {
  source: 'the waveform itself',
  estimator: 'the spectrum estimator',
  numbers: 'the arithmetic’s rounding',
  transmitterNoise: 'the transmitter’s noise',
  analyser: 'the analyser’s noise',
  idealLimiter: 'saturated power: the ideal limiter, which no correction passes in total error',
  amplifier: 'the amplifier under this drive ceiling: no drive found comes nearer',
  predistorter: 'the predistorter’s structure and learning',
};

/** Distance from the best possible, and what limits; empty without a correction. */
export function boundsText({ bounds, bestDrive, correctionUsed }: ReadReport): string {
  if (bounds === null || !correctionUsed) return '';
  const limiter = `ideal limiter ${formatErrorDb(bounds.idealLimiterNmseDb, 1)} dB`;
  if (bestDrive === null || bounds.distanceFromBestDb === null) {
    return `Total error: ${limiter}; the best drive is left out. Limited by ${LIMIT_NAMES[bounds.limitedBy]}.`;
  }
  const distance = `${formatFixed(bounds.distanceFromBestDb, 1)} dB from the best possible`;
  const aclr = bestDrive.worstAclrDb === null ? '' : `, ACLR ${formatFixed(bestDrive.worstAclrDb, 1)} dB`;
  const best = `best drive, learned sample by sample in ${bestDrive.passCount} passes, ${formatFixed(bestDrive.nmseDb, 1)} dB${aclr}`;
  return `Total error ${distance}: ${best}; ${limiter}. Limited by ${LIMIT_NAMES[bounds.limitedBy]}.`;
}
