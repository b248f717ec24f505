// `kneepoint sheet`: what a scenario's amplifier reads by CW and two tones, beside its data sheet.
import { drawAmplifierCurve } from '../../../shared/figures/amplifierCurveFigure.ts';
import { toCsv } from '../../../shared/reports/csv.ts';
import { curveColumns } from '../../../shared/reports/curveColumns.ts';
import { toJson } from '../../../shared/reports/json.ts';
import { REPORT_FORMAT } from '../../../shared/schema/report.ts';
import { ENGINE_VERSION, readAmplifier } from '../../engine/index.ts';
import { readAmplifierBench } from '../input/amplifierBench.ts';
import { writeOut } from '../input/files.ts';
import { writeAll } from '../output/folder.ts';
import { tellNotes, tellWarnings } from '../output/messages.ts';
import { sheetText } from '../output/sheetText.ts';
import { EXIT, type ExitCode, type Session, UnusableInput } from '../session.ts';

export interface SheetOptions {
  readonly set: readonly string[];
  readonly polynomial?: string;
  readonly orderLimit?: number;
  readonly memoryDepth?: number;
  readonly json?: true;
  readonly out?: string;
}

const HIGHEST_ORDER = 9;
const MEMORY_DEPTH = 4;

export function sheet(session: Session, name: string | undefined, options: SheetOptions): ExitCode {
  const source = readAmplifierBench(session, name, options.set);
  const wish =
    options.polynomial === undefined
      ? null
      : { highestOrder: options.orderLimit ?? HIGHEST_ORDER, memoryDepth: options.memoryDepth ?? MEMORY_DEPTH };
  const outcome = readAmplifier(source.input, source.records, wish);
  if (outcome.kind === 'invalid') throw new UnusableInput(source.name, outcome.issues);
  const { kind: _, curve, settings, title, ...reading } = outcome;
  if (options.out !== undefined) {
    const { label, readBack } = outcome;
    writeAll(session, options.out, {
      'curve.csv': toCsv(curveColumns(curve)),
      'curve.svg': drawAmplifierCurve({ title: `${title}: the amplifier by CW`, label, curve, readBack, settings }),
    });
  }
  if (options.polynomial !== undefined && outcome.polynomial !== null) {
    writeOut(session, options.polynomial, toJson(outcome.polynomial.settings));
  }
  const kneepoint = { version: ENGINE_VERSION, format: REPORT_FORMAT };
  session.stdout(options.json ? toJson({ kneepoint, amplifier: reading }) : sheetText(outcome));
  tellNotes(session, source.notes);
  tellWarnings(session, outcome.warnings);
  return EXIT.result;
}
