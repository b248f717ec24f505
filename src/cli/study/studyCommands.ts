// The studies' commands and their options.
import type { Command } from 'commander';
import { presetNames } from '../../../shared/presets/index.ts';
import { HOLD_AXES } from '../../../shared/schema/holdQuestion.ts';
import { PATH_PARAMETERS, type QuestionKind } from '../../../shared/schema/study.ts';
import { studyNames } from '../../../shared/studies/index.ts';
import { runStudy, type StudyOptions } from '../commands/study.ts';
import { LIMITS_TEXT } from '../input/limitSet.ts';
import {
  collect,
  parseCount,
  parseDb,
  parseFrequencies,
  parseFrequency,
  parseNumbers,
  parsePathValues,
  parsePercent,
  parsePower,
  parseStructures,
  parseTimes,
} from '../input/quantities.ts';
import { defaultStudy } from '../input/study.ts';
import type { ExitCode, Session } from '../session.ts';

type Done = (code: ExitCode) => void;

interface RangeOptions {
  readonly from?: number;
  readonly to?: number;
  readonly step?: number;
}

const rangeOf = ({ from, to, step }: RangeOptions) => ({ outputBackoff: { fromDb: from, toDb: to, stepDb: step } });

export function addStudyCommands(program: Command, session: Session, done: Done): void {
  const add = <Options>(
    kind: QuestionKind,
    description: string,
    changesOf: (options: Options) => Readonly<Record<string, unknown>>,
  ): Command =>
    studyCommand(program, kind, description).action(async (name: string, options: StudyOptions & Options) =>
      done(await runStudy(session, kind, name, options, changesOf(options))),
    );
  withRange(
    add<RangeOptions>('ladder', 'how much output back-off: ACLR and EVM against it, each limit’s least', rangeOf),
  );
  withRange(
    withTargets(
      add<RangeOptions & { targets?: number[] }>(
        'shape',
        'which crest factor: EVM spent against average power gained',
        (options) => ({ ...rangeOf(options), targetPaprDb: options.targets }),
      ),
    ),
  );
  add<{ orders?: number[]; depths?: number[]; margin?: number; clock?: number }>(
    'map',
    'which order: nonlinear order against memory depth, with the cost of each',
    ({ orders, depths, margin, clock }) => ({
      highestOrders: orders,
      memoryDepths: depths,
      wantedMarginDb: margin,
      clockHz: clock,
    }),
  )
    .option('--orders <list>', 'highest orders, such as 3,5,7,9', parseNumbers)
    .option('--depths <list>', 'memory depths, such as 1,2,3', parseNumbers)
    .option('--margin <dB>', 'margin to every limit that the cheapest structure must keep', parseDb)
    .option('--clock <frequency>', 'clock of the logic, such as 245.76MHz: counts its multipliers', parseFrequency);
  withRange(
    withTargets(
      add<RangeOptions & { targets?: number[]; power?: number; structures?: object[] }>(
        'ask',
        'the reverse question: which amplifier, crest factor and structure for a wanted clean power',
        ({ power, targets, structures, ...range }) => ({
          ...rangeOf(range),
          wantedAntennaMeanDbm: power,
          targetPaprDb: targets,
          structures,
        }),
      )
        .option('--power <power>', 'mean power wanted at the antenna port, such as "36.5 dBm" or "4.5 W"', parsePower)
        .option('--structures <list>', 'structures as order x taps, such as 9x3,7x3', parseStructures),
    ),
  );
  add<{ seeds?: number; units?: number }>(
    'spread',
    'how firm: the verdicts over seeds, and over amplifiers of one production line',
    ({ seeds, units }) => ({ seedCount: seeds, unitCount: units }),
  )
    .option('--seeds <number>', 'runs with other records on the same amplifier', parseCount)
    .option('--units <number>', 'amplifiers drawn from the production spread; 0 leaves this part out', parseCount);
  addTones(add);
  addBurst(add);
  addPath(add);
  addHold(add);
}

interface TonesOptions extends RangeOptions {
  readonly spacing?: number;
  readonly spacings?: number[];
  readonly level?: number;
  readonly withCorrection?: true;
}

type AddStudy = <Options>(
  kind: QuestionKind,
  description: string,
  changesOf: (options: Options) => Readonly<Record<string, unknown>>,
) => Command;

function addTones(add: AddStudy): void {
  add<TonesOptions>(
    'tones',
    'which intercept: two-tone products against level and spacing, both sides',
    ({ from, to, step, spacing, spacings, level, withCorrection }) => ({
      toneBackoff: { fromDb: from, toDb: to, stepDb: step },
      toneSpacingHz: spacing,
      spacingsHz: spacings,
      spacingToneBackoffDb: level,
      withCorrection,
    }),
  )
    .option('--from <dB>', 'highest level: one tone this far below saturated power', parseDb)
    .option('--to <dB>', 'lowest level: one tone this far below saturated power', parseDb)
    .option('--step <dB>', 'grid of the levels', parseDb)
    .option('--spacing <Hz>', 'distance of the two tones while the level changes', parseFrequency)
    .option('--spacings <list>', 'distances tried at one level, such as 100kHz,1MHz', parseFrequencies)
    .option('--level <dB>', 'one tone this far below saturated power while the distance changes', parseDb)
    .option('--with-correction', 'learn a correction on each pair of tones as well');
}

function addBurst(add: AddStudy): void {
  add<{ silences?: number[]; records?: number; within?: number }>(
    'burst',
    'how a burst starts: EVM symbol by symbol after a silence in which heat and traps relax',
    ({ silences, records, within }) => ({
      silencesS: silences,
      recordCount: records,
      evmWithinPercent: within,
    }),
  )
    .option('--silences <list>', 'times off before the burst, such as 0.2ms,5ms', parseTimes)
    .option('--records <number>', 'records with other seeds that every symbol is averaged over', parseCount)
    .option('--within <percent>', 'settled: EVM without shaping stays under this', parsePercent);
}

function addPath(add: AddStudy): void {
  add<{ vary?: string; values?: string; within?: number }>(
    'path',
    'how good an observation path: correction against one figure of it, and where more stops helping',
    ({ vary, values, within }) => ({
      parameter: vary,
      values: values === undefined ? undefined : parsePathValues(values),
      withinDb: within,
    }),
  )
    .option('--vary <figure>', `what is varied: ${Object.keys(PATH_PARAMETERS).join(', ')}`)
    .option('--values <list>', 'values tried, such as 10MHz,20MHz or 25,40 or -8ns,0,8ns')
    .option('--within <dB>', 'good enough: ACLR within this of the best value’s', parseDb);
}

function addHold(add: AddStudy): void {
  add<{ axis?: string; values?: string; sets?: number[]; warmPasses?: number; trainedOn?: string }>(
    'hold',
    'does it hold: coefficients frozen while level, drift, load, channel or signal change, against learning again',
    ({ axis, values, sets, warmPasses, trainedOn }) => ({
      axis,
      values: values === undefined ? undefined : parsePathValues(values),
      setCounts: sets,
      warmPassCount: warmPasses,
      trainedOn,
    }),
  )
    .option('--axis <what>', `what changes: ${HOLD_AXES.join(', ')}`)
    .option('--values <list>', 'values tried, such as -6,0,1,2 (dB) or 225MHz,400MHz')
    .option('--sets <list>', 'numbers of coefficient sets stored over the channels, such as 1,2,4', parseNumbers)
    .option('--warm-passes <number>', 'passes that go on from each channel’s stored set; 0 leaves them out', parseCount)
    .option('--trained-on <which>', 'each condition, or the scenario’s own only');
}

function studyCommand(program: Command, kind: QuestionKind, description: string): Command {
  const what = `a ready-made study (${studyNames.join(', ')}), a preset (${presetNames.join(', ')}), a study file or a scenario file, or - for standard input`;
  return program
    .command(kind)
    .description(description)
    .argument('[STUDY]', what, defaultStudy(kind))
    .option('--set <path=value>', 'replace a field of the scenario; may be repeated', collect, [])
    .option('--limits <SET>', LIMITS_TEXT)
    .option('--workers <number>', 'worker threads (default: one a core, less one)', parseCount)
    .option('--store <FILE>', 'keep each result in this file (JSON Lines) and compute nothing twice')
    .option('--json', 'print the study’s report as JSON')
    .option('--out <DIR>', 'write report.json, table.csv, the pictures and report.html there')
    .option('--fail-on-limit', 'end with code 1 when the question has no answer within the limits');
}

function withRange(command: Command): Command {
  return command
    .option('--from <dB>', 'smallest output back-off tried', parseDb)
    .option('--to <dB>', 'largest output back-off tried', parseDb)
    .option('--step <dB>', 'grid of the output back-off; answers are found between its points', parseDb);
}

function withTargets(command: Command): Command {
  return command.option('--targets <list>', 'crest-factor targets in dB, such as 7,8,9', parseNumbers);
}
