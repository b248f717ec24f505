// What a data sheet says that cannot be: pairs of figures that exclude each other, told with both and by how much.
import type { DataSheetSettings } from '../../../shared/schema/dataSheet.ts';
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import { type SheetConflict, type SheetFigures, type SheetSolution, TOLERANCE_DB } from './sheetSolver.ts';

const RAD_PER_DEG = Math.PI / 180;
const MODEL = 'amplifier.model';

export type FiguresOutcome =
  | { readonly kind: 'figures'; readonly figures: SheetFigures }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

type PowerField = 'outputAtOneDbCompressionDbm' | 'outputAtThreeDbCompressionDbm' | 'outputInterceptDbm';
const POWER_FIELDS: readonly PowerField[] = [
  'outputAtOneDbCompressionDbm',
  'outputAtThreeDbCompressionDbm',
  'outputInterceptDbm',
];

/** The sheet's powers re saturated power, or everything that contradicts itself at first sight. */
export function sheetFigures(settings: DataSheetSettings, amplifierDbm: number | null): FiguresOutcome {
  const saturatedDbm = settings.saturatedPowerDbm === 'amplifier' ? amplifierDbm : settings.saturatedPowerDbm;
  const powers = POWER_FIELDS.filter((field) => settings[field] !== null);
  if (saturatedDbm === null && powers.length > 0)
    return { kind: 'invalid', issues: powers.map((field) => scaleIssue(settings, field)) };
  const re = (dbm: number | null) => (dbm === null || saturatedDbm === null ? null : dbm - saturatedDbm);
  const figures: SheetFigures = {
    class: settings.class,
    saturationCompressionDb: settings.saturationCompressionDb,
    oneDb: re(settings.outputAtOneDbCompressionDbm),
    threeDb: re(settings.outputAtThreeDbCompressionDbm),
    interceptDb: re(settings.outputInterceptDbm),
    amPmRad: settings.amPmDeg * RAD_PER_DEG,
    amPmBackoffDb: settings.amPmBackoffDb,
    expansionDb: settings.class === 'gainExpansion' ? settings.expansionDb : null,
    dipDb: settings.class === 'twoDevice' ? settings.dipDb : 0,
  };
  const issues = [
    ...compressionIssues(settings, figures, saturatedDbm),
    ...orderIssues(settings, figures),
    ...amPmIssues(settings, saturatedDbm),
  ];
  return issues.length > 0 ? { kind: 'invalid', issues } : { kind: 'figures', figures };
}

function scaleIssue(settings: DataSheetSettings, field: PowerField): Issue {
  return {
    path: `${MODEL}.${field}`,
    rule: 'needs the saturated power, which is not known',
    value: String(settings[field]),
    remedy: 'give amplifier.saturatedPowerDbm, or the model’s own saturatedPowerDbm',
  };
}

/** P1dB and P3dB against the saturated power and the compression it is stated at. */
function compressionIssues(settings: DataSheetSettings, figures: SheetFigures, saturatedDbm: number | null): Issue[] {
  const stated = settings.saturationCompressionDb;
  const issues: Issue[] = [];
  const pairs = [
    ['outputAtOneDbCompressionDbm', 1, figures.oneDb],
    ['outputAtThreeDbCompressionDbm', 3, figures.threeDb],
  ] as const;
  for (const [field, compressionDb, outputDb] of pairs) {
    if (outputDb === null) continue;
    const value = `${settings[field]} dBm against a saturated power of ${saturatedDbm} dBm`;
    const at = stated === 'asymptote' ? '' : ` stated at ${stated} dB of compression`;
    const told = (rule: string, remedy: string) => issues.push({ path: `${MODEL}.${field}`, rule, value, remedy });
    if (stated !== 'asymptote' && compressionDb > stated) {
      told(
        `cannot be met with the saturated power${at}: the drive is held there, ${compressionDb} dB of compression is never reached`,
        `state the saturated power at ${compressionDb} dB of compression or more`,
      );
    } else if (stated === compressionDb) {
      if (Math.abs(outputDb) > TOLERANCE_DB.oneDb) {
        told(
          `must be the saturated power, which is stated at the same ${stated} dB of compression; they differ by ${dB(outputDb)}`,
          'correct one of the two',
        );
      }
    } else if (outputDb >= 0) {
      told(
        `must lie below the saturated power${at}; it is ${dB(outputDb)} above`,
        'lower it or raise the saturated power',
      );
    }
  }
  return issues;
}

/** Output rises with the drive: 3 dB of compression lies at more output than 1 dB. */
function orderIssues(settings: DataSheetSettings, { oneDb, threeDb }: SheetFigures): Issue[] {
  if (oneDb === null || threeDb === null || oneDb < threeDb) return [];
  return [
    {
      path: `${MODEL}.outputAtOneDbCompressionDbm`,
      rule: `must lie below the output at 3 dB compression; it is ${dB(oneDb - threeDb)} above`,
      value: `${settings.outputAtOneDbCompressionDbm} dBm against ${settings.outputAtThreeDbCompressionDbm} dBm`,
      remedy: 'exchange or correct the two',
    },
  ];
}

function amPmIssues({ amPmDeg, amPmBackoffDb }: DataSheetSettings, saturatedDbm: number | null): Issue[] {
  if (amPmDeg === 0 || amPmBackoffDb >= 0) return [];
  const level =
    saturatedDbm === null ? '' : `, ${(saturatedDbm - amPmBackoffDb).toFixed(2)} dBm against ${saturatedDbm} dBm`;
  return [
    {
      path: `${MODEL}.amPmBackoffDb`,
      rule: `must be reached by the AM/PM’s carrier: it is ${dB(amPmBackoffDb)} above the saturated power`,
      value: `${amPmBackoffDb}${level}`,
      remedy: 'state AM/PM at saturated power (0) or below it',
    },
  ];
}

/** A figure missed by more than this is no near miss, dB. */
const IMPOSSIBLE_DB = 0.5;
/** More phase than this at saturation is no amplifier’s. */
const MOST_PHASE_RAD = Math.PI;

/** Figures that no curve of the family has together, after the search. */
export function impossibleFigures(
  settings: DataSheetSettings,
  { curve }: SheetSolution,
  conflict: SheetConflict | null,
): Issue[] {
  const issues: Issue[] = [];
  if (conflict !== null && Math.abs(conflict.missDb) > IMPOSSIBLE_DB) {
    issues.push({
      path: pathOf(conflict.name),
      rule: `cannot be met together with ${pathOf(conflict.against)}: the nearest curve misses it by ${dB(conflict.missDb)}`,
      value: `${statedOf(settings, conflict.name)} against ${statedOf(settings, conflict.against)}`,
      remedy: 'correct one of the two, or leave one out',
    });
  }
  if (Math.abs(curve.phaseRad) > MOST_PHASE_RAD) {
    const degrees = Math.abs(curve.phaseRad / RAD_PER_DEG).toFixed(0);
    issues.push({
      path: `${MODEL}.amPmDeg`,
      rule: `cannot be met together with ${MODEL}.amPmBackoffDb: it would grow to ${degrees}° at high drive`,
      value: `${settings.amPmDeg}° against ${settings.amPmBackoffDb} dB of output back-off`,
      remedy: 'state AM/PM at a higher level, or less of it',
    });
  }
  return issues;
}

/** `sheet-not-met`: figures missed by a little, with the one that stands against them. */
export function nearMisses(
  settings: DataSheetSettings,
  { misses }: SheetSolution,
  conflict: SheetConflict | null,
): Warning[] {
  if (conflict === null) return [];
  const missed = misses.filter(({ name, missDb }) => Math.abs(missDb) > TOLERANCE_DB[name]);
  const told = missed.map(
    ({ name, missDb }) => `${nameOf(name)} (${statedOf(settings, name)}) is missed by ${dB(missDb)}`,
  );
  const message = `The data sheet’s figures cannot all be met: ${told.join(', ')}; ${nameOf(conflict.name)} and ${nameOf(conflict.against)} (${statedOf(settings, conflict.against)}) stand against each other. Correct one of the two, or leave one out.`;
  return [{ code: 'sheet-not-met', message }];
}

const FIELDS: Readonly<Record<SheetConflict['against'], keyof DataSheetSettings>> = {
  oneDb: 'outputAtOneDbCompressionDbm',
  threeDb: 'outputAtThreeDbCompressionDbm',
  interceptDb: 'outputInterceptDbm',
  expansionDb: 'expansionDb',
  dip: 'dipDb',
  saturation: 'saturatedPowerDbm',
};

function pathOf(name: SheetConflict['against']): string {
  return `${MODEL}.${FIELDS[name]}`;
}

function nameOf(name: SheetConflict['against']): string {
  return FIELDS[name];
}

function statedOf(settings: DataSheetSettings, name: SheetConflict['against']): string {
  const value = settings[FIELDS[name]];
  return value === 'amplifier' ? 'the saturated power' : `${value} ${FIELDS[name].endsWith('Dbm') ? 'dBm' : 'dB'}`;
}

function dB(value: number): string {
  return `${Math.abs(value).toFixed(2)} dB`;
}
