// What the power model of the studies takes when the scenario leaves it to the amplifier model: class, efficiency factor
// and quiescent current usual for it, each with where that comes from. Settings override field by field.
//
// The factors stand for what the trade reads on such devices at saturation (knee voltage, losses in the output network, at
// millimetre waves mostly the transistor's own limits), as drain efficiency over the ideal class. None is of a product.
import type {
  AmplifierModelSettings,
  AmplifierSettings,
  PowerClass,
  PowerModelSettings,
} from '../../../shared/schema/scenario.ts';

export interface PowerModel {
  readonly class: PowerClass;
  /** Real over ideal drain efficiency: 0.1 … 1. */
  readonly efficiencyFactor: number;
  /** Bias over peak device current: 0 … 0.5; used in class AB only. */
  readonly quiescentRatio: number;
}

/** What is usual for an amplifier model, and why. */
export interface PowerDefault extends PowerModel {
  readonly source: string;
}

export interface ResolvedPower extends PowerModel {
  /** Where class, factor and quiescent current come from, one sentence part. */
  readonly source: string;
  /** What the amplifier model would take by itself. */
  readonly ofModel: PowerDefault;
}

const PRACTICE = 'common practice, no source';
/** Used when class AB is stated for a model whose own class is another. */
const USUAL_QUIESCENT = 0.1;

function usual(
  name: PowerClass,
  why: string,
  efficiencyFactor = 1,
  quiescentRatio = USUAL_QUIESCENT,
  source = PRACTICE,
): PowerDefault {
  return { class: name, efficiencyFactor, quiescentRatio, source: `${why}: ${source}` };
}

const GENERIC = usual('B', 'its devices are not known, so the ideal single device of a linear amplifier');

const BY_KIND: Readonly<Partial<Record<AmplifierModelSettings['kind'], PowerDefault>>> = {
  saleh: usual('A', 'travelling-wave tube, whose beam current hardly follows the drive'),
  rapp: usual('AB', 'solid-state amplifier'),
  modifiedRapp: usual('AB', 'solid-state amplifier'),
  ghorbani: usual('A', 'field-effect transistors of satellite and radio relay amplifiers of that time'),
};

type SheetClass = Extract<AmplifierModelSettings, { kind: 'dataSheet' }>['class'];

const BY_SHEET_CLASS: Readonly<Record<SheetClass, PowerDefault>> = {
  classA: usual('A', 'the data sheet’s class'),
  classABSoft: usual('AB', 'the data sheet’s class'),
  gainExpansion: usual('AB', 'gain that rises first tells of little bias', 1, 0.05),
  twoDevice: usual('twoDevice', 'the data sheet’s class'),
};

const GALLIUM_NITRIDE = usual('AB', 'GaN at 2 GHz, little bias, about 65 % at saturation', 0.85, 0.05);
const GALLIUM_ARSENIDE = usual('AB', 'GaAs at 2 GHz, about 55 % at saturation', 0.72);
const CMOS_28GHZ = usual('AB', 'CMOS at 28 GHz, about 35 % at saturation', 0.46);
const GALLIUM_NITRIDE_28GHZ = usual('AB', 'GaN at 28 GHz, about 35 % at saturation', 0.46);
const DING = usual('AB', 'measured on a class AB amplifier', 1, USUAL_QUIESCENT, 'Ding et al. 2004, from memory');

const BY_PUBLISHED_ID: Readonly<Record<string, PowerDefault>> = {
  GaAs_2GHz: GALLIUM_ARSENIDE,
  GaN_2GHz: GALLIUM_NITRIDE,
  CMOS_28GHz: CMOS_28GHZ,
  GaN_28GHz: GALLIUM_NITRIDE_28GHZ,
  GaAs_2GHz_GMP: GALLIUM_ARSENIDE,
  GaN_2GHz_GMP: GALLIUM_NITRIDE,
  CMOS_28GHz_GMP: CMOS_28GHZ,
  GaN_28GHz_GMP: GALLIUM_NITRIDE_28GHZ,
  'UE_4GHz_R4-163314': usual('AB', 'handset amplifier, about 50 % at saturation', 0.66),
  'mmwave_modified_Rapp_R4-163314': usual('AB', 'millimetre-wave array element, about 35 % at saturation', 0.46),
  'IEEE_802.11ad_60GHz_modified_Rapp': usual('AB', 'CMOS at 60 GHz, about 20 % at saturation', 0.26),
  Saleh_1981_TWT: usual('A', 'travelling-wave tube, whose beam current hardly follows the drive'),
  Ding_2004: DING,
  Ding_2004_Wiener_Hammerstein: DING,
};

/** What is usual for this amplifier model; the generic class B where nothing is known of it. */
export function powerDefaultOf(model: AmplifierModelSettings): PowerDefault {
  if (model.kind === 'dataSheet') return BY_SHEET_CLASS[model.class];
  if (model.kind === 'published') return BY_PUBLISHED_ID[model.id] ?? GENERIC;
  return BY_KIND[model.kind] ?? GENERIC;
}

/**
 * The power model of an amplifier, nothing left "ofModel". A stated value that is the model's own counts as the model's,
 * so that a resolved scenario tells the same source again.
 */
export function resolvePower({ model, power }: Pick<AmplifierSettings, 'model' | 'power'>): ResolvedPower {
  const ofModel = powerDefaultOf(model);
  const used: PowerModel = {
    class: power.class === 'ofModel' ? ofModel.class : power.class,
    efficiencyFactor: power.efficiencyFactor === 'ofModel' ? ofModel.efficiencyFactor : power.efficiencyFactor,
    quiescentRatio: power.quiescentRatio === 'ofModel' ? ofModel.quiescentRatio : power.quiescentRatio,
  };
  return { ...used, source: sourceOf(used, ofModel), ofModel };
}

/** The power section of a scenario with what was used written in. */
export function resolvedPowerSettings(amplifier: Pick<AmplifierSettings, 'model' | 'power'>): PowerModelSettings {
  const { class: name, efficiencyFactor, quiescentRatio } = resolvePower(amplifier);
  return { ...amplifier.power, class: name, efficiencyFactor, quiescentRatio };
}

function sourceOf(used: PowerModel, ofModel: PowerDefault): string {
  const stated = [
    ...(used.class === ofModel.class ? [] : ['class']),
    ...(used.efficiencyFactor === ofModel.efficiencyFactor ? [] : ['efficiency factor']),
    ...(used.class === 'AB' && used.quiescentRatio !== ofModel.quiescentRatio ? ['quiescent current'] : []),
  ];
  if (stated.length === 0) return ofModel.source;
  const own = `${stated.join(' and ')} stated in the scenario`;
  const isAllStated = stated.length === (used.class === 'AB' ? 3 : 2);
  if (isAllStated) return own;
  // Nothing is known of the devices, so what is left is the ideal: its class is not the one used.
  return ofModel === GENERIC ? `${own}; else ideal` : `${own}; else ${ofModel.source}`;
}
