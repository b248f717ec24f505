// The commands, their options and how they end.
import { Command, CommanderError, Option } from 'commander';
import { cautions } from '../../shared/cautions.ts';
import { DEFAULT_PRESET, presetNames } from '../../shared/presets/index.ts';
import { ACLR_RULES } from '../../shared/schema/measurement.ts';
import { ENGINE_VERSION } from '../engine/index.ts';
import { amplify } from './commands/amplify.ts';
import { check } from './commands/check.ts';
import { identify } from './commands/identify.ts';
import { listLimits } from './commands/limits.ts';
import { measure } from './commands/measure.ts';
import { predistort } from './commands/predistort.ts';
import { listPresets } from './commands/presets.ts';
import { run } from './commands/run.ts';
import { serve } from './commands/serve.ts';
import { sheet } from './commands/sheet.ts';
import { wave } from './commands/wave.ts';
import { LIMITS_TEXT } from './input/limitSet.ts';
import { collect, parseBand, parseCount, parseDb, parseFrequency, parseLevel, parsePower } from './input/quantities.ts';
import { tellFaults } from './output/messages.ts';
import { wrap } from './output/table.ts';
import { EXIT, type ExitCode, type Session, UnusableInput } from './session.ts';
import { addStudyCommands } from './study/studyCommands.ts';

type Action = (code: ExitCode) => void;

/** Runs one command line and returns its exit code. Never throws. */
export async function runProgram(args: readonly string[], session: Session): Promise<ExitCode> {
  let code: ExitCode = EXIT.result;
  const program = buildProgram(session, (result) => {
    code = result;
  });
  try {
    await program.parseAsync([...args], { from: 'user' });
    return code;
  } catch (error) {
    return endOf(error, session);
  }
}

function endOf(error: unknown, session: Session): ExitCode {
  if (error instanceof UnusableInput) {
    tellFaults(session, error);
    return EXIT.unusableInput;
  }
  // Commander has printed its message by now; help and version end well.
  if (error instanceof CommanderError) return error.exitCode === 0 ? EXIT.result : EXIT.unusableInput;
  const text = error instanceof Error ? (error.stack ?? error.message) : String(error);
  session.stderr(`kneepoint: internal fault, please report it with the command line and the files\n${text}\n`);
  return EXIT.internalFault;
}

function buildProgram(session: Session, done: Action): Command {
  const program = new Command('kneepoint')
    .description('Behavioural simulator and linearization explorer for RF power amplifiers.')
    .version(ENGINE_VERSION, '--version', 'print the version')
    .configureOutput({
      writeOut: session.stdout,
      writeErr: session.stderr,
      outputError: (text, write) => write(`kneepoint: ${text.replace(/^error: /, '')}`),
    })
    .showSuggestionAfterError()
    .addHelpText('after', helpEnd())
    .exitOverride();
  addScenarioCommands(program, session, done);
  addStudyCommands(program, session, done);
  addRecordCommands(program, session, done);
  program
    .command('limits')
    .description('list the limit sets and emission masks, or print what a set writes for a scenario')
    .argument('[SET]', 'a limit set; without it all are listed')
    .argument('[SCENARIO]', SCENARIO_TEXT, DEFAULT_PRESET)
    .option('--set <path=value>', 'replace a field of the scenario; may be repeated', collect, [])
    .option('--json', 'print them as JSON, as a scenario holds them')
    .action((id, scenario, options) => done(listLimits(session, id, scenario, options)));
  program
    .command('presets')
    .description('list the ready-made scenarios')
    .option('--json', 'print them as JSON')
    .action((options) => done(listPresets(session, options)));
  program
    .command('serve')
    .description('serve the page on the loopback address')
    .option('--port <number>', 'this port or none', parseCount)
    .action(async (options) => done(await serve(session, options)));
  for (const command of program.commands) {
    command.addHelpText('after', cautionText());
  }
  return program;
}

const SCENARIO_TEXT = `a preset (${presetNames.join(', ')}), a JSON file, or - for standard input`;

function scenarioCommand(program: Command, name: string, description: string): Command {
  return program
    .command(name)
    .description(description)
    .argument('[SCENARIO]', SCENARIO_TEXT, DEFAULT_PRESET)
    .option('--set <path=value>', 'replace a field; the value is JSON or text; may be repeated', collect, []);
}

function addScenarioCommands(program: Command, session: Session, done: Action): void {
  scenarioCommand(program, 'run', 'one scenario, with and without correction at the same mean output power')
    .option('--limits <SET>', LIMITS_TEXT)
    .option('--json', 'print the readings as JSON')
    .option('--traces', 'add the arrays behind the pictures to the JSON')
    .option('--checklist', 'print the lab check list in place of the figures')
    .option(
      '--out <DIR>',
      'write report.json, predistorter.json, spectrum.csv, two pictures, report.html and checklist.html there',
    )
    .option('--claim <FILE>', 'write a claim card: one HTML file that check repeats and compares')
    .option('--seeds <number>', 'give the claim its spread over as many seed sets', parseCount)
    .option('--fail-on-limit', 'end with code 1 when the output that is used misses a limit')
    .action(async (name, options) => done(await run(session, name, options)));
  scenarioCommand(program, 'check', 'check a scenario or a study without a run; repeat and compare a claim card')
    .option('--limits <SET>', LIMITS_TEXT)
    .option('--json', 'print what was found as JSON')
    .action(async (name, options) => done(await check(session, name, options)));
  scenarioCommand(program, 'wave', 'write the waveform as a SigMF record (cf32_le)')
    .addOption(
      new Option('--record <name>', 'which of the three records')
        .choices(['judging', 'training', 'selection'])
        .default('judging'),
    )
    .option('--mean <dBfs>', 'mean power of the samples; 0 dBfs is |x| = 1', parseLevel, 0)
    .option('--for <REPORT>', 'in place of --mean: the level at which this predistorter was learned')
    .option('--out <NAME>', 'name of the record (default: SCENARIO-judging here)')
    .action((name, options) => done(wave(session, name, options)));
  scenarioCommand(program, 'sheet', 'what the amplifier of a scenario, or of a file, reads beside its data sheet')
    .option('--polynomial <FILE>', 'write the model as a memory polynomial, which amplify and scenarios take')
    .option('--order-limit <number>', 'its highest order, 9 by default', parseCount)
    .option('--memory-depth <samples>', 'its delays at the scenario’s rate, 4 by default', parseCount)
    .option('--json', 'print the readings as JSON')
    .option('--out <DIR>', 'write the CW curve: curve.csv, curve.svg')
    .action((name, options) => done(sheet(session, name, options)));
}

function addRecordCommands(program: Command, session: Session, done: Action): void {
  const recordText = 'a record: SigMF by NAME, NAME.sigmf-meta or NAME.sigmf-data, or text NAME.csv';
  program
    .command('measure')
    .description(
      'spectrum, ACLR, masks, occupied bandwidth and PAPR of a record; delay, NMSE and EVM against a reference',
    )
    .argument('<RECORD>', recordText)
    .option('--reference <RECORD>', 'what was sent, at the same rate')
    .addOption(new Option('--channels <rule>', 'channels of a standard beside the own one').choices(ACLR_RULES))
    .option('--own-bandwidth <Hz>', 'integration bandwidth of the own channel', parseFrequency)
    .option('--spacing <Hz>', 'from the own channel to the adjacent one; the alternate is twice as far', parseFrequency)
    .option('--neighbour-bandwidth <Hz>', 'integration bandwidth beside it (default: the own one)', parseFrequency)
    .option('--centre <Hz>', 'centre of the own channel in the record', parseFrequency)
    .option('--limits <SET>', 'a limit set, a preset or a JSON file of limits to hold the readings against')
    .option('--mean-power <power>', 'mean power at the antenna port that the record stands for', parsePower)
    .option('--frequency <Hz>', 'carrier frequency, where the record states none', parseFrequency)
    .option('--notch <band>', 'a band that should be empty, as centre,width', parseBand)
    .option('--two-tone', 'read the two strongest lines and their products')
    .option('--segment <samples>', 'segment length of the spectrum, a power of two', parseCount)
    .option('--resolution-bandwidth <Hz>', 'sets the segment length in place of --segment', parseFrequency)
    .option('--averages <number>', 'segments averaged (default: all)', parseCount)
    .addOption(
      new Option('--window <name>', 'window of the segments')
        .choices(['blackmanHarris', 'hann', 'rectangular', 'flatTop'])
        .default('blackmanHarris'),
    )
    .option('--sample-rate <Hz>', 'of a text record that states none', parseFrequency)
    .option('--stream', 'read the record in pieces, as is done above 64 MiB or 2^23 samples')
    .option('--json', 'print the readings as JSON')
    .option('--traces', 'add the arrays behind the pictures to the JSON')
    .option('--out <DIR>', 'write report.json, spectrum.csv, spectrum.svg and ccdf.svg there')
    .option('--fail-on-limit', 'end with code 1 when the record misses a limit')
    .action(async (path, options) => done(await measure(session, path, options)));
  program
    .command('amplify')
    .description('pass a record through an amplifier model, in the model’s own drive units; never renormalised')
    .argument('<RECORD>', `${recordText}; the drive`)
    .option('--sample-rate <Hz>', 'of a text record that states none', parseFrequency)
    .requiredOption(
      '--with <MODEL>',
      'a preset, a published model, a file of a scenario, an amplifier or a model, or a CSV file of points',
    )
    .option('--out <NAME>', 'name of the record to write (default: RECORD-amplified)')
    .action((path, options) => done(amplify(session, path, options)));
  program
    .command('predistort')
    .description(
      'pass a record through a learned predistorter, in the drive units it was learned in; never renormalised',
    )
    .argument('<RECORD>', `${recordText}; the digital level`)
    .option('--sample-rate <Hz>', 'of a text record that states none', parseFrequency)
    .requiredOption(
      '--with <REPORT>',
      'report.json or predistorter.json of run --out, or a scenario with stored coefficients',
    )
    .option('--out <NAME>', 'name of the record to write (default: RECORD-predistorted)')
    .action((path, options) => done(predistort(session, path, options)));
  addIdentify(program, session, done, recordText);
}

function addIdentify(program: Command, session: Session, done: Action, recordText: string): void {
  program
    .command('identify')
    .description('an amplifier model from a drive and its observation, chosen and checked on held-out samples')
    .argument('<DRIVE>', `${recordText}; what was sent`)
    .argument('<OBSERVED>', 'what a receiver saw of the output, at the same rate and as long (within 1 %)')
    .option('--validate <records...>', 'a second drive and observation: predicted, never fitted')
    .option('--order-limit <number>', 'highest order tried, 9 by default', parseCount)
    .option('--memory-limit <samples>', 'deepest memory tried, 5 by default', parseCount)
    .option('--cross-limit <samples>', 'farthest envelope of cross terms, 2 by default; 0 for none', parseCount)
    .option('--output-power-dbm <power>', 'mean output power that the observation stands for', parsePower)
    .option('--saturated-power-dbm <power>', 'saturated power of the amplifier', parsePower)
    .option('--output-backoff-db <dB>', 'in place of one of the two powers', parseDb)
    .option('--sample-rate <Hz>', 'of text records that state none', parseFrequency)
    .option('--json', 'print the report and the model as JSON')
    .option('--traces', 'add the arrays behind the pictures to the JSON')
    .option(
      '--out <DIR>',
      'write model.json and amplifier.json, which amplify and scenarios take, readings and pictures',
    )
    .action((drive, observed, options) => done(identify(session, drive, observed, options)));
}

function helpEnd(): string {
  return `
Exit codes: 0 a result, 1 a limit is missed (only with --fail-on-limit) or a claim does not hold (check), 2 unusable
input, 3 an internal fault, 130 a study was interrupted and printed what it had.
Data go to standard output, everything else to standard error. Records are SigMF or
text (.csv); what is written is SigMF.

Examples:
  kneepoint run ${DEFAULT_PRESET}
  kneepoint run ${DEFAULT_PRESET} --set operatingPoint.outputBackoffDb=8 --out report
  kneepoint run ${DEFAULT_PRESET} --set predistorter=null --json
  kneepoint ladder ${DEFAULT_PRESET} --store results.jsonl --out ladder
  kneepoint ask ${DEFAULT_PRESET} --power "36.5 dBm"
  kneepoint measure observed --reference drive
${cautionText()}`;
}

function cautionText(): string {
  return `\nCautions:\n${cautions.map((caution) => `  ${wrap(caution, '  ')}\n`).join('')}`;
}
