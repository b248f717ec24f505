// A predistorter sent in the words of its logic, and what that costs against double precision.
//
// Coefficients or gain tables are rounded where the predistorter is applied, the drive where it enters the transmitter
// (after the ceiling). Learning is in double precision; the level is searched again, so both outputs have the same power.
import type { NumbersReport } from '../../../shared/schema/report.ts';
import type { NumberFormatSettings, PredistorterSettings } from '../../../shared/schema/scenario.ts';
import type { Regressors } from '../basis/regressors.ts';
import type { ComplexSignal } from '../dsp/complex.ts';
import { addScaled, leastSquaresGain, meanPower } from '../dsp/complex.ts';
import { powerRatioToDb } from '../dsp/decibels.ts';
import { applyGainTables, gainTablesOf, quantiseCoefficients, quantiseDrive } from '../linearization/numbers.ts';
import type { Setup } from './checkScenario.ts';
import { structureOf } from './structure.ts';

/** The same functions, applied with rounded coefficients, or through gain tables up to amplitude `reach`. */
export function inWords(
  structure: Regressors,
  settings: PredistorterSettings,
  numbers: NumberFormatSettings,
  reach: number,
): Regressors {
  const { tableEntryCount: entryCount, tableInterpolation: interpolation } = numbers;
  if (settings.kind === 'envelopeTable' || entryCount === 'none') {
    return { ...structure, apply: (c, x) => structure.apply(quantiseCoefficients(c, numbers), x) };
  }
  const terms = structureOf(settings);
  const apply = (c: ComplexSignal, x: ComplexSignal) => {
    const tables = gainTablesOf(terms, c, { entryCount, interpolation, range: reach });
    return applyGainTables({ ...tables, entries: quantiseCoefficients(tables.entries, numbers) }, x);
  };
  return { ...structure, apply };
}

/** The setup whose amplifier gets its drive in a word. */
export function behindDriveWord(setup: Setup, numbers: NumberFormatSettings, ceiling: number): Setup {
  const { amplifier } = setup;
  const amplify = (drive: ComplexSignal) => amplifier.amplify(quantiseDrive(drive, numbers, ceiling));
  return { ...setup, amplifier: { ...amplifier, amplify } };
}

/** What the words cost: both outputs at the same mean power. Null where no power was reached. */
export function numbersReport(
  double: { readonly drive: ComplexSignal; readonly aclrDb: number | null },
  rounded: { readonly drive: ComplexSignal; readonly aclrDb: number | null },
): NumbersReport {
  const { aclrDb } = rounded;
  const lossDb = double.aclrDb === null || aclrDb === null ? null : double.aclrDb - aclrDb;
  const gain = leastSquaresGain(double.drive, rounded.drive);
  const error = addScaled(rounded.drive, { re: -gain.re, im: -gain.im }, double.drive);
  const errorDb = powerRatioToDb(meanPower(error) / meanPower(rounded.drive));
  return { lossDb, aclrDoubleDb: double.aclrDb, aclrDb, errorDb };
}
