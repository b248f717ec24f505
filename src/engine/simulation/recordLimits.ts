// Channels and masks of a record's spectrum, and the limits they are held against.
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import type { AclrRule } from '../../../shared/schema/measurement.ts';
import type { AclrReading, MaskReading, Verdict } from '../../../shared/schema/report.ts';
import type { LimitSettings } from '../../../shared/schema/scenario.ts';
import { limitSetFor } from '../../../shared/tables/limitSets.ts';
import { formatHz, megahertz } from '../dsp/frequencyText.ts';
import { isInsideAxis, type PowerSpectrum } from '../dsp/spectrum.ts';
import { type AclrChannel, channelPlaces, channelSpanHz, measureAclr } from '../measurement/aclr.ts';
import { type MaskScale, measureMask } from '../measurement/emissionMask.ts';
import { levelPieces, maskReference } from '../measurement/maskGeometry.ts';
import { type MaskLine, maskLines } from '../measurement/maskLines.ts';
import { filterSpanHz } from '../measurement/measuringFilter.ts';
import { channelsForRule } from './channelPlan.ts';
import { isRelative, type RecordSettings } from './checkRecord.ts';
import type { RecordChannels } from './recordChannels.ts';
import type { RecordReport } from './recordReport.ts';
import { judge, unjudged } from './verdicts.ts';

/** As in the report of a run, but null where the channel does not exist at the record's rate. */
export type RecordAclrReading = Omit<AclrReading, 'aclrDb'> & { readonly aclrDb: number | null };

/** As in the report of a run; a record is one output only. */
export type RecordVerdict = Omit<Verdict, 'of'>;

export interface RecordScale {
  /** dBm of |x|² = 1 at the antenna port; null without a stated power. */
  readonly unitDbm: number | null;
  /** The same for masks; relative to the mean power without a stated one. */
  readonly mask: MaskScale;
}

/** The one carrier that a record is taken for. */
function carrierOf({ centreHz, ownBandwidthHz, spacingHz }: RecordChannels) {
  return { offsetHz: centreHz, occupiedBandwidthHz: ownBandwidthHz, channelBandwidthHz: spacingHz };
}

function channelsOf(channels: RecordChannels, rule: AclrRule | null): AclrChannel[] {
  if (rule !== null) return channelsForRule(rule, [carrierOf(channels)]);
  const { spacingHz, neighbourBandwidthHz: bandwidthHz } = channels;
  return [
    { name: 'adjacent', offsetHz: spacingHz, bandwidthHz },
    { name: 'alternate', offsetHz: 2 * spacingHz, bandwidthHz },
  ];
}

/** What a record is held against, and where it is measured for it. */
export interface RecordLimits {
  readonly limits: readonly LimitSettings[];
  readonly rule: AclrRule | null;
  readonly notes: readonly string[];
}

/** The limits given and those of the set; or why the set does not fit the record. */
export function limitsOf(settings: RecordSettings, channels: RecordChannels): RecordLimits | Issue[] {
  const { limits = [], limitSet = null } = settings;
  const rule = settings.channels?.rule ?? null;
  if (limitSet === null) return { limits, rule, notes: [] };
  const record = { kind: 'record', standard: null, relativePowerDb: 0, modulation: null, symbolRateHz: null } as const;
  const made = limitSetFor(limitSet, {
    carriers: [{ ...record, ...carrierOf(channels) }],
    carrierFrequencyHz: settings.centreFrequencyHz ?? null,
    antennaMeanDbm: settings.meanPowerDbm ?? null,
  });
  if (made.kind === 'invalid') return made.issues.map(ofRecord);
  const ofSet = typeof made.channels === 'string' && made.channels !== 'auto' ? made.channels : null;
  return { limits: [...made.limits, ...limits], rule: rule ?? ofSet, notes: made.notes };
}

/** A set speaks of scenarios; the same of a record. */
function ofRecord(issue: Issue): Issue {
  const path = issue.path.replace(/^waveform\.carriers\.0\./, 'channels.');
  const remedy = path === 'channels.channelBandwidthHz' ? `${issue.remedy}: state the channel’s spacing` : issue.remedy;
  return { ...issue, path, remedy };
}

/** Every channel of the rule, or adjacent and alternate; null where it lies outside the record. */
export function readChannels(
  spectrum: PowerSpectrum,
  sampleRateHz: number,
  channels: RecordChannels,
  rule: AclrRule | null,
  { unitDbm }: RecordScale,
): { readonly readings: readonly RecordAclrReading[]; readonly warnings: readonly Warning[] } {
  const wanted = channelsOf(channels, rule);
  const { centreHz, ownBandwidthHz } = channels;
  const ownSpanHz = Math.max(ownBandwidthHz, ...wanted.map(({ own }) => (own === undefined ? 0 : filterSpanHz(own))));
  const warnings: Warning[] = [];
  const ownIsInside = isInsideAxis(sampleRateHz, centreHz, ownSpanHz);
  if (!ownIsInside) {
    const own = `${megahertz(centreHz)} ±${megahertz(ownSpanHz / 2)} MHz`;
    const message = `The own channel ${own} does not fit into ±${megahertz(sampleRateHz / 2)} MHz; no ACLR is given. State the channel’s bandwidth.`;
    warnings.push({ code: 'own-channel-outside', message });
  }
  const carriers = [carrierOf(channels)];
  const { readings } = ownIsInside
    ? measureAclr(spectrum, sampleRateHz, carriers, wanted, unitDbm)
    : { readings: [] as AclrReading[] };
  const outside = new Set<AclrChannel>();
  const aclr = channelPlaces(sampleRateHz, carriers, wanted).map(({ channel, side, centreHz: at }) => {
    const found = readings.find((one) => one.channel === channel.name && one.side === side);
    if (found !== undefined) return found;
    outside.add(channel);
    return withoutReading(channel, side, at);
  });
  if (ownIsInside) for (const channel of outside) warnings.push(outsideWarning(channel, centreHz, sampleRateHz));
  return { readings: aclr, warnings };
}

function withoutReading(channel: AclrChannel, side: AclrReading['side'], centreHz: number): RecordAclrReading {
  const { name, offsetHz, bandwidthHz, filter = 'square' } = channel;
  const nothing = { aclrDb: null, spreadDb: null, densityDbmPerMHz: null, limitedBy: null };
  return { channel: name, side, offsetHz, centreHz, bandwidthHz, filter, ...nothing };
}

/** A channel at offset D whose filter spans W needs fs ≥ 2·(|centre| + D) + W. */
function outsideWarning(channel: AclrChannel, centreHz: number, sampleRateHz: number): Warning {
  const spanHz = channelSpanHz(channel);
  const needed = 2 * (Math.abs(centreHz) + channel.offsetHz) + spanHz;
  const place = `${megahertz(channel.offsetHz)} ±${megahertz(spanHz / 2)} MHz from the carrier`;
  const message =
    `The ${channel.name} channel, ${place}, lies outside ±${megahertz(sampleRateHz / 2)} MHz and is not in the record; ` +
    `no ACLR is given. It needs a sample rate of at least ${megahertz(needed)} MHz.`;
  return { code: 'channel-outside-rate', message };
}

/** Every mask among the limits; one whose bins are too wide, or that lies outside the record, is told. */
export function readMasks(
  spectrum: PowerSpectrum,
  sampleRateHz: number,
  channels: RecordChannels,
  limits: readonly LimitSettings[],
  scale: RecordScale,
): { readonly readings: readonly MaskReading[]; readonly warnings: readonly Warning[] } {
  const warnings: Warning[] = [];
  const readings = limits.flatMap((limit) => {
    if (limit.reading !== 'mask' || (scale.unitDbm === null && !isRelative(limit))) return [];
    const found = measureMask(spectrum, sampleRateHz, [carrierOf(channels)], limit, scale.mask);
    const { reading, unresolvedBandwidthHz } = found;
    if (unresolvedBandwidthHz !== null) {
      const message = `Parts of ${limit.name} ask for a measuring bandwidth of ${formatHz(unresolvedBandwidthHz)}, narrower than the spectrum’s bins of ${formatHz(spectrum.binWidthHz)}; they are not judged. Take longer segments.`;
      warnings.push({ code: 'mask-resolution', message });
    }
    if (reading !== null && !reading.isComplete && unresolvedBandwidthHz === null) {
      const message = `${limit.name} is judged to ${formatHz(reading.judgedToHz)} only: the record shows no more on both sides.`;
      warnings.push({ code: 'mask-incomplete', message });
    }
    return reading === null ? [] : [reading];
  });
  return { readings, warnings };
}

/** A mask as a line on the record's spectrum: dBfs in the resolution bandwidth. */
export interface RecordMaskLine extends MaskLine {
  readonly label: string;
}

/** The lines of every mask that was read. */
export function maskLinesOf(
  spectrum: PowerSpectrum,
  sampleRateHz: number,
  channels: RecordChannels,
  limits: readonly LimitSettings[],
  { unitDbm, mask: scale }: RecordScale,
): RecordMaskLine[] {
  return limits.flatMap((limit) => {
    if (limit.reading !== 'mask' || (unitDbm === null && !isRelative(limit))) return [];
    const pieces = levelPieces(limit, scale.meanDbm);
    const reference = maskReference([carrierOf(channels)], limit.measuredFrom);
    const lines = maskLines(pieces, reference, sampleRateHz, spectrum.resolutionBandwidthHz);
    return lines.map(({ fromHz, toHz, level, toLevel }) => ({
      label: limit.name,
      fromHz,
      toHz,
      level: level - scale.unitDbm,
      toLevel: toLevel - scale.unitDbm,
    }));
  });
}

type Judged = Pick<
  RecordReport,
  'aclr' | 'masks' | 'notch' | 'twoTone' | 'occupiedBandwidthHz' | 'reference' | 'meanPowerDbm'
>;

/** Every limit against its reading, worst margin first. Nothing is known of the source's own notch. */
export function recordVerdicts(
  record: Judged,
  limits: readonly LimitSettings[],
): { readonly verdicts: readonly RecordVerdict[]; readonly warnings: readonly Warning[] } {
  const { aclr, masks, notch, twoTone, occupiedBandwidthHz, reference } = record;
  const output = {
    aclr: aclr.filter((reading): reading is AclrReading => reading.aclrDb !== null),
    masks,
    slots: [],
    occupiedBandwidthHz,
    notch: notch && { ratioDb: notch.ratioDb, sourceRatioDb: Infinity },
    evm: reference && { rmsPercent: reference.evm.rmsPercent },
    twoTone: twoTone && {
      tones: twoTone.tones.map(({ side, levelDbfs }) => ({ side, levelDb: levelDbfs })),
      products: twoTone.products.flatMap(({ order, side, ratioDb }) =>
        ratioDb === null ? [] : [{ order, side, ratioDb }],
      ),
    },
  };
  const verdicts = judge('uncorrected', output, limits).map(({ of: _of, ...verdict }) => verdict);
  return { verdicts, warnings: unjudged(output, limits) };
}
