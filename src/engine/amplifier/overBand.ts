// The amplifier section as it is at one frequency of its band: gain and saturated power from the straight lines between
// the points, the model likewise (overBandModels.ts). Its points are then told against that frequency, so that the
// section of a section's channel is itself.
import type { Issue } from '../../../shared/schema/issue.ts';
import { type OverBandFigures, overBandFiguresAt } from '../../../shared/schema/overBand.ts';
import type { AmplifierSettings, OverBandSettings } from '../../../shared/schema/scenario.ts';
import { modelOfPoint, modelOverBand } from './overBandModels.ts';

export type SectionOutcome =
  | { readonly kind: 'amplifier'; readonly amplifier: AmplifierSettings }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

/** The section at its channel: what runs. Without overBand the section itself. */
export function amplifierAtChannel(stated: AmplifierSettings): SectionOutcome {
  return stated.overBand === null
    ? { kind: 'amplifier', amplifier: stated }
    : amplifierAt(stated, stated.overBand.channelHz);
}

/** The section at a frequency, beyond the points as at the nearer end; issues when two neighbours have no model between. */
export function amplifierAt(stated: AmplifierSettings, frequencyHz: number): SectionOutcome {
  const { overBand, saturatedPowerDbm, gainDb } = stated;
  if (overBand === null) return { kind: 'amplifier', amplifier: stated };
  const outcome = modelOverBand(stated, overBand, frequencyHz);
  if (outcome.kind === 'invalid') return outcome;
  const figures = overBandFiguresAt(overBand.points, frequencyHz);
  const amplifier = {
    ...stated,
    model: outcome.model,
    gainDb: gainDb + figures.gainDb,
    saturatedPowerDbm: saturatedPowerDbm === null ? null : saturatedPowerDbm + figures.saturatedPowerDb,
    overBand: { channelHz: frequencyHz, points: pointsAgainst(stated, overBand.points, figures) },
  };
  return { kind: 'amplifier', amplifier };
}

type Points = OverBandSettings['points'];

/** The points against other figures than the section’s; where any has a model of its own, all state theirs. */
function pointsAgainst(stated: AmplifierSettings, points: Points, figures: OverBandFigures): Points {
  const isOneModel = points.every((point) => point.model === null);
  return points.map((point) => ({
    ...point,
    gainDb: point.gainDb - figures.gainDb,
    saturatedPowerDb: point.saturatedPowerDb - figures.saturatedPowerDb,
    model: isOneModel ? null : modelOfPoint(stated, point),
  }));
}
