// What the study of a frozen correction needs of its scenario, where its figures deserve doubt, and the line of conditions.
import type { HoldResult } from '../../../shared/schema/holdReport.ts';
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { HoldQuestion } from '../../../shared/schema/study.ts';
import { conditionsOf } from './conditions.ts';
import { valuesOf } from './holdConditions.ts';

export function holdIssues(scenario: Scenario, question: HoldQuestion): Issue[] {
  const issues: Issue[] = [];
  const { predistorter } = scenario;
  if (predistorter === null) {
    issues.push({
      path: 'scenario.predistorter',
      rule: 'must be present: its coefficients are what is frozen',
      value: 'null',
      remedy: 'write "predistorter": {}',
    });
  } else if (predistorter.stored !== null) {
    issues.push({
      path: 'scenario.predistorter.stored',
      rule: 'must be null for this question, which learns the coefficients that it freezes',
      value: `${predistorter.stored.coefficients.length} stored coefficients`,
      remedy: 'set it to null',
    });
  }
  return [...issues, ...axisIssues(scenario, question), ...valueIssues(question)];
}

function axisIssues({ amplifier }: Scenario, { axis, carrierSets }: HoldQuestion): Issue[] {
  if (axis === 'channel' && amplifier.overBand === null) {
    return [
      {
        path: 'scenario.amplifier.overBand',
        rule: 'must be present for the axis channel',
        value: 'null',
        remedy: 'give the amplifier’s points over its band, or choose another axis',
      },
    ];
  }
  if (axis === 'carriers' && carrierSets.length === 0) {
    return [
      {
        path: 'question.carrierSets',
        rule: 'must hold at least one set for the axis carriers',
        value: '[]',
        remedy: 'add { "name": "5 MHz", "carriers": [ … ] }',
      },
    ];
  }
  const models = [amplifier.model, ...(amplifier.overBand?.points.flatMap(({ model }) => model ?? []) ?? [])];
  const other = models.find(({ kind }) => kind !== 'filterNonlinearityFilter');
  if (axis !== 'amPm' || other === undefined) return [];
  return [
    {
      path: 'question.axis',
      rule: 'must not be amPm for this amplifier: AM/PM is a figure of filter–nonlinearity–filter models only',
      value: `amPm of a ${other.kind} model`,
      remedy: 'choose saturatedPower, or model the amplifier as "filterNonlinearityFilter"',
    },
  ];
}

const RANGES: Readonly<Partial<Record<HoldQuestion['axis'], { minimum: number; maximum: number; text: string }>>> = {
  level: { minimum: -40, maximum: 20, text: 'from −40 to 20 dB' },
  analogueGain: { minimum: -40, maximum: 20, text: 'from −40 to 20 dB' },
  saturatedPower: { minimum: -10, maximum: 10, text: 'from −10 to 10 dB' },
  amPm: { minimum: -60, maximum: 60, text: 'from −60 to 60°' },
  load: { minimum: 1, maximum: 10, text: 'a VSWR from 1 to 10' },
};

function valueIssues({ axis, values }: HoldQuestion): Issue[] {
  const range = RANGES[axis];
  if (range === undefined || values === null) return [];
  return values.flatMap((value, i) =>
    value >= range.minimum && value <= range.maximum
      ? []
      : [
          {
            path: `question.values.${i}`,
            rule: `must be ${range.text} for the axis ${axis}`,
            value: String(value),
            remedy: 'set the value within that range',
          },
        ],
  );
}

/** Conditions that say nothing of the correction, with how many there are. */
export function holdWarnings({ conditions }: HoldResult): Warning[] {
  const lost = conditions.filter(({ isOutOfReach }) => isOutOfReach);
  const without = conditions.filter(({ uncorrected, retrained }) => uncorrected !== null && retrained === null);
  const names = (list: typeof lost) => list.map(({ label }) => label).join(', ');
  const warnings: Warning[] = [];
  if (lost.length > 0) {
    const message = `${lost.length} of ${conditions.length} conditions cannot be run: the amplifier does not give the wanted power, or the scenario is faulty there (${names(lost)}).`;
    warnings.push({ code: 'hold-out-of-reach', message });
  }
  if (without.length > 0) {
    const message = `Under ${without.length} of ${conditions.length} conditions the learned correction was no better than none and gives no row (${names(without)}).`;
    warnings.push({ code: 'hold-not-learned', message });
  }
  return warnings;
}

const WHAT_CHANGES: Readonly<Record<HoldQuestion['axis'], string>> = {
  level: 'level changed ahead of the predistorter',
  analogueGain: 'gain changed behind the predistorter',
  saturatedPower: 'saturated power drifts at the same mean power',
  amPm: 'AM/PM drifts',
  load: 'load lowers saturated power by 10·log10(VSWR) at the same mean power',
  channel: 'channel changed at the same operating point',
  carriers: 'signal changed at the same operating point',
};

/** The one line under every picture. */
export function holdConditions(scenario: Scenario, question: HoldQuestion): string {
  const { axis, carrierSets } = question;
  const count = axis === 'carriers' ? carrierSets.length + 1 : valuesOf(scenario, question).length;
  return `${WHAT_CHANGES[axis]}, ${count} conditions; frozen coefficients, no learning in between; ${conditionsOf(scenario)}`;
}
