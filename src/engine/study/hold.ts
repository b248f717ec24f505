// Does it hold: coefficients learned under one condition, frozen and used under the others, against learning again there.
//
// Training runs come first; each frozen run puts a training run's coefficients into predistorter.stored. Frozen
// coefficients are judged even where they do harm: nobody is there to take them out.
import type { HoldCell, HoldCondition, HoldReading, HoldResult } from '../../../shared/schema/holdReport.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { HoldQuestion } from '../../../shared/schema/study.ts';
import type { ThinSpectrum } from '../../../shared/schema/studyReport.ts';
import { structureCostOf } from '../simulation/structure.ts';
import { judge } from '../simulation/verdicts.ts';
import { type Condition, holdConditionsOf, UNITS } from './holdConditions.ts';
import { frozenReading, frozenScenario, type Trained, trainedOf } from './holdRuns.ts';
import { evaluateSets } from './holdSets.ts';
import type { Lookup } from './lookup.ts';

export function evaluateHold(base: Scenario, question: HoldQuestion, lookup: Lookup): HoldResult {
  const { axis, trainedOn } = question;
  const conditions = holdConditionsOf(base, question);
  const trained = conditions.map(({ scenario }) => trainedOf(base, scenario, lookup));
  const rows = conditions.flatMap(({ isOwn }, i) => (trainedOn === 'each' || isOwn ? [i] : []));
  const frozen: Frozen = (row, column) =>
    frozenScenario(axis, trained[row]?.readings ?? null, conditions[column].scenario);
  const cells = rows.flatMap((row) =>
    conditions.map((_, column) => cellOf(base, trained, row, column, frozen, lookup)),
  );
  const sets = evaluateSets(base, question, lookup);
  const isKnown = cells.every(({ trainedOn: row, usedOn, reading }) => {
    const scenario = row === usedOn ? null : frozen(row, usedOn);
    return reading !== null || scenario === null || lookup.outcome(scenario, false) !== null;
  });
  const allTrained = trained.every(({ isPending }) => !isPending);
  return {
    kind: 'hold',
    axis,
    unit: UNITS[axis],
    conditions: conditions.map((condition, i) => conditionReport(condition, trained[i])),
    cells,
    worst: worstOf(cells, { conditions, frozen, lookup, isKnown: isKnown && allTrained }),
    sets,
    cost: base.predistorter && structureCostOf(base.predistorter),
    requiredAclrDb: requiredAclrDb(base, trained),
  };
}

/** A frozen run's scenario; null without coefficients. */
type Frozen = (row: number, column: number) => Scenario | null;

function cellOf(
  base: Scenario,
  trained: readonly Trained[],
  row: number,
  column: number,
  frozen: Frozen,
  lookup: Lookup,
): HoldCell {
  const { retrained } = trained[column];
  const reading = row === column ? retrained : frozenReading(base, frozen(row, column), lookup);
  return { trainedOn: row, usedOn: column, reading, lossDb: lossDb(reading, retrained) };
}

function lossDb(reading: HoldReading | null, retrained: HoldReading | null): number | null {
  const [kept, best] = [reading?.worstAclrDb ?? null, retrained?.worstAclrDb ?? null];
  return kept === null || best === null ? null : best - kept;
}

function conditionReport({ label, value, isOwn }: Condition, one: Trained): HoldCondition {
  const { uncorrected, retrained, readings, isPending } = one;
  return { label, value, isOwn, uncorrected, retrained, isOutOfReach: readings === null && !isPending };
}

interface WorstSearch {
  readonly conditions: readonly Condition[];
  readonly frozen: Frozen;
  readonly lookup: Lookup;
  /** Spectra are asked for once the worst cell can no longer change. */
  readonly isKnown: boolean;
}

function worstOf(cells: readonly HoldCell[], search: WorstSearch): HoldResult['worst'] {
  const read = cells.flatMap(({ trainedOn, usedOn, reading, lossDb }) =>
    trainedOn === usedOn || reading === null ? [] : [{ trainedOn, usedOn, reading, lossDb }],
  );
  if (read.length === 0) return null;
  const worst = read.reduce((a, b) => (isWorse(b.reading, a.reading) ? b : a));
  const spectrum = search.isKnown ? spectrumOf(search.frozen(worst.trainedOn, worst.usedOn), search.lookup) : null;
  const own = search.isKnown ? spectrumOf(search.conditions[worst.usedOn].scenario, search.lookup) : null;
  return { ...worst, spectrum, retrainedSpectrum: own };
}

function isWorse(a: HoldReading, b: HoldReading): boolean {
  if (a.worstAclrDb !== null && b.worstAclrDb !== null) return a.worstAclrDb < b.worstAclrDb;
  return (a.evmPercent ?? 0) > (b.evmPercent ?? 0);
}

function spectrumOf(scenario: Scenario | null, lookup: Lookup): ThinSpectrum | null {
  const outcome = scenario && lookup.outcome(scenario, true);
  return outcome?.kind === 'readings' ? outcome.spectrum : null;
}

/** What the limits ask of the first channel read; the strictest where there are several. */
function requiredAclrDb({ limits }: Scenario, trained: readonly Trained[]): number | null {
  const first = trained.find(({ readings }) => readings !== null)?.readings;
  if (first == null) return null;
  const channel = first.uncorrected.aclr[0]?.channel;
  const required = judge('uncorrected', first.uncorrected, limits)
    .filter((verdict) => verdict.limit === 'aclr' && verdict.channel === channel)
    .map((verdict) => verdict.required);
  return required.length === 0 ? null : Math.max(...required);
}
