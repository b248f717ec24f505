// What `--fail-on-limit` asks of a study: is its question answered within the limits?
import { formatEngineering } from '../../../shared/format/numbers.ts';
import type { StudyReport } from '../../engine/index.ts';

/** Why the study's limits are missed, in words; null when they are met. */
export function missedLimits(report: StudyReport): string | null {
  const { result, scenario } = report;
  const used = scenario.predistorter === null ? 'uncorrected' : 'corrected';
  switch (result.kind) {
    case 'ladder':
      return result.unmet.some(({ of }) => of === used)
        ? `no output back-off within the range meets all limits, ${used}`
        : null;
    case 'shape':
      return result.best === null ? 'no target meets all limits within the EVM budget' : null;
    case 'map':
      return result.ringed === null ? 'no structure keeps the wanted margin' : null;
    case 'ask': {
      const own = result.ownSaturatedPowerDbm;
      const reached = result.options.some((option) => option.withinEvmBudget && option.neededSaturatedPowerDbm <= own);
      return reached ? null : 'the scenario’s amplifier gives the wanted power in no way within the limits';
    }
    case 'tones': {
      if (result.refusal !== null) return 'the levels allow no single intercept';
      const missed = result.limits.filter(({ toneBackoffDb }) => toneBackoffDb === null);
      return missed.length === 0 ? null : `no level read keeps ${missed.map(({ limit }) => limit).join(', ')}`;
    }
    case 'burst': {
      const open = result.bursts.filter(({ settledAfterSymbols }) => settledAfterSymbols === null);
      if (open.length === 0) return null;
      const silences = open.map(({ silenceS }) => formatEngineering(silenceS, 's')).join(', ');
      return `after ${silences} of silence the burst does not settle under ${result.evmWithinPercent} %`;
    }
    case 'hold': {
      const failing = result.cells.filter(({ reading }) => (reading?.worstMarginDb ?? 0) < 0);
      if (failing.length === 0) return null;
      const name = (index: number) => result.conditions[index]?.label ?? '';
      const cells = failing.map(({ trainedOn, usedOn }) => `${name(trainedOn)} at ${name(usedOn)}`);
      return `frozen coefficients miss a limit in ${failing.length} of ${result.cells.length} cells: ${cells.join(', ')}`;
    }
    case 'path':
      return result.knee === null ? 'no value of the varied figure could be judged' : null;
    case 'spread': {
      const failing = result.readings.filter(({ of, marginDb }) => of === used && marginDb < 0);
      return failing.length === 0 ? null : `the ${used} output fails ${failing.map(({ limit }) => limit).join(', ')}`;
    }
  }
}
