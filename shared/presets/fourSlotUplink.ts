// Four-Slot Uplink: an invented satellite uplink of several narrow carriers. All figures are invented; none is of a real
// product. The slot at the centre stays empty and must stay quiet.
import type { ScenarioInput } from '../schema/scenario.ts';

const qpsk = (offsetHz: number, relativePowerDb: number) =>
  ({ kind: 'singleCarrier', symbolRateHz: 3.84e6, rollOffRatio: 0.2, offsetHz, relativePowerDb }) as const;

/** Indices of the carriers at −5 and +5 MHz, whose mean density the slots are compared with. */
const NEIGHBOURS = [1, 2];
const slot = (name: string, centreHz: number) => ({
  name,
  centreHz,
  bandwidthHz: 3.84e6,
  referenceCarriers: NEIGHBOURS,
});

export const fourSlotUplink: ScenarioInput = {
  title: 'Four-Slot Uplink',
  story:
    'Four QPSK carriers on a satellite uplink at 8.15 GHz, the outer one 6 dB down, the slot in the middle empty, ' +
    'through a 100 W solid-state amplifier with a very soft knee. How much power before the empty slot and the bands ' +
    'outside fill to −30 dBc, and what does correction buy?',
  carrierFrequencyHz: 8.15e9,
  waveform: {
    carriers: [qpsk(-10e6, 0), qpsk(-5e6, 0), qpsk(5e6, 0), qpsk(10e6, -6)],
    sampleCount: 2 ** 18,
    sampleRateHz: 122.88e6,
  },
  amplifier: {
    model: {
      kind: 'filterNonlinearityFilter',
      modelRateHz: 122.88e6,
      inputTaps: [{ re: 1 }, { re: 0, im: 0.05 }],
      biasDepthRatio: 0.08,
      biasTimeConstantS: 120e-9,
      kneeSharpness: 1,
      amPmDeg: 15,
      amPmHalfPower: 0.3,
      outputTaps: [{ re: 1 }, { re: -0.03 }],
    },
    saturatedPowerDbm: 50,
    gainDb: 45,
    outputLossDb: 0,
  },
  operatingPoint: { outputBackoffDb: 6 },
  predistorter: { nonlinearOrders: [1, 3, 5, 7, 9], memoryDepth: 3, learning: { passCount: 3 } },
  seeds: { judging: 1, training: 2, selection: 3 },
  measurement: {
    channels: [{ offsetHz: 5e6, bandwidthHz: 3.84e6 }],
    slots: [slot('middle', 0), slot('below', -15e6), slot('above', 15e6)],
  },
  limits: [
    { reading: 'slot', name: 'middle', requiredDb: 30, source: 'Four-Slot Uplink plan (invented)' },
    { reading: 'slot', name: 'below', requiredDb: 30, source: 'Four-Slot Uplink plan (invented)' },
    { reading: 'slot', name: 'above', requiredDb: 30, source: 'Four-Slot Uplink plan (invented)' },
  ],
};
