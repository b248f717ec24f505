// Settings that contradict each other inside a carrier, and those that no carrier takes up.
import { type Issue, printValue, type Warning } from '../../../shared/schema/issue.ts';
import type { SingleCarrierSettings, WaveformSettings } from '../../../shared/schema/scenario.ts';
import { ringRatiosOf } from './constellation.ts';

/** Rings of an APSK constellation must grow outwards, the ratios taken from the table included. */
export function checkRings(carriers: WaveformSettings['carriers'], issues: Issue[]): void {
  carriers.forEach((carrier, i) => {
    if (carrier.kind !== 'singleCarrier' || carrier.modulation !== '32APSK') return;
    const [, second, third] = ringRatiosOf(carrier);
    if (third > second) return;
    issues.push({
      path: `waveform.carriers.${i}.outerRingRatio`,
      rule: `must exceed the ring ratio of ${second}: the third ring lies outside the second`,
      value: printValue(third),
      remedy: 'raise it or lower ringRatio',
    });
  });
}

/** A warning for what is set and changes nothing. */
export function unusedNotes({ carriers, spectralEdge }: WaveformSettings): Warning[] {
  const parts = carriers.flatMap((carrier, i) => (carrier.kind === 'singleCarrier' ? unusedRings(carrier, i) : []));
  if (spectralEdge.kind === 'symbolOverlap' && carriers.every(({ kind }) => kind !== 'ofdm')) {
    parts.push('the symbol overlap, since no carrier is OFDM');
  }
  if (parts.length === 0) return [];
  return [{ code: 'setting-without-effect', message: `Nothing changes by ${parts.join('; by ')}.` }];
}

function unusedRings({ modulation, ringRatio, outerRingRatio }: SingleCarrierSettings, index: number): string[] {
  const rings = modulation === '32APSK' ? 3 : modulation === '16APSK' ? 2 : 1;
  const given = [
    ...(ringRatio === 'auto' || rings > 1 ? [] : [`a ring ratio of ${ringRatio}`]),
    ...(outerRingRatio === 'auto' || rings > 2 ? [] : [`an outer ring ratio of ${outerRingRatio}`]),
  ];
  return given.map(
    (what) => `${what} of carrier ${index + 1}, whose ${modulation} has ${rings === 1 ? 'no rings' : '2 rings'}`,
  );
}
