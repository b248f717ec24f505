// Limits against readings, at the antenna port, both sides judged and the worst kept.
//
// A verdict is marginal when its margin lies within two standard deviations of the reading; the sign of the margin still
// tells on which side of the limit the reading is.

import { limitName } from '../../../shared/format/limitText.ts';
import type { Warning } from '../../../shared/schema/issue.ts';
import type { AclrReading, OutputReport, TwoToneReading, Verdict } from '../../../shared/schema/report.ts';
import type { LimitSettings } from '../../../shared/schema/scenario.ts';
import { amplitudeRatioToDb, powerRatioToDb } from '../dsp/decibels.ts';

type Of = Verdict['of'];
type LimitOf<Reading extends LimitSettings['reading']> = Extract<LimitSettings, { reading: Reading }>;

/** What limits are held against: of an output of a run, or of a record. */
export type JudgedOutput = Pick<OutputReport, 'aclr' | 'masks' | 'slots' | 'occupiedBandwidthHz'> & {
  readonly evm: Pick<NonNullable<OutputReport['evm']>, 'rmsPercent'> | null;
  readonly notch: Pick<NonNullable<OutputReport['notch']>, 'ratioDb' | 'sourceRatioDb'> | null;
  readonly twoTone: {
    readonly tones: readonly Pick<TwoToneReading['tones'][number], 'side' | 'levelDb'>[];
    readonly products: readonly Pick<TwoToneReading['products'][number], 'order' | 'side' | 'ratioDb'>[];
  } | null;
};

/** Every limit for one output, worst margin first. A limit whose reading does not exist gives no verdict. */
export function judge(of: Of, output: JudgedOutput, limits: readonly LimitSettings[]): Verdict[] {
  const verdicts = limits.flatMap((limit) => verdictOn(of, output, limit) ?? []);
  return verdicts.sort((a, b) => a.marginDb - b.marginDb);
}

/** A warning for every limit that has no verdict on this output. */
export function unjudged(output: JudgedOutput, limits: readonly LimitSettings[]): Warning[] {
  return limits
    .filter((limit) => verdictOn('uncorrected', output, limit) === null)
    .map((limit) => ({
      code: 'limit-not-judged',
      message: `No verdict on ${limitName(limit)}: the output has no reading for it, so the limit counts neither as met nor as missed.`,
    }));
}

/** One limit for one output; null when there is no reading to hold against it. */
function verdictOn(of: Of, output: JudgedOutput, limit: LimitSettings): Verdict | null {
  switch (limit.reading) {
    case 'aclr':
      return judgeAclr(of, output, limit);
    case 'evm':
      return judgeEvm(of, output, limit);
    case 'mask':
      return judgeMask(of, output, limit);
    case 'occupiedBandwidth':
      return judgeOccupiedBandwidth(of, output, limit);
    case 'notch':
      return judgeNotch(of, output, limit);
    case 'slot':
      return judgeSlot(of, output, limit);
    case 'intermodulation':
      return judgeIntermodulation(of, output, limit);
  }
}

/** Marginal inside two standard deviations. */
const MARGINAL_DEVIATIONS = 2;

function stateOf(marginDb: number, spreadDb: number | null): Verdict['state'] {
  if (spreadDb !== null && Math.abs(marginDb) < MARGINAL_DEVIATIONS * spreadDb) return 'marginal';
  return marginDb >= 0 ? 'pass' : 'fail';
}

/** What a verdict does not say stays null. */
type Finding = Pick<Verdict, 'required' | 'measured' | 'unit' | 'marginDb'> &
  Partial<Pick<Verdict, 'name' | 'channel' | 'side' | 'metBy' | 'atHz' | 'spreadDb' | 'limitedBy'>>;

function verdictOf(of: Of, { reading, source, status }: LimitSettings, finding: Finding): Verdict {
  const { spreadDb = null } = finding;
  return {
    of,
    limit: reading,
    name: null,
    channel: null,
    side: null,
    source,
    status,
    metBy: null,
    atHz: null,
    limitedBy: null,
    ...finding,
    spreadDb,
    state: stateOf(finding.marginDb, spreadDb),
  };
}

type AclrFinding = Pick<Verdict, 'required' | 'measured' | 'unit' | 'marginDb' | 'metBy'>;

/** The worst channel and side. Where a density may stand in for the ratio, each reading counts by the easier of the two. */
function judgeAclr(of: Of, output: JudgedOutput, limit: LimitOf<'aclr'>): Verdict | null {
  const judged = output.aclr
    .filter((reading) => limit.channel === 'all' || limit.channel === reading.channel)
    .map((reading) => ({ reading, finding: easierOf(reading, limit) }));
  if (judged.length === 0) return null;
  const { reading, finding } = judged.reduce((a, b) => (a.finding.marginDb <= b.finding.marginDb ? a : b));
  const { channel, side, centreHz: atHz, spreadDb, limitedBy } = reading;
  return verdictOf(of, limit, { ...finding, channel, side, atHz, spreadDb, limitedBy });
}

/** Ratio or density, whichever leaves more room (TS 38.104 clause 6.6.3.2: the less stringent applies). */
function easierOf(reading: AclrReading, { requiredDb, absoluteDbmPerMHz }: LimitOf<'aclr'>): AclrFinding {
  const { aclrDb, densityDbmPerMHz } = reading;
  const ratio: AclrFinding = {
    required: requiredDb,
    measured: aclrDb,
    unit: 'dB',
    marginDb: aclrDb - requiredDb,
    metBy: null,
  };
  if (absoluteDbmPerMHz === null || densityDbmPerMHz === null) return ratio;
  const room = absoluteDbmPerMHz - densityDbmPerMHz;
  if (ratio.marginDb >= room) return { ...ratio, metBy: 'ratio' };
  return {
    required: absoluteDbmPerMHz,
    measured: densityDbmPerMHz,
    unit: 'dBm/MHz',
    marginDb: room,
    metBy: 'absolute',
  };
}

function judgeEvm(of: Of, { evm }: JudgedOutput, limit: LimitOf<'evm'>): Verdict | null {
  if (evm === null) return null;
  const { requiredPercent: required } = limit;
  const marginDb = amplitudeRatioToDb(required / Math.max(evm.rmsPercent, 1e-12));
  return verdictOf(of, limit, { required, measured: evm.rmsPercent, unit: '%', marginDb });
}

function judgeMask(of: Of, { masks }: JudgedOutput, limit: LimitOf<'mask'>): Verdict | null {
  const mask = masks.find(({ name }) => name === limit.name);
  if (mask === undefined) return null;
  const {
    name,
    side,
    atHz,
    spreadDb,
    limitedBy,
    limitDbm: required,
    levelDbm: measured,
    worstMarginDb: marginDb,
  } = mask;
  return verdictOf(of, limit, { name, side, atHz, spreadDb, limitedBy, required, measured, unit: 'dBm', marginDb });
}

function judgeOccupiedBandwidth(of: Of, output: JudgedOutput, limit: LimitOf<'occupiedBandwidth'>): Verdict {
  const { requiredHz: required } = limit;
  const measured = output.occupiedBandwidthHz;
  const marginDb = powerRatioToDb(required / Math.max(measured, 1e-12));
  return verdictOf(of, limit, { required, measured, unit: 'Hz', marginDb });
}

/** A notch of the waveform itself less than this above a reading fills it noticeably. */
const NOTCH_SOURCE_RANGE_DB = 15;

function judgeNotch(of: Of, { notch }: JudgedOutput, limit: LimitOf<'notch'>): Verdict | null {
  if (notch === null) return null;
  const { requiredDb: required } = limit;
  const { ratioDb: measured, sourceRatioDb } = notch;
  const limitedBy = sourceRatioDb < measured + NOTCH_SOURCE_RANGE_DB ? 'source' : null;
  return verdictOf(of, limit, { required, measured, unit: 'dB', marginDb: measured - required, limitedBy });
}

function judgeSlot(of: Of, { slots }: JudgedOutput, limit: LimitOf<'slot'>): Verdict | null {
  const slot = slots.find(({ name }) => name === limit.name);
  if (slot === undefined) return null;
  const { requiredDb: required } = limit;
  const { name, ratioDb: measured, centreHz: atHz, spreadDb, limitedBy } = slot;
  const marginDb = measured - required;
  return verdictOf(of, limit, { name, atHz, spreadDb, limitedBy, required, measured, unit: 'dB', marginDb });
}

/** The weaker tone over the stronger product of the order. */
function judgeIntermodulation(of: Of, { twoTone }: JudgedOutput, limit: LimitOf<'intermodulation'>): Verdict | null {
  if (twoTone === null) return null;
  const { tones, products } = twoTone;
  const weaker = Math.min(...tones.map(({ levelDb }) => levelDb));
  const ofOrder = products.flatMap(({ order, side, ratioDb }) => {
    const tone = tones.find((one) => one.side === side);
    return order === limit.order && tone !== undefined ? [{ side, levelDb: tone.levelDb - ratioDb }] : [];
  });
  if (ofOrder.length === 0) return null;
  const stronger = ofOrder.reduce((a, b) => (a.levelDb >= b.levelDb ? a : b));
  const { requiredDb: required } = limit;
  const measured = weaker - stronger.levelDb;
  const { side } = stronger;
  return verdictOf(of, limit, { side, required, measured, unit: 'dB', marginDb: measured - required });
}
