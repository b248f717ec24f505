// What the ladder answers: the output back-off needed, the power it leaves, what correction buys, and where the power
// asked for stands.
import { channelSaturatedPowerDbm } from '../../../shared/schema/overBand.ts';
import type { Subject } from '../../../shared/schema/report.ts';
import type { Scenario } from '../../../shared/schema/scenario.ts';
import type { LadderResult, LimitCrossing } from '../../../shared/schema/studyReport.ts';
import { db, dbm, missText, watts } from './answerWords.ts';
import { ALL_LIMITS } from './ladder.ts';

/**
 * Within this distance of the back-off needed a power is called marginal: two standard deviations of an uncorrected ACLR
 * over 24-symbol records (0.1 dB each) at the 1.65 dB per dB slope of a soft knee come to 0.12 dB, and near the wall of
 * a correction records differ about as much. Our own choice, no source.
 */
export const NEAR_DB = 0.25;

export function answerLadder(result: LadderResult, scenario: Scenario, complete: boolean): string {
  const subject: Subject = scenario.predistorter === null ? 'uncorrected' : 'corrected';
  const needed = crossingFor(result, subject);
  const sentences =
    needed === null ? without(result, scenario, subject, complete) : withPower(result, scenario, needed);
  return complete ? sentences : `So far: ${sentences}`;
}

function crossingFor(result: LadderResult, of: Subject): LimitCrossing | null {
  return result.crossings.find((one) => one.of === of && one.limit === ALL_LIMITS) ?? null;
}

function withPower(result: LadderResult, scenario: Scenario, needed: LimitCrossing): string {
  const { meanPowerDbm, meanPowerW, outputBackoffDb, bracketed } = needed;
  const power = meanPowerDbm === null || meanPowerW === null ? '' : `: ${dbm(meanPowerDbm)}, ${watts(meanPowerW)}`;
  const need = bracketed
    ? `You need ${needed.isEstimate ? 'about ' : ''}${db(outputBackoffDb)} of output back-off${power}.`
    : `Even ${db(outputBackoffDb)} of output back-off, the least tried, meets all limits${power}.`;
  return [need, gainText(result, needed), standing(scenario, needed)].filter((text) => text !== '').join(' ');
}

function gainText(result: LadderResult, needed: LimitCrossing): string {
  if (needed.of !== 'corrected') return '';
  if (result.gain !== null) {
    const uncorrected = crossingFor(result, 'uncorrected');
    if (!needed.bracketed && uncorrected?.bracketed === false) return 'The amplifier alone meets them there as well.';
    // A crossing below the range leaves only a bound.
    const isEstimate = needed.isEstimate || uncorrected?.isEstimate === true;
    const atLeast = isEstimate ? 'about ' : needed.bracketed ? '' : 'at least ';
    return result.gain.backoffDb < 0.05
      ? 'Correction buys nothing.'
      : `Correction buys ${atLeast}${db(result.gain.backoffDb)}.`;
  }
  const missed = result.unmet.some((one) => one.of === 'uncorrected' && one.limit === ALL_LIMITS);
  return missed ? 'Without correction no back-off of this range meets them.' : '';
}

/** The back-off the scenario itself asks for, against the one needed. */
function standing(scenario: Scenario, needed: LimitCrossing): string {
  const asked = askedBackoffDb(scenario);
  if (asked === null) return '';
  const spareDb = asked - needed.outputBackoffDb;
  const saturatedPowerDbm = channelSaturatedPowerDbm(scenario.amplifier);
  const what = saturatedPowerDbm === null ? db(asked) : dbm(saturatedPowerDbm - asked);
  if (Math.abs(spareDb) < NEAR_DB) return `The ${what} asked for is marginal: ${db(Math.abs(spareDb))} from the edge.`;
  if (!needed.bracketed && spareDb < 0) return '';
  return spareDb > 0
    ? `The ${what} asked for leaves ${db(spareDb)} in hand.`
    : `The ${what} asked for is ${db(-spareDb)} too much.`;
}

function askedBackoffDb(scenario: Scenario): number | null {
  const { outputBackoffDb, meanPowerDbm, meanPowerW, antennaMeanDbm } = scenario.operatingPoint;
  const { outputLossDb } = scenario.amplifier;
  const saturatedPowerDbm = channelSaturatedPowerDbm(scenario.amplifier);
  if (outputBackoffDb !== undefined) return outputBackoffDb;
  if (saturatedPowerDbm === null) return null;
  if (meanPowerDbm !== undefined) return saturatedPowerDbm - meanPowerDbm;
  if (antennaMeanDbm !== undefined) return saturatedPowerDbm - antennaMeanDbm - outputLossDb;
  return meanPowerW === undefined ? null : saturatedPowerDbm - 30 - 10 * Math.log10(meanPowerW);
}

/** An amplifier that dips in mid-range stays as dirty as it was over several dB; the softest knee gains 1.6 dB a dB. */
const LEAST_RISE_DB_PER_DB = 0.25;

/** False when the margin hardly rose over the last dB of output back-off that was run. */
function risesAtTheEnd({ points }: LadderResult, of: Subject): boolean {
  const margins = points
    .flatMap(({ outputBackoffDb, subjects }) => {
      const marginDb = subjects.find((one) => one.of === of)?.worstMarginDb ?? null;
      return marginDb === null ? [] : [{ outputBackoffDb, marginDb }];
    })
    .sort((a, b) => a.outputBackoffDb - b.outputBackoffDb);
  const last = margins.at(-1);
  const before = margins.filter((one) => last !== undefined && one.outputBackoffDb < last.outputBackoffDb - 0.9).at(-1);
  if (last === undefined || before === undefined) return true;
  const riseDb = last.marginDb - before.marginDb;
  return riseDb > LEAST_RISE_DB_PER_DB * (last.outputBackoffDb - before.outputBackoffDb);
}

/** No crossing: none known yet, or no back-off of the range passes. */
function without(result: LadderResult, scenario: Scenario, subject: Subject, complete: boolean): string {
  const isCorrected = subject === 'corrected';
  const missed = result.unmet.filter((one) => one.of === subject);
  if (complete && result.points.length === 0) {
    return 'None of the runs gives the power asked of it; a larger back-off range would help.';
  }
  if (missed.some((one) => one.limit === ALL_LIMITS)) {
    const single = missed.filter((one) => one.limit !== ALL_LIMITS);
    const worst = single.reduce<(typeof missed)[number] | null>(
      (a, b) => (a === null || b.bestMarginDb < a.bestMarginDb ? b : a),
      null,
    );
    const miss = worst && { limit: worst.limit, marginDb: worst.bestMarginDb };
    const most = Math.max(...result.points.map((point) => point.outputBackoffDb));
    const how = isCorrected ? ' with correction' : '';
    // Each limit may be met somewhere and all of them nowhere at once.
    const text =
      miss === null
        ? 'each limit is met somewhere, but not all at one back-off.'
        : missText(miss, scenario, isCorrected, risesAtTheEnd(result, subject));
    return `No output back-off up to ${db(most)} meets all limits${how}; ${text}`;
  }
  const passing = result.points.filter((point) =>
    point.subjects.some((one) => one.of === subject && (one.worstMarginDb ?? -1) >= 0),
  );
  if (result.points.length === 0) return 'no point is read yet.';
  if (complete || passing.length === 0) return `${result.points.length} points read, none passes yet.`;
  const least = Math.min(...passing.map((point) => point.outputBackoffDb));
  return `${result.points.length} points read, all limits are met at ${db(least)} of output back-off.`;
}
