// Slots a scenario measures: each must lie inside the record's band and beside the carriers.
import { type Issue, printValue } from '../../../shared/schema/issue.ts';
import type { SlotSettings } from '../../../shared/schema/measurement.ts';
import { formatHz } from '../dsp/frequencyText.ts';
import { isInsideAxis } from '../dsp/spectrum.ts';
import { carrierInSlot } from '../measurement/slots.ts';
import type { ResolvedWaveform } from '../waveform/resolvedWaveform.ts';

/** Faults of the slots: a name twice, carriers that do not exist, outside ±fs/2, or over a carrier. */
export function slotIssues(slots: readonly SlotSettings[], waveform: ResolvedWaveform): Issue[] {
  return slots.flatMap((slot, i) => {
    const path = `measurement.slots.${i}`;
    const isRepeated = slots.slice(0, i).some(({ name }) => name === slot.name);
    return [
      ...(isRepeated ? [repeatedName(path, slot)] : []),
      ...unknownReferences(path, slot, waveform.carriers.length),
      ...placeIssues(path, slot, waveform),
    ];
  });
}

function repeatedName(path: string, { name }: SlotSettings): Issue {
  const rule = 'must differ from the names of the other slots';
  return { path: `${path}.name`, rule, value: printValue(name), remedy: 'give every slot a name of its own' };
}

function unknownReferences(path: string, { referenceCarriers }: SlotSettings, carrierCount: number): Issue[] {
  const unknown = referenceCarriers.filter((index) => index >= carrierCount);
  if (unknown.length === 0) return [];
  const rule = `must name carriers from 0 to ${carrierCount - 1}`;
  const remedy = 'count the carriers from 0, or leave the list empty for all of them';
  return [{ path: `${path}.referenceCarriers`, rule, value: unknown.join(', '), remedy }];
}

function placeIssues(path: string, slot: SlotSettings, waveform: ResolvedWaveform): Issue[] {
  const { centreHz, bandwidthHz } = slot;
  const { sampleRateHz, sampleCount } = waveform;
  const value = `${formatHz(centreHz)} ± ${formatHz(bandwidthHz / 2)}`;
  if (!isInsideAxis(sampleRateHz, centreHz, bandwidthHz)) {
    const rule = `must lie inside ±${formatHz(sampleRateHz / 2)}, half the sample rate`;
    return [{ path, rule, value, remedy: 'move or narrow it, or raise waveform.sampleRateHz' }];
  }
  // Carriers stand on whole cycles and noise on whole bins of the record: bands that touch may cross by two bins.
  const carriers = waveform.carriers.map((carrier) => carrier.geometry);
  const carrier = carrierInSlot(carriers, slot, (2 * sampleRateHz) / sampleCount);
  if (carrier === null) return [];
  const half = carrier.occupiedBandwidthHz / 2;
  const band = `${formatHz(carrier.offsetHz - half)} to ${formatHz(carrier.offsetHz + half)}`;
  const rule = `must lie beside the carriers, or inside a notch: it cuts into the carrier from ${band}`;
  return [{ path, rule, value, remedy: 'move it or narrow it' }];
}
