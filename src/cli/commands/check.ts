// `kneepoint check`: is this scenario sound, and what does it resolve to? Nothing is run.
import { formatEngineering } from '../../../shared/format/numbers.ts';
import { structureText } from '../../../shared/format/predistorterText.ts';
import { toJson } from '../../../shared/reports/json.ts';
import { checkScenario, type Scenario } from '../../engine/index.ts';
import { readScenario } from '../input/scenario.ts';
import { tellWarnings } from '../output/messages.ts';
import { formatLines } from '../output/table.ts';
import { EXIT, type ExitCode, type Session, UnusableInput } from '../session.ts';

export function check(
  session: Session,
  name: string | undefined,
  options: { set: readonly string[]; json?: true },
): ExitCode {
  const source = readScenario(session, name, options.set);
  const outcome = checkScenario(source.input);
  if (outcome.kind === 'invalid') throw new UnusableInput(source.name, outcome.issues);
  session.stdout(options.json ? toJson(outcome.scenario) : summarize(outcome.scenario));
  tellWarnings(session, outcome.warnings);
  return EXIT.result;
}

function summarize(scenario: Scenario): string {
  const { waveform, amplifier, operatingPoint, predistorter, seeds, limits } = scenario;
  const hz = (value: number) => formatEngineering(value, 'Hz', 6);
  const carriers = waveform.carriers.map((carrier) =>
    carrier.kind === 'ofdm'
      ? `${carrier.standard.toUpperCase()} ${hz(carrier.channelBandwidthHz)} ${carrier.modulation} at ${hz(carrier.offsetHz)}`
      : `noise ${hz(carrier.occupiedBandwidthHz)} at ${hz(carrier.offsetHz)}`,
  );
  const rate = waveform.sampleRateHz === 'auto' ? 'auto' : hz(waveform.sampleRateHz);
  const point = Object.entries(operatingPoint).map(([key, value]) => `${key} ${value}`);
  const model = amplifier.model.kind === 'published' ? `published ${amplifier.model.id}` : amplifier.model.kind;
  const correction =
    predistorter === null ? 'none' : `${structureText(predistorter)}, ${predistorter.learning.passCount} passes`;
  const rows = [
    ['carriers', carriers.join('; ')],
    ['sample rate', rate],
    ['amplifier', model],
    ['operating point', point.join(', ')],
    ['predistorter', correction],
    ['seeds', `judging ${seeds.judging}, training ${seeds.training}, selection ${seeds.selection}`],
    ['limits', limits.length === 0 ? 'none' : limits.map(limitText).join('; ')],
  ];
  return `${scenario.title}: the scenario is sound\n\n${formatLines(rows)}`;
}

function limitText(limit: Scenario['limits'][number]): string {
  return limit.reading === 'aclr'
    ? `ACLR ${limit.channel} at least ${limit.requiredDb} dB`
    : `EVM at most ${limit.requiredPercent} %`;
}
