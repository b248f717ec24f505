// The waveform's editor where it needs no browser: starts of new parts, places of carriers, moves of handles, levels on
// the exceedance curve, files that belong together.
import { describe, expect, test } from 'vitest';
import { parseScenario } from '../../shared/schema/parse.ts';
import type { CarrierSettings } from '../../shared/schema/scenario.ts';
import {
  CARRIER_KINDS,
  startBurst,
  startCarrier,
  startEdge,
  startNotch,
  startReduction,
} from '../../shared/schema/starts.ts';
import { crossing, markedExceedance } from '../../src/app/charts/exceedanceLevels.ts';
import { offsetAbove, onRaster, rasterHz, roomHz } from '../../src/app/elements/waveform/carrierPlaces.ts';
import { handleRows, moveByKey } from '../../src/app/elements/waveform/handleMoves.ts';
import { checkScenario } from '../../src/engine/index.ts';
import { smallReport } from './smallReport.ts';

describe('what new parts start from', () => {
  test('every kind starts as the schema takes it, with its defaults and no further field', () => {
    for (const kind of CARRIER_KINDS) {
      const carrier = startCarrier(kind, 20e6);
      const outcome = parseScenario({ waveform: { carriers: [carrier] } });
      const faults = outcome.kind === 'invalid' ? outcome.issues.filter(({ path }) => path.startsWith('waveform')) : [];
      expect(faults, kind).toEqual([]);
      expect(carrier).toMatchObject({ kind, offsetHz: 0, relativePowerDb: 0, crestShareRatio: 1 });
    }
  });

  test('a carrier of another kind takes the room of the one in whose place it comes, as near as its kind can', () => {
    for (const widthHz of [5e6, 20e6, 100e6]) {
      for (const kind of ['ofdm', 'singleCarrier', 'multitone', 'noise'] as const) {
        // Three figures are kept, rounded down: less than 1 % is lost. Channels of the tables are met exactly.
        const ratio = roomHz(startCarrier(kind, widthHz)) / widthHz;
        expect(ratio, `${kind} ${widthHz}`).toBeLessThanOrEqual(1);
        expect(ratio, `${kind} ${widthHz}`).toBeGreaterThan(0.99);
      }
    }
  });

  // TS 38.104 Table 5.3.2-1 has no row above 50 MHz at 15 kHz.
  test('a wide OFDM carrier takes a spacing that has a row', () => {
    expect(startCarrier('ofdm', 100e6)).toMatchObject({ channelBandwidthHz: 100e6, subcarrierSpacingHz: 30e3 });
    expect(startCarrier('ofdm', 40e6)).toMatchObject({ channelBandwidthHz: 40e6, subcarrierSpacingHz: 15e3 });
  });

  test('edge, burst, notch and crest-factor reduction start with the schema’s defaults', () => {
    expect(startEdge('channelFilter')).toEqual({
      kind: 'channelFilter',
      tapCount: 'auto',
      cutoffHz: 'auto',
      kaiserBeta: 9,
    });
    expect(startEdge('none')).toEqual({ kind: 'none' });
    expect(startBurst().dutyRatio).toBe(0.5);
    expect(startNotch(10e6)).toEqual({ offsetHz: 0, bandwidthHz: 1e6 });
    expect(startReduction()).toMatchObject({ method: 'clipAndFilter', probability: 1e-4, evmBudgetPercent: null });
  });
});

const at = (offsetHz: number, occupiedBandwidthHz: number): CarrierSettings =>
  ({ ...startCarrier('noise', 10e6), offsetHz, occupiedBandwidthHz }) as CarrierSettings;
const inChannel = (offsetHz: number, channelBandwidthHz: number): CarrierSettings =>
  ({ ...startCarrier('ofdm', channelBandwidthHz), offsetHz }) as CarrierSettings;

describe('places', () => {
  test('a new carrier touches the uppermost one, whatever the order of the list', () => {
    expect(offsetAbove([inChannel(30e6, 20e6), inChannel(0, 10e6)], 10e6)).toBe(45e6);
    expect(offsetAbove([], 10e6)).toBe(0);
  });

  // Found by hand: 8 Msym/s at a roll-off of 0.25 beside 64 tones, 10 MHz each, were refused on every short record.
  test('carriers without channels keep a guard, so that the engine takes them side by side', () => {
    let carriers: CarrierSettings[] = [startCarrier('ofdm', 10e6)];
    for (const kind of ['singleCarrier', 'multitone', 'noise', 'twoTone'] as const) {
      const next = startCarrier(kind, 10e6);
      carriers = [...carriers, { ...next, offsetHz: offsetAbove(carriers, roomHz(next)) } as CarrierSettings];
    }
    const waveform = { carriers, symbolCount: 6 };
    const amplifier = { model: { kind: 'filterNonlinearityFilter', kneeSharpness: 1.1 }, saturatedPowerDbm: 45 };
    const outcome = checkScenario({ waveform, amplifier, operatingPoint: { outputBackoffDb: 9 } });
    expect(outcome.kind === 'invalid' ? outcome.issues : []).toEqual([]);
  });

  test('cellular carriers move on the 100 kHz raster, others by 1, 2 or 5 of a decade', () => {
    expect(rasterHz(startCarrier('ofdm', 10e6))).toBe(100e3);
    expect([1e6, 2.5e6, 9e6, 25e6].map((width) => rasterHz(at(0, width)))).toEqual([20e3, 50e3, 100e3, 500e3]);
  });

  test('a place on the raster carries no noise of the arithmetic', () => {
    expect(onRaster(3 * 0.1e6 + 0.2, 100e3)).toBe(300e3);
    expect(Object.is(onRaster(-1, 100e3), 0)).toBe(true);
  });

  test('keys move by one step, with Shift and by pages ten', () => {
    const press = (key: string, shiftKey = false) => moveByKey({ key, shiftKey }, 5e6, 100e3);
    expect(press('ArrowRight')).toBe(5.1e6);
    expect(press('ArrowLeft', true)).toBe(4e6);
    expect(press('PageUp')).toBe(6e6);
    expect(press('Tab')).toBeNull();
    // An offset beside the raster comes onto it.
    expect(moveByKey({ key: 'ArrowRight', shiftKey: false }, 5.03e6, 100e3)).toBe(5.1e6);
  });

  test('handles that crowd stand in rows, and none of one row are too near', () => {
    const positions = [0, 10, 20, 100, 110, 300];
    const rows = handleRows(positions, 30);
    expect(rows).toEqual([0, 1, 2, 0, 1, 0]);
    const many = Array.from({ length: 32 }, (_, i) => (i * 37) % 200);
    const placed = handleRows(many, 30);
    for (const row of new Set(placed)) {
      const inRow = many.filter((_, i) => placed[i] === row).sort((a, b) => a - b);
      for (let i = 1; i < inRow.length; i++) expect(inRow[i] - inRow[i - 1]).toBeGreaterThanOrEqual(30);
    }
  });
});

describe('levels on the exceedance curve', () => {
  test('a crossing lies on the straight line of the logarithmic plot', () => {
    const curve = { x: [0, 2, 4], y: [1, 1e-2, 1e-4] };
    expect(crossing(curve, 1e-3)).toBeCloseTo(3, 12);
    expect(crossing(curve, 1e-5)).toBeNull();
    expect(crossing({ x: [0, 1, 2], y: [1, 0.1, 0] }, 1e-3)).toBe(2);
  });

  // Gaussian: share above a level r over the mean is exp(−r) (Rayleigh envelope), 9.64 dB at 1e-4.
  test('the Gaussian reference passes 1e-4 at 10·log10(ln 10⁴) dB', () => {
    const { levels } = markedExceedance(smallReport(), 1e-4);
    const gaussian = levels.find(({ name }) => name.startsWith('Gaussian'))!;
    expect(gaussian.levelDb).toBeCloseTo(10 * Math.log10(Math.log(1e4)), 1);
  });

  test('levels of data, shaped record and outputs are the report’s own readings where it has them', () => {
    const report = smallReport();
    const { levels, model } = markedExceedance(report, 1e-3);
    const of = (name: string) => levels.find((level) => level.name === name)!.levelDb;
    const reading = (points: readonly { probability: number; db: number | null }[]) =>
      points.find(({ probability }) => probability === 1e-3)!.db;
    expect(of('Shaped')).toBe(reading(report.waveform.papr));
    expect(of('Data')).toBe(reading(report.waveform.paprBeforeReduction));
    expect(of('Corrected output')).toBe(reading(report.corrected!.papr));
    expect(model.marks).toHaveLength(levels.filter(({ levelDb }) => levelDb !== null).length);
  });

  test('a probability that the record is too short for is not told', () => {
    const { levels } = markedExceedance(smallReport(), 1.1e-6);
    expect(levels.find(({ name }) => name === 'Drive')!.levelDb).toBeNull();
  });
});
