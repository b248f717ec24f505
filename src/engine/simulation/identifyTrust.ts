// How far to trust an identified model, in words with numbers.
//   good: explains all but −40 dB, holds on samples it was not fitted to and, where there is one, on the second pair
//   poor: leaves −30 dB or more, or does far worse on what it was not fitted to
import type { IdentificationReport } from '../../../shared/schema/identificationReport.ts';
import type { Warning } from '../../../shared/schema/issue.ts';

const GOOD_NMSE_DB = -40;
const POOR_NMSE_DB = -30;
/** Worse than this on fresh samples is a fit to the noise, or another amplifier. */
const GOOD_LOSS_DB = 1.5;
const POOR_LOSS_DB = 6;
/** A change of the level between two pairs of one amplifier at one receiver. */
const GAIN_CHANGE_DB = 0.2;

type Judged = Omit<IdentificationReport, 'trust' | 'warnings'>;
type Level = IdentificationReport['trust']['level'];

export function judgeTrust(report: Judged): { trust: IdentificationReport['trust']; warnings: Warning[] } {
  const { chosen, validation, shares, clippedSamples, errorAclrDb } = report;
  const reasons: string[] = [];
  const warnings: Warning[] = [];
  const levels: Level[] = [];
  levels.push(grade(chosen.heldOutNmseDb, GOOD_NMSE_DB, POOR_NMSE_DB));
  reasons.push(`held-out samples are predicted to ${db(chosen.heldOutNmseDb)}`);
  const loss = chosen.heldOutNmseDb - chosen.trainingNmseDb;
  levels.push(grade(loss, GOOD_LOSS_DB, POOR_LOSS_DB));
  if (loss > GOOD_LOSS_DB) reasons.push(`${db(loss)} worse than those it was fitted to`);
  if (shares.modelErrorDb === null && shares.noiseDb !== null) reasons.push('what is left is the receiver’s noise');
  if (validation === null) {
    reasons.push('no second pair was given');
    levels.push('limited');
  } else {
    levels.push(grade(validation.differenceDb, GOOD_LOSS_DB, POOR_LOSS_DB));
    reasons.push(`the second pair is predicted to ${db(validation.nmseDb)}`);
    if (validation.differenceDb > GOOD_LOSS_DB) warnings.push(validationWarning(validation.differenceDb));
    if (Math.abs(validation.alignment.gainDb) > GAIN_CHANGE_DB) warnings.push(gainWarning(validation.alignment.gainDb));
  }
  if (clippedSamples.drive + clippedSamples.observed > 0) {
    levels.push('limited');
    reasons.push('a record was clipped');
  }
  if (errorAclrDb !== null) reasons.push(`adjacent ratios above ${db(errorAclrDb - 6)} are beyond it`);
  if (chosen.heldOutNmseDb > POOR_NMSE_DB) warnings.push(poorWarning(chosen.heldOutNmseDb));
  return { trust: { level: worst(levels), reasons }, warnings };
}

function grade(value: number, good: number, poor: number): Level {
  if (value <= good) return 'good';
  return value >= poor ? 'poor' : 'limited';
}

function worst(levels: readonly Level[]): Level {
  return levels.includes('poor') ? 'poor' : levels.includes('limited') ? 'limited' : 'good';
}

function db(value: number): string {
  return `${value.toFixed(1).replace('-', '−')} dB`;
}

function validationWarning(differenceDb: number): Warning {
  const message = `The second pair is predicted ${db(differenceDb)} worse than the held-out samples of the first: another level, another temperature or another amplifier. Identify at the level you ask about.`;
  return { code: 'validation-worse', message };
}

function gainWarning(gainDb: number): Warning {
  const message = `The second observation stands ${db(gainDb)} from the predicted level: its receiver or its amplifier was set otherwise. One gain was taken out of it.`;
  return { code: 'validation-gain', message };
}

function poorWarning(heldOutDb: number): Warning {
  const message = `No structure tried predicts held-out samples better than ${db(heldOutDb)}: noise, a drive of another record, or an amplifier that polynomials do not describe. Raise the limits of the search, or record again.`;
  return { code: 'fit-poor', message };
}
