// The ideal power model behind DC power and heat, and what is known of the way the heat takes. Each field left "ofModel"
// takes what is usual for the amplifier model; the report says what was taken and why.
import * as v from 'valibot';
import { choice, quantity, quantityOr } from './field.ts';

/** The classes of the ideal power model. */
export type PowerClass = 'A' | 'AB' | 'B' | 'twoDevice';

export const powerModelSchema = v.strictObject({
  class: v.optional(
    choice(['ofModel', 'A', 'AB', 'B', 'twoDevice'], {
      label: 'Class',
      help: 'Ideal power model: class A, AB or B, or two devices of which the second joins in at half the amplitude; "ofModel" takes what is usual for the amplifier model.',
    }),
    'ofModel',
  ),
  efficiencyFactor: v.optional(
    quantityOr('ofModel', {
      label: 'Efficiency factor',
      unit: null,
      minimum: 0.1,
      maximum: 1,
      help: 'Real over ideal drain efficiency, for losses, knee voltage and bias the ideal model leaves out; "ofModel" takes what is usual for the amplifier model.',
    }),
    'ofModel',
  ),
  quiescentRatio: v.optional(
    quantityOr('ofModel', {
      label: 'Quiescent current',
      unit: null,
      minimum: 0,
      maximum: 0.5,
      help: 'Bias over peak device current, for class AB only: 0 is class B, 0.5 is class A; "ofModel" takes what is usual for the amplifier model.',
    }),
    'ofModel',
  ),
  caseTemperatureC: v.optional(
    v.nullable(
      quantity({
        label: 'Case temperature',
        unit: '°C',
        minimum: -60,
        maximum: 200,
        help: 'Of the device’s case; with the thermal resistance it gives the junction’s temperature. Null when it is not known.',
      }),
    ),
    null,
  ),
  thermalResistanceKPerW: v.optional(
    v.nullable(
      quantity({
        label: 'Thermal resistance',
        unit: 'K/W',
        minimum: 0,
        maximum: 1000,
        help: 'From junction to case, of the whole output stage: junction = case + heat · this. Null when it is not known.',
      }),
    ),
    null,
  ),
});
