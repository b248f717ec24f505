// The amplifier's settings and curve without a browser: what each origin begins with, and what is drawn and said.
import { beforeAll, describe, expect, test } from 'vitest';
import type { AmplifierPicture } from '../../shared/figures/amplifierCurveParts.ts';
import type { Report } from '../../shared/schema/report.ts';
import type { ScenarioInput } from '../../shared/schema/scenario.ts';
import { amplifierModel, cursorStops, cursorText } from '../../src/app/charts/amplifierModels.ts';
import { missText } from '../../src/app/elements/amplifier/missText.ts';
import { type Origin, originOf, pointsOfCurve, startOf } from '../../src/app/elements/amplifier/origins.ts';
import { parsed, preset, smallReport } from './smallReport.ts';

function withModel(model: unknown): ScenarioInput {
  const scenario = preset('quarry-link');
  return { ...scenario, amplifier: { ...scenario.amplifier, model } } as ScenarioInput;
}

function pictureOf({ amplifier, scenario, traces }: Report): AmplifierPicture {
  return {
    title: scenario.title,
    label: amplifier.label,
    curve: traces.amplifierCurve,
    readBack: amplifier.readBack,
    settings: scenario.amplifier,
  };
}

let report: Report;
let saleh: Report;
beforeAll(() => {
  report = smallReport();
  saleh = smallReport({ amplifier: withModel({ kind: 'saleh' }).amplifier });
});

describe('origins', () => {
  test.each(['sheet', 'literature', 'points', 'filters', 'coefficients'] as const)(
    '%s begins with a model that the schema takes and that is of this origin',
    (origin: Origin) => {
      for (const curve of [null, report.traces.amplifierCurve]) {
        const { model } = parsed(withModel(startOf(origin, new Map(), curve))).amplifier;
        expect(originOf(model)).toBe(origin);
      }
    },
  );

  test('an origin comes back to the last model it had', () => {
    const last = parsed(withModel({ kind: 'ghorbani' })).amplifier.model;
    expect(startOf('literature', new Map([['literature', last]]), null)).toBe(last);
  });

  test('points read off the present curve make an amplifier that reads like it', () => {
    const points = pointsOfCurve(saleh.traces.amplifierCurve);
    expect(points.length).toBeLessThanOrEqual(30);
    const again = smallReport({ amplifier: withModel({ kind: 'envelopePoints', points }).amplifier });
    const [one, other] = [saleh.amplifier.readBack, again.amplifier.readBack];
    // Points stand 2.3 dB apart in drive at the knee, and are rounded to 0.01 dB.
    const difference = (pick: (read: typeof one) => number | null | undefined) =>
      Math.abs((pick(one) ?? Number.NaN) - (pick(other) ?? Number.NaN));
    expect(difference(({ saturation }) => saturation.outputDbm)).toBeLessThan(0.02);
    expect(difference(({ atOneDbCompression }) => atOneDbCompression?.outputDbm)).toBeLessThan(0.2);
    expect(difference(({ atThreeDbCompression }) => atThreeDbCompression?.amPmDeg)).toBeLessThan(0.5);
    expect(again.warnings.map(({ code }) => code)).not.toContain('points-scale-differs');
  });
});

describe('the curve', () => {
  test('marks stand on it where the readings are, with output powers as labels', () => {
    const model = amplifierModel(pictureOf(saleh), 'gain');
    const { atOneDbCompression, atThreeDbCompression, saturation } = saleh.amplifier.readBack;
    const readings = [atOneDbCompression, atThreeDbCompression, saturation];
    expect(model.marks.map(({ x }) => x)).toEqual(readings.map((reading) => reading?.outputDbm));
    expect(model.marks.map(({ y }) => y)).toEqual(readings.map((reading) => -(reading?.compressionDb ?? 0)));
    expect(model.marks.map(({ label }) => label.replace(/:.*/, ''))).toEqual(['1 dB', '3 dB', 'largest output']);
    const [line] = model.curves;
    // Rows are 0.23 dB of drive apart: a mark lies between two of them.
    for (const { x, y } of model.marks) {
      const at = Array.from(line?.x ?? []).findIndex((output) => output >= x - 1e-9);
      expect(line?.y[at] ?? 0).toBeLessThanOrEqual(y + 1e-9);
      expect(line?.y[at - 1] ?? 0).toBeGreaterThanOrEqual(y - 1e-9);
    }
  });

  test('measured points lie on the curve they made', () => {
    const points = pointsOfCurve(saleh.traces.amplifierCurve);
    const picture = pictureOf(smallReport({ amplifier: withModel({ kind: 'envelopePoints', points }).amplifier }));
    const [, dots] = amplifierModel(picture, 'phase').curves;
    expect(dots?.hasPoints).toBe(true);
    expect(dots?.x).toHaveLength(points.length);
    expect(dots?.y[points.length - 1]).toBeCloseTo(picture.readBack.saturation.amPmDeg, 6);
    expect(dots?.x[points.length - 1]).toBeCloseTo(picture.readBack.saturation.outputDbm ?? 0, 6);
  });

  test('the cursor stops at rising outputs and tells drive, gain and phase there', () => {
    const picture = pictureOf(saleh);
    const stops = cursorStops(picture);
    expect(stops.length).toBeGreaterThan(150);
    expect(stops.every((stop, i) => i === 0 || stop > (stops[i - 1] ?? stop))).toBe(true);
    expect(cursorText(picture, stops.at(-1) ?? null).replaceAll('\u2009', ' ')).toBe(
      'output 45.5 dBm, drive 15.5 dBm: gain −6.02 dB, phase 22.4°',
    );
    expect(cursorText(picture, null)).toBe('');
  });

  test('without a saturated power everything is against it, nothing in dBm', () => {
    const scenario = preset('quarry-link');
    const bare = smallReport({
      amplifier: { ...scenario.amplifier, saturatedPowerDbm: null },
      operatingPoint: { outputBackoffDb: 9 },
    });
    const model = amplifierModel(pictureOf(bare), 'gain');
    expect(model.x.label).toBe('output power, dB re saturation');
    expect(model.x.maximum).toBeLessThanOrEqual(1);
    expect(cursorText(pictureOf(bare), cursorStops(pictureOf(bare))[100] ?? null)).not.toContain('dBm');
  });
});

test('how far a figure is missed, and that it is never reached', () => {
  expect(missText(43.85, 44, 'dBm').replaceAll('\u2009', ' ')).toBe('✕ 0.15 dB low');
  expect(missText(9, 8, '°')).toBe('✕ 1.00° high');
  expect(missText(null, 44, 'dBm')).toBe('✕ never reached');
});
