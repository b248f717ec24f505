// Where an amplifier comes from: a data sheet, the literature, points, a pair of records; or taps and coefficients given by
// hand. Each begins with the last model of its kind, or with a start of its own.
import { html } from 'lit';
import type { AmplifierCurve } from '../../../../shared/schema/readBack.ts';
import type { AmplifierModelSettings, EnvelopePoint } from '../../../../shared/schema/scenario.ts';
import { tellDoor, tellEdit } from '../events.ts';

export const MODEL_PATH = 'amplifier.model';

export type Kind = AmplifierModelSettings['kind'];
export type Origin = 'sheet' | 'literature' | 'points' | 'filters' | 'coefficients';

const ORIGINS: Readonly<Record<Kind, Origin>> = {
  dataSheet: 'sheet',
  saleh: 'literature',
  rapp: 'literature',
  modifiedRapp: 'literature',
  ghorbani: 'literature',
  published: 'literature',
  envelopePoints: 'points',
  filterNonlinearityFilter: 'filters',
  memoryPolynomial: 'coefficients',
  generalizedMemoryPolynomial: 'coefficients',
};

export function originOf(model: AmplifierModelSettings): Origin {
  return ORIGINS[model.kind];
}

/** The soft amplifier with bias memory that the first preset uses; memoryless taps. The schema gives the rest. */
const FILTER_START = {
  kind: 'filterNonlinearityFilter',
  biasDepthRatio: 0.05,
  biasTimeConstantS: 80e-9,
  kneeSharpness: 1.2,
  amPmDeg: 8,
};

/** x − 0.15·x·|x|², which still rises at the edge of its range: 1 dB of compression at r = 0.85. */
const POLYNOMIAL_START = {
  kind: 'memoryPolynomial',
  nonlinearOrders: [1, 3],
  memoryDepth: 1,
  coefficients: [
    { re: 1, im: 0 },
    { re: -0.15, im: 0.03 },
  ],
  driveRange: 1.2,
};

/** Of a memoryless 40 W stage, where no result has a curve to begin with. */
const POINTS_START: readonly EnvelopePoint[] = [
  { inputDbm: -10, outputDbm: 26, phaseDeg: 0 },
  { inputDbm: 0, outputDbm: 35.9, phaseDeg: 1 },
  { inputDbm: 6, outputDbm: 41.5, phaseDeg: 3 },
  { inputDbm: 9, outputDbm: 44, phaseDeg: 6 },
  { inputDbm: 12, outputDbm: 46, phaseDeg: 9 },
];

/** Every so many points of the drawn curve become measured ones. */
const CURVE_STEP = 20;
const PLACES = 100;

/** Points read off the curve of the present amplifier, to begin with; to a hundredth, rising. */
export function pointsOfCurve(curve: AmplifierCurve | null): readonly EnvelopePoint[] {
  if (curve === null) return POINTS_START;
  const rounded = (value: number) => Math.round(PLACES * value) / PLACES;
  const { driveDbm, driveDb, outputDbm, outputDb, phaseDeg } = curve;
  const points: EnvelopePoint[] = [];
  // The knee needs points closer together than the straight part.
  for (let i = driveDb.length - 1; i >= 0; i -= i > driveDb.length / 2 ? CURVE_STEP / 2 : CURVE_STEP) {
    points.unshift({
      inputDbm: rounded((driveDbm ?? driveDb)[i] ?? 0),
      outputDbm: rounded((outputDbm ?? outputDb)[i] ?? 0),
      phaseDeg: rounded(phaseDeg[i] ?? 0),
    });
  }
  return points;
}

/** Models that were in use before, by origin. */
export type LastModels = ReadonlyMap<Origin, AmplifierModelSettings>;

export function startOf(origin: Origin, last: LastModels, curve: AmplifierCurve | null): unknown {
  const starts: Readonly<Record<Origin, () => unknown>> = {
    sheet: () => ({ kind: 'dataSheet' }),
    literature: () => ({ kind: 'saleh' }),
    points: () => ({ kind: 'envelopePoints', points: pointsOfCurve(curve) }),
    filters: () => FILTER_START,
    coefficients: () => POLYNOMIAL_START,
  };
  return last.get(origin) ?? starts[origin]();
}

const TEXTS: readonly (readonly [Origin | 'records', string])[] = [
  ['sheet', 'a data sheet'],
  ['literature', 'the literature'],
  ['points', 'points'],
  ['records', 'a pair of records'],
  ['filters', 'filter–nonlinearity–filter'],
  ['coefficients', 'polynomial, by coefficients'],
];

/** The chooser; a pair of records is a question of its own, and opens it. */
export function originChooser(origin: Origin, last: LastModels, curve: AmplifierCurve | null) {
  const choose = (event: Event, chosen: Origin) =>
    tellEdit(event.target as HTMLElement, MODEL_PATH, startOf(chosen, last, curve), false);
  return html`<fieldset class="origins">
    <legend>Amplifier from</legend>
    ${TEXTS.map(([value, text]) =>
      value === 'records'
        ? html`<button
            class="plain records"
            title="Identify it from what was sent and what was observed"
            @click=${(event: Event) => tellDoor(event.target as HTMLElement, 'identify')}
          >
            ${text} →
          </button>`
        : html`<label>
            <input
              type="radio"
              name="origin"
              value=${value}
              .checked=${value === origin}
              @change=${(event: Event) => choose(event, value)}
            />
            ${text}
          </label>`,
    )}
  </fieldset>`;
}
