// Limits against readings, at the antenna port, both sides judged and the worst kept.
import type { OutputReport, Verdict } from '../../../shared/schema/report.ts';
import type { LimitSettings } from '../../../shared/schema/scenario.ts';
import { amplitudeRatioToDb } from '../dsp/decibels.ts';

/** Every limit for one output, worst margin first. A channel that was not read gives no verdict. */
export function judge(
  of: 'uncorrected' | 'corrected',
  output: OutputReport,
  limits: readonly LimitSettings[],
): Verdict[] {
  const verdicts = limits.flatMap((limit) =>
    limit.reading === 'aclr'
      ? judgeAclr(of, output, limit)
      : limit.reading === 'evm'
        ? judgeEvm(of, output, limit)
        : [],
  );
  return verdicts.sort((a, b) => a.marginDb - b.marginDb);
}

function judgeAclr(
  of: Verdict['of'],
  output: OutputReport,
  limit: Extract<LimitSettings, { reading: 'aclr' }>,
): Verdict[] {
  const readings = output.aclr.filter((reading) => limit.channel === 'all' || limit.channel === reading.channel);
  if (readings.length === 0) return [];
  const worst = readings.reduce((a, b) => (a.aclrDb <= b.aclrDb ? a : b));
  const marginDb = worst.aclrDb - limit.requiredDb;
  return [
    {
      of,
      limit: 'aclr',
      name: null,
      status: limit.status,
      metBy: null,
      atHz: worst.centreHz,
      spreadDb: worst.spreadDb,
      channel: worst.channel,
      side: worst.side,
      source: limit.source,
      required: limit.requiredDb,
      measured: worst.aclrDb,
      unit: 'dB',
      marginDb,
      state: marginDb >= 0 ? 'pass' : 'fail',
      limitedBy: worst.limitedBy,
    },
  ];
}

function judgeEvm(
  of: Verdict['of'],
  output: OutputReport,
  limit: Extract<LimitSettings, { reading: 'evm' }>,
): Verdict[] {
  if (output.evm === null) return [];
  const marginDb = amplitudeRatioToDb(limit.requiredPercent / Math.max(output.evm.rmsPercent, 1e-12));
  return [
    {
      of,
      limit: 'evm',
      name: null,
      status: limit.status,
      metBy: null,
      atHz: null,
      spreadDb: null,
      channel: null,
      side: null,
      source: limit.source,
      required: limit.requiredPercent,
      measured: output.evm.rmsPercent,
      unit: '%',
      marginDb,
      state: marginDb >= 0 ? 'pass' : 'fail',
      limitedBy: null,
    },
  ];
}
