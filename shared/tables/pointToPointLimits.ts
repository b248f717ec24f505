// Limits of a fixed microwave link in the US: 47 CFR 101.111(a)(2), with the channel as authorized bandwidth.
import { oneCarrierIssues } from './equipmentLimits.ts';
import { fccMaskLimit } from './fccMask.ts';
import { frequencyIssues, occupiedPart, powerIssues } from './limitParts.ts';
import type { LimitMaker } from './limitSubject.ts';

export const pointToPointLimits: LimitMaker = (subject, set) => {
  const issues = [...oneCarrierIssues(subject, set), ...frequencyIssues(subject, set), ...powerIssues(subject, set)];
  const { carriers, carrierFrequencyHz } = subject;
  const [carrier] = carriers;
  if (issues.length > 0 || carrier === undefined || carrierFrequencyHz === null) return issues;
  const mask = fccMaskLimit(carrier.channelBandwidthHz, carrierFrequencyHz);
  const narrowestHz = Math.min(...mask.pieces.map((piece) => piece.measuringBandwidthHz));
  const occupied = occupiedPart(subject, '47 CFR 101.109', 'recalled');
  return {
    limits: [mask, ...occupied.limits],
    channels: 'auto',
    notes: [
      `The channel of ${carrier.channelBandwidthHz / 1e6} MHz is taken for the authorized bandwidth.`,
      'The rule has no limit on ACLR and EVM: add your own.',
      `It is measured in ${narrowestHz / 1e3} kHz: the spectrum’s bins must be no wider.`,
    ],
  };
};
