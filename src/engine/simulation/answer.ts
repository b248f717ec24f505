// The one sentence that answers the scenario: which power, what correction does at that power, which limits hold.
import { verdictSubject } from '../../../shared/format/limitText.ts';
import type { OutputReport, Verdict } from '../../../shared/schema/report.ts';

export interface AnswerParts {
  readonly uncorrected: OutputReport;
  readonly corrected: OutputReport | null;
  readonly correctionUsed: boolean;
  readonly verdicts: readonly Verdict[];
}

export function answerOf(parts: AnswerParts): string {
  return `At ${powerText(parts.uncorrected)} ${changeText(parts)}${verdictText(parts)}.`;
}

function powerText(output: OutputReport): string {
  const backoff = `${output.outputBackoffDb.toFixed(1)} dB output back-off`;
  if (output.antennaMeanDbm === null || output.meanPowerDbm === null || output.meanPowerW === null) return backoff;
  return `${output.meanPowerDbm.toFixed(1)} dBm (${formatW(output.meanPowerW)}, ${backoff})`;
}

function formatW(watts: number): string {
  return watts >= 0.1 ? `${Number(watts.toPrecision(3))} W` : `${Number((watts * 1000).toPrecision(3))} mW`;
}

function worstFirstChannel(output: OutputReport): number | null {
  const name = output.aclr[0]?.channel;
  const readings = output.aclr.filter((reading) => reading.channel === name).map((reading) => reading.aclrDb);
  return readings.length === 0 ? null : Math.min(...readings);
}

/** What the change is told by: the slots where slots are judged and no channel is, else the first channel. */
function emissionOf({ verdicts, uncorrected, corrected }: AnswerParts) {
  const slots = new Set(verdicts.flatMap(({ limit, name }) => (limit === 'slot' && name !== null ? [name] : [])));
  if (slots.size === 0 || verdicts.some(({ limit }) => limit === 'aclr')) {
    const after = corrected === null ? null : worstFirstChannel(corrected);
    return { name: 'ACLR', an: 'an ACLR of', before: worstFirstChannel(uncorrected), after };
  }
  const worst = (output: OutputReport) =>
    Math.min(...output.slots.filter(({ name }) => slots.has(name)).map(({ ratioDb }) => ratioDb));
  const name = slots.size === 1 ? `the slot “${[...slots][0]}”` : 'the worst slot';
  const after = corrected === null ? null : worst(corrected);
  return { name, an: `${name} at`, before: worst(uncorrected), after };
}

function changeText(parts: AnswerParts): string {
  const { uncorrected, corrected, correctionUsed } = parts;
  const { name, an, before, after } = emissionOf(parts);
  const evmBefore = uncorrected.evm?.rmsPercent;
  const alone = [
    ...(before === null ? [] : [`${an} ${before.toFixed(1)} dB`]),
    ...(evmBefore === undefined ? [] : [`${evmBefore.toFixed(1)} % EVM`]),
  ].join(' and ');
  if (corrected === null) return `the amplifier alone gives ${alone}`;
  if (!correctionUsed) return `this correction does not help and is not used: the amplifier alone gives ${alone}`;
  const evmAfter = corrected.evm?.rmsPercent;
  const changes = [
    ...(before === null || after === null ? [] : [`${name} from ${before.toFixed(1)} to ${after.toFixed(1)} dB`]),
    ...(evmBefore === undefined || evmAfter === undefined
      ? []
      : [`EVM from ${evmBefore.toFixed(1)} to ${evmAfter.toFixed(1)} %`]),
  ].join(' and ');
  return `correction takes ${changes}`;
}

function verdictText({ verdicts, corrected, correctionUsed }: AnswerParts): string {
  const subject = corrected !== null && correctionUsed ? 'corrected' : 'uncorrected';
  const judged = verdicts.filter((verdict) => verdict.of === subject);
  if (judged.length === 0) return '';
  const failed = judged.filter((verdict) => verdict.marginDb < 0);
  if (failed.length === 0) {
    const plain = verdicts.filter((verdict) => verdict.of === 'uncorrected' && verdict.marginDb < 0);
    const alone = subject === 'corrected' && plain.length > 0 ? ', which the amplifier alone misses' : '';
    const held =
      judged.length === 1 ? 'the limit' : judged.length === 2 ? 'both limits' : `all ${judged.length} limits`;
    return `: within ${held}${alone}`;
  }
  const names = failed.map((verdict) => `${verdictSubject(verdict)} by ${Math.abs(verdict.marginDb).toFixed(1)} dB`);
  return `, and misses ${names.join(' and ')}`;
}
