// Limits that no reading can be held against: nothing of the kind in the waveform, no such channel, slot or power scale,
// or a place that the sample rate does not hold.
import { type Issue, printValue } from '../../../shared/schema/issue.ts';
import type { LimitSettings, Scenario } from '../../../shared/schema/scenario.ts';
import { isInsideAxis } from '../dsp/spectrum.ts';
import { type AclrChannel, channelCentreHz, channelSpanHz, sidesOf } from '../measurement/aclr.ts';
import type { ResolvedWaveform } from '../waveform/resolvedWaveform.ts';
import { maskIssues } from './maskPlan.ts';

/** What a limit is checked against. */
interface LimitPlace {
  readonly path: string;
  readonly index: number;
  readonly scenario: Scenario;
  readonly waveform: ResolvedWaveform;
  readonly channels: readonly AclrChannel[];
}

/** Every limit without a reading; a limit that is listed here could have no verdict. */
export function limitIssues(scenario: Scenario, waveform: ResolvedWaveform, channels: readonly AclrChannel[]): Issue[] {
  return scenario.limits.flatMap((limit, index) =>
    issuesOf(limit, { path: `limits.${index}`, index, scenario, waveform, channels }),
  );
}

function issuesOf(limit: LimitSettings, place: LimitPlace): Issue[] {
  switch (limit.reading) {
    case 'aclr':
      return aclrIssues(limit, place);
    case 'evm':
      return needs(hasSymbols(place.waveform), place, {
        rule: 'needs a carrier with symbols',
        value: 'none carries symbols',
        remedy: 'remove the EVM limit or use an OFDM or single carrier',
      });
    case 'mask':
      return [
        ...powerScaleIssues(place),
        ...repeatedMask(limit, place),
        ...maskIssues(limit, place.path, place.scenario.measurement.spectrum, place.waveform),
      ];
    case 'occupiedBandwidth':
      return [];
    case 'notch':
      return needs(
        place.waveform.carriers.some(({ geometry }) => geometry.notch !== null),
        place,
        {
          rule: 'needs a carrier with a notch',
          value: 'no carrier has one',
          remedy: 'give an OFDM or noise carrier a notch, or remove the limit',
        },
      );
    case 'slot':
      return slotLimitIssues(limit, place);
    case 'intermodulation':
      return intermodulationIssues(limit, place);
  }
}

function needs(isThere: boolean, { path }: LimitPlace, issue: Omit<Issue, 'path'>): Issue[] {
  return isThere ? [] : [{ path, ...issue }];
}

function hasSymbols({ carriers }: ResolvedWaveform): boolean {
  return carriers.some(({ geometry }) => geometry.ofdm !== null || geometry.singleCarrier !== null);
}

/** Levels in dBm need the antenna port's power. */
function powerScaleIssues(place: LimitPlace): Issue[] {
  return needs(place.scenario.amplifier.saturatedPowerDbm !== null, place, {
    rule: 'needs the amplifier’s saturated power: it is judged in dBm at the antenna port',
    value: 'amplifier.saturatedPowerDbm is null',
    remedy: 'give amplifier.saturatedPowerDbm, or judge a ratio',
  });
}

function repeatedMask({ name }: Extract<LimitSettings, { reading: 'mask' }>, place: LimitPlace): Issue[] {
  const before = place.scenario.limits.slice(0, place.index);
  const isRepeated = before.some((limit) => limit.reading === 'mask' && limit.name === name);
  if (!isRepeated) return [];
  const rule = 'must differ from the names of the other masks';
  return [{ path: `${place.path}.name`, rule, value: printValue(name), remedy: 'give every mask a name of its own' }];
}

function aclrIssues(limit: Extract<LimitSettings, { reading: 'aclr' }>, place: LimitPlace): Issue[] {
  const { path, channels } = place;
  const issues: Issue[] = limit.absoluteDbmPerMHz === null ? [] : powerScaleIssues(place);
  const judged = channels.filter(({ name }) => limit.channel === 'all' || limit.channel === name);
  if (judged.length === 0 && channels.length > 0) {
    const names = [...new Set(channels.map(({ name }) => name))].join(', ');
    const isGap = limit.channel === 'gap';
    const rule = isGap
      ? `must find slots in a gap between carriers; the channels measured are: ${names}`
      : `must name a measured channel; there are: ${names}`;
    const remedy = isGap
      ? 'choose a rule with gap slots and carriers far enough apart, or remove the limit'
      : 'name one of them, or give another channel in measurement.channels';
    issues.push({ path, rule, value: printValue(limit.channel), remedy });
  }
  return [...issues, ...judged.flatMap((channel) => reachIssues(channel, place))];
}

function reachIssues(channel: AclrChannel, { index, waveform }: LimitPlace): Issue[] {
  const geometries = waveform.carriers.map((carrier) => carrier.geometry);
  const reach = Math.max(
    ...sidesOf(channel).map(
      (side) => Math.abs(channelCentreHz(geometries, channel, side)) + channelSpanHz(channel) / 2,
    ),
  );
  if (isInsideAxis(waveform.sampleRateHz, reach, 0)) return [];
  return [
    {
      path: 'waveform.sampleRateHz',
      rule: `must be at least ${((2 * reach) / 1e6).toFixed(2)} MHz for the ${channel.name} channel that limits.${index} judges: it ends ${(reach / 1e6).toFixed(2)} MHz from the centre`,
      value: `${(waveform.sampleRateHz / 1e6).toFixed(2)} MHz`,
      remedy: 'raise the sample rate or write "auto"',
    },
  ];
}

function slotLimitIssues({ name }: Extract<LimitSettings, { reading: 'slot' }>, place: LimitPlace): Issue[] {
  const names = place.scenario.measurement.slots.map((slot) => slot.name);
  if (names.includes(name)) return [];
  const rule =
    names.length === 0
      ? 'needs a slot of that name; there is none'
      : `must name a slot; there are: ${names.join(', ')}`;
  const remedy = 'name one of them, or add it to measurement.slots';
  return [{ path: `${place.path}.name`, rule, value: printValue(name), remedy }];
}

function intermodulationIssues(
  { order }: Extract<LimitSettings, { reading: 'intermodulation' }>,
  place: LimitPlace,
): Issue[] {
  const { path, waveform } = place;
  if (order !== 3 && order !== 5) {
    const rule = 'must be 3 or 5: products of even order do not fall beside the tones';
    return [{ path: `${path}.order`, rule, value: String(order), remedy: 'use 3 or 5' }];
  }
  const [carrier, ...others] = waveform.carriers.map(({ geometry }) => geometry);
  if (carrier?.kind !== 'twoTone' || others.length > 0 || waveform.burst !== null) {
    const value = `${waveform.carriers.length} carriers${waveform.burst === null ? '' : ' in bursts'}, first ${carrier?.kind}`;
    const rule = 'needs a continuous two-tone carrier alone: other power falls on its products';
    return [{ path, rule, value, remedy: 'use one carrier of kind "twoTone", or remove the limit' }];
  }
  // Products of order n stand n/2 tone spacings from the middle of the tones.
  const reach = Math.abs(carrier.offsetHz) + (order / 2) * (carrier.tones?.toneSpacingHz ?? 0);
  return needs(isInsideAxis(waveform.sampleRateHz, reach, 0), place, {
    rule: `needs its products inside half the sample rate: they lie ${(reach / 1e6).toFixed(3)} MHz from the centre`,
    value: `${(waveform.sampleRateHz / 1e6).toFixed(2)} MHz sample rate`,
    remedy: 'raise waveform.sampleRateHz or bring the tones closer together',
  });
}
