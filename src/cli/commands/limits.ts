// `kneepoint limits`: the limit sets and emission masks, or what one set writes for a scenario.
import { limitName } from '../../../shared/format/limitText.ts';
import { maskPieceCells, maskReferenceText, STATUS_WORDS } from '../../../shared/format/maskText.ts';
import { toJson } from '../../../shared/reports/json.ts';
import { nearest } from '../../../shared/schema/parse.ts';
import type { LimitSettings } from '../../../shared/schema/scenario.ts';
import { emissionMasks, equipmentMasks, maskSource } from '../../../shared/tables/emissionMasks.ts';
import { limitSetIds, limitSets } from '../../../shared/tables/limitSets.ts';
import type { SetLimits } from '../../../shared/tables/limitSubject.ts';
import { limitsOfSet } from '../input/limitSet.ts';
import { readScenario } from '../input/scenario.ts';
import { tellNotes } from '../output/messages.ts';
import { formatLines, wrap } from '../output/table.ts';
import { EXIT, type ExitCode, type Session, unusable } from '../session.ts';

export interface LimitsOptions {
  readonly set: readonly string[];
  readonly json?: true;
}

export function listLimits(
  session: Session,
  id: string | undefined,
  scenarioName: string | undefined,
  options: LimitsOptions,
): ExitCode {
  if (id === undefined) {
    session.stdout(options.json ? toJson(listing()) : listingText());
    return EXIT.result;
  }
  if (!limitSetIds.includes(id)) {
    const near = nearest(id, limitSetIds);
    const remedy = near === null ? 'kneepoint limits lists the sets' : `did you mean ${near}?`;
    throw unusable('SET', 'must be a limit set', JSON.stringify(id), remedy);
  }
  const source = readScenario(session, scenarioName, options.set);
  const made = limitsOfSet(id, source.input, source.records);
  session.stdout(options.json ? toJson(writtenOut(made)) : setText(id, made));
  tellNotes(session, made.notes);
  return EXIT.result;
}

/** As a scenario holds them. */
function writtenOut({ limits, channels, notes }: SetLimits) {
  return { limits, measurement: { channels }, notes };
}

function listing() {
  const sets = limitSets.map(({ id, title, standard, className, needs }) => ({
    id,
    title,
    standard,
    className,
    needs,
  }));
  return { sets, masks: emissionMasks, equipmentMasks };
}

function listingText(): string {
  const sets = limitSets.map(({ id, title, standard, needs }) => [id, title, standard, needs]);
  const masks = emissionMasks.map((mask) => [mask.id, maskSource(mask), mask.status]);
  const equipment = equipmentMasks.map(({ id, standard, edition, table, scope, status }) => [
    id,
    `${standard} ${edition} Table ${table}, ${scope}`,
    status,
  ]);
  const rule = [['us-point-to-point', '47 CFR 101.111(a)(2), by the authorized bandwidth', 'read+recalled']];
  return [
    `Limit sets\n${formatLines(sets, '  ')}`,
    `Emission masks in the sets\n${formatLines([...masks, ...equipment, ...rule], '  ')}`,
    `${statusText()}\n`,
  ].join('\n');
}

function statusText(): string {
  const words = Object.entries(STATUS_WORDS)
    .filter(([status]) => status !== 'own')
    .map(([status, meaning]) => `${status}: ${meaning}`);
  return wrap(`Status: ${words.join('; ')}. Check the current text of the standard.`);
}

function setText(id: string, { limits, channels }: SetLimits): string {
  const title = limitSets.find((one) => one.id === id)?.title ?? id;
  const blocks = limits.map(limitText);
  return [
    `${title}\n`,
    ...blocks,
    `Measured channels: ${typeof channels === 'string' ? channels : 'as listed'}\n`,
    `${statusText()}\n`,
  ].join('\n');
}

function limitText(limit: LimitSettings): string {
  const heading = `${limitName(limit)}\n  ${limit.source} (${limit.status})\n`;
  if (limit.reading !== 'mask') return heading;
  const rows = limit.pieces.map((piece) => maskPieceCells(piece, limit));
  return `${heading}  ${maskReferenceText(limit)}\n${formatLines(rows, '  ')}`;
}
