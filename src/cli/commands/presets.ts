// `kneepoint presets`: the ready-made scenarios.
import { DEFAULT_PRESET, presetNames, presets } from '../../../shared/presets/index.ts';
import { toJson } from '../../../shared/reports/json.ts';
import { formatLines } from '../output/table.ts';
import { EXIT, type ExitCode, type Session } from '../session.ts';

export function listPresets(session: Session, options: { json?: true }): ExitCode {
  const list = presetNames.map((name) => {
    const { title = '', story = '' } = presets[name] ?? {};
    return { name, title, story, isDefault: name === DEFAULT_PRESET };
  });
  const rows = list.map(({ name, title, story }) => [name, title, firstSentence(story)]);
  session.stdout(options.json ? toJson(list) : formatLines(rows));
  return EXIT.result;
}

/** Up to the first full stop or question mark that ends a sentence, not the one in "3.46 GHz". */
function firstSentence(story: string): string {
  return /^.*?[.?!](?=\s|$)/.exec(story)?.[0] ?? story;
}
