// The reverse question: limits and wanted clean power in; amplifiers, crest factors and structures out.
//
//   needed saturated power = wanted mean power at the antenna port + output loss + output back-off needed
//
// The amplifier asked for has the shape of the scenario's own one, only larger or smaller: amplitudes are relative to
// saturated power, so the back-off needed does not depend on the size, and the DC power goes with it.
import { channelSaturatedPowerDbm } from '../../../shared/schema/overBand.ts';
import { parseScenario } from '../../../shared/schema/parse.ts';
import type { LearningSettings, Scenario } from '../../../shared/schema/scenario.ts';
import type { AskQuestion } from '../../../shared/schema/study.ts';
import type { AskOption, AskRefusal, AskResult } from '../../../shared/schema/studyReport.ts';
import { dbmToW, dbToPowerRatio } from '../dsp/decibels.ts';
import { structureCostOf } from '../simulation/structure.ts';
import { type CleanPoint, type CleanSubject, findCleanPoint } from './cleanPoint.ts';
import { isWithinBudget } from './crestTrade.ts';
import type { Lookup } from './lookup.ts';
import { worstFirstAclrDb } from './margins.ts';
import { oddOrders, rounded, withTarget } from './variation.ts';

type Way = Pick<AskOption, 'corrected' | 'targetPaprDb' | 'highestOrder' | 'memoryDepth'>;
type Found = Extract<CleanPoint, { kind: 'found' }>;

/** Needs a scenario with a saturated power. */
export function evaluateAsk(base: Scenario, question: AskQuestion, lookup: Lookup): AskResult {
  const ownSaturatedPowerDbm = channelSaturatedPowerDbm(base.amplifier);
  if (ownSaturatedPowerDbm === null) throw new RangeError('evaluateAsk: the scenario states no saturated power');
  const learning = learningOf(base);
  const options: AskOption[] = [];
  const refused: AskRefusal[] = [];
  for (const way of waysOf(base, question)) {
    const variant = variantOf(base, way, learning);
    const subject: CleanSubject = way.corrected ? 'corrected' : 'uncorrected';
    const point = findCleanPoint(variant, subject, question.outputBackoff, lookup);
    if (point.kind === 'found') options.push(optionOf(variant, way, point, question, ownSaturatedPowerDbm));
    if (point.kind === 'none' && point.miss !== null) refused.push({ ...way, miss: point.miss });
  }
  const { wantedAntennaMeanDbm } = question;
  return { kind: 'ask', wantedAntennaMeanDbm, options: ranked(options), refused, ownSaturatedPowerDbm };
}

/** Every crest factor without correction and with each structure. Without targets the waveform stays as it is. */
function waysOf(base: Scenario, question: AskQuestion): Way[] {
  const own = base.waveform.crestFactorReduction?.targetPaprDb ?? null;
  const targets = question.targetPaprDb.length === 0 ? [own] : [...new Set(question.targetPaprDb.map(rounded))];
  return targets.flatMap((targetPaprDb) => [
    { corrected: false, targetPaprDb, highestOrder: null, memoryDepth: null },
    ...question.structures.map((structure) => ({ corrected: true, targetPaprDb, ...structure })),
  ]);
}

/** How the scenario's predistorter learns, or the default way when it has none. */
function learningOf(base: Scenario): LearningSettings {
  if (base.predistorter !== null) return base.predistorter.learning;
  const parsed = parseScenario({ ...base, predistorter: {} });
  if (parsed.kind === 'scenario' && parsed.scenario.predistorter !== null) return parsed.scenario.predistorter.learning;
  throw new RangeError('evaluateAsk: a scenario with the default predistorter does not parse');
}

function variantOf(base: Scenario, way: Way, learning: LearningSettings): Scenario {
  const variant = withTarget(base, way.targetPaprDb);
  const { highestOrder, memoryDepth } = way;
  if (highestOrder === null || memoryDepth === null) return { ...variant, predistorter: null };
  const nonlinearOrders = oddOrders(highestOrder);
  const { observation = null, numbers = null } = base.predistorter ?? {};
  const common = { memoryDepthByOrder: null, learning, observation, numbers, stored: null };
  return { ...variant, predistorter: { kind: 'memoryPolynomial', nonlinearOrders, memoryDepth, ...common } };
}

function optionOf(
  variant: Scenario,
  way: Way,
  point: Found,
  question: AskQuestion,
  ownSaturatedPowerDbm: number,
): AskOption {
  const { output, outputBackoffDb, bracketed } = point;
  const { outputLossDb } = variant.amplifier;
  const neededSaturatedPowerDbm = question.wantedAntennaMeanDbm + outputLossDb + outputBackoffDb;
  const crestEvmPercent = point.readings.waveform.crestReductionEvmPercent;
  const size = dbToPowerRatio(neededSaturatedPowerDbm - ownSaturatedPowerDbm);
  const dcPowerW = output.dcPowerW === null ? null : output.dcPowerW * size;
  return {
    ...way,
    outputBackoffDb,
    neededSaturatedPowerDbm,
    evmPercent: output.evm?.rmsPercent ?? null,
    worstAclrDb: worstFirstAclrDb(output),
    cost: variant.predistorter && structureCostOf(variant.predistorter),
    dcPowerW,
    heatW: dcPowerW === null ? null : dcPowerW - dbmToW(question.wantedAntennaMeanDbm + outputLossDb),
    mostAntennaMeanDbm: output.antennaMeanDbm,
    crestEvmPercent,
    withinEvmBudget: isWithinBudget(variant, crestEvmPercent),
    bracketed,
  };
}

/** Least saturated power first; at equal power the cheaper structure. */
function ranked(options: readonly AskOption[]): AskOption[] {
  const coefficients = (option: AskOption) => option.cost?.coefficientCount ?? 0;
  return [...options].sort(
    (a, b) => a.neededSaturatedPowerDbm - b.neededSaturatedPowerDbm || coefficients(a) - coefficients(b),
  );
}
