// What the two-tone study needs of its scenario, what it leaves out, and under which conditions its figures hold.
import { formatEngineering, formatFixed } from '../../../shared/format/numbers.ts';
import { structureText } from '../../../shared/format/predistorterText.ts';
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { TonesQuestion } from '../../../shared/schema/study.ts';
import { amplitudeRatioToDb, dbToAmplitudeRatio, powerRatioToDb } from '../dsp/decibels.ts';
import { checkScenario } from '../simulation/checkScenario.ts';
import { narrowestSpacingHz, rateOf, toneScenario, upperOverLowerDb, widestSpacingHz } from './toneScenario.ts';
import { spacingsOf } from './toneSweep.ts';

const hz = (value: number) => formatEngineering(value, 'Hz');
const rateText = (scenario: Scenario) => formatEngineering(rateOf(scenario), 'Hz', 6);

/**
 * The spacing of the level sweep must leave room for its third-order products and fit a record, and the amplifier must
 * take such a record.
 */
export function toneIssues(scenario: Scenario, question: TonesQuestion): Issue[] {
  const { toneSpacingHz } = question;
  const [least, most] = [narrowestSpacingHz(scenario), widestSpacingHz(scenario)];
  if (toneSpacingHz >= least && toneSpacingHz < most) {
    const checked = checkScenario(lowestLevel(scenario, question));
    return checked.kind === 'invalid'
      ? checked.issues.map((issue) => ({ ...issue, path: `scenario.${issue.path}` }))
      : [];
  }
  const rate = rateText(scenario);
  return [
    {
      path: 'question.toneSpacingHz',
      rule: `must lie from ${hz(least)} to below ${hz(most)} at ${rate}: third-order products inside the band, beats inside a record`,
      value: String(toneSpacingHz),
      remedy: 'choose such a spacing, or another sample rate where the model has none of its own',
    },
  ];
}

function lowestLevel(scenario: Scenario, question: TonesQuestion): Scenario {
  const { toneBackoff, toneSpacingHz } = question;
  return toneScenario(scenario, question, { toneBackoffDb: toneBackoff.toDb, toneSpacingHz });
}

/** Doubts of the tones as a scenario, without those of the waveform they take the place of, and of the study itself. */
export function toneWarnings(scenario: Scenario, question: TonesQuestion): Warning[] {
  const checked = checkScenario(lowestLevel(scenario, question));
  const warnings: Warning[] = checked.kind === 'invalid' ? [] : [...checked.warnings];
  const fitting = spacingsOf(scenario, question);
  const [least, most] = [narrowestSpacingHz(scenario), widestSpacingHz(scenario)];
  const left = question.spacingsHz.filter((spacing) => spacing < least || spacing >= most);
  if (left.length > 0) {
    const message = `${left.length} of ${left.length + fitting.length} spacings (${left.map(hz).join(', ')}) are left out: at ${rateText(scenario)} they must lie from ${hz(least)} to below ${hz(most)}.`;
    warnings.push({ code: 'tone-spacing-left-out', message });
  }
  if (question.withCorrection && scenario.predistorter !== null) {
    const message =
      'Each correction is learned on its own two tones. It shows what the structure can do with them, not what a correction learned on a modulated carrier does, nor the other way round.';
    warnings.push({ code: 'learned-on-tones', message });
  }
  return warnings;
}

/** The one line under every picture. Powers are per tone; what both carry together stands beside it. */
export function toneConditions(scenario: Scenario, question: TonesQuestion): string {
  const ratioDb = upperOverLowerDb(scenario);
  const r = dbToAmplitudeRatio(ratioDb);
  // Over the mean power per tone, (1 + r²)/2: both tones together are 2 of it, the envelope’s peak is (1 + r)².
  const perTone = (1 + r * r) / 2;
  const bothDb = powerRatioToDb((1 + r * r) / perTone);
  const peakDb = amplitudeRatioToDb((1 + r) / Math.sqrt(perTone));
  const tones = ratioDb === 0 ? 'two equal tones' : `two tones, the upper one ${ratioDb} dB over the lower`;
  const { predistorter } = scenario;
  const correction =
    question.withCorrection && predistorter !== null
      ? `${structureText(predistorter)} learned on the tones themselves, ${predistorter.learning.passCount} passes`
      : 'no correction';
  return [
    `${tones}, power per tone: both together +${formatFixed(bothDb, 2)} dB, envelope peak +${formatFixed(peakDb, 2)} dB`,
    `levels at ${hz(question.toneSpacingHz)} spacing`,
    `spacings at one tone ${question.spacingToneBackoffDb} dB below saturated power`,
    correction,
    'whole record on exact bins',
    `${rateText(scenario)} sample rate`,
  ].join('; ');
}
