// Does it hold: one correction, frozen, while something about the amplifier or the signal changes.
import * as v from 'valibot';
import { choice, count, described, quantity, RULE_END, text } from './field.ts';
import { waveformSchema } from './waveform.ts';

export const HOLD_AXES = ['level', 'analogueGain', 'saturatedPower', 'amPm', 'load', 'channel', 'carriers'] as const;
export type HoldAxis = (typeof HOLD_AXES)[number];

const MOST_CONDITIONS = 32;

/** Another signal for the same amplifier; what is left out stays as the scenario has it. */
const carrierSetSchema = v.strictObject({
  name: text({ label: 'Name', help: 'Such as "5 MHz"; it names the row and the column.' }),
  carriers: waveformSchema.entries.carriers,
  spectralEdge: v.optional(waveformSchema.entries.spectralEdge.wrapped),
  /** Null takes crest-factor reduction away. */
  crestFactorReduction: v.optional(v.nullable(waveformSchema.entries.crestFactorReduction.wrapped.wrapped)),
});

export const holdSchema = v.strictObject({
  kind: v.literal('hold'),
  axis: v.optional(
    choice(HOLD_AXES, {
      label: 'What changes',
      help: 'level: the digital level ahead of the predistorter. analogueGain: the gain behind it. saturatedPower, amPm: drift of the amplifier. load: VSWR at the amplifier, which lowers saturated power by 10·log10(VSWR). channel: the place in amplifier.overBand. carriers: the signal.',
    }),
    'level',
  ),
  values: v.optional(
    v.nullable(
      v.pipe(
        v.array(
          quantity({
            label: 'Value',
            unit: null,
            minimum: -60,
            maximum: 1e12,
            help: 'Change in dB of level, analogueGain and saturatedPower, in degrees of amPm; VSWR of load; Hz of channel.',
          }),
        ),
        v.minLength(1, `must hold at least one value${RULE_END}add one, or write null for the usual ones`),
        v.maxLength(MOST_CONDITIONS, `must hold at most ${MOST_CONDITIONS} values${RULE_END}remove some`),
        v.metadata(
          described(
            'Values',
            'What the axis is set to; null takes the axis’s usual ones, of channel every point of amplifier.overBand. Not used by carriers.',
          ),
        ),
      ),
    ),
    null,
  ),
  carrierSets: v.optional(
    v.pipe(
      v.array(carrierSetSchema),
      v.maxLength(MOST_CONDITIONS, `must hold at most ${MOST_CONDITIONS} sets${RULE_END}remove some`),
      v.metadata(described('Carrier sets', 'Signals beside the scenario’s own; for the axis carriers.')),
    ),
    [],
  ),
  trainedOn: v.optional(
    choice(['each', 'own'], {
      label: 'Trained on',
      help: 'each: every condition, so that the matrix is full; own: the scenario’s own condition only. Retrained figures stand beside it either way.',
    }),
    'each',
  ),
  setCounts: v.optional(
    v.pipe(
      v.array(
        count({
          label: 'Coefficient sets',
          minimum: 1,
          maximum: 64,
          help: 'Sets stored over the band, each learned at the centre of one of as many equal sub-bands.',
        }),
      ),
      v.maxLength(8, `must hold at most 8 counts${RULE_END}remove some`),
      v.metadata(described('Numbers of sets', 'Tried for the axis channel; an empty list leaves this part out.')),
    ),
    [1, 2, 4, 8],
  ),
  warmPassCount: v.optional(
    count({
      label: 'Warm passes',
      minimum: 0,
      maximum: 20,
      help: 'Each channel’s stored set is used as it is and gone on from by so many passes there; 0 leaves this part out.',
    }),
    0,
  ),
});
