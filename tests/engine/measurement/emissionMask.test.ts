import { describe, expect, test } from 'vitest';
import type { MaskLimitSettings, MaskPiece } from '../../../shared/schema/measurement.ts';
import { emissionMask, maskLimit, obueRangeHz } from '../../../shared/tables/emissionMasks.ts';
import type { PowerSpectrum } from '../../../src/engine/dsp/spectrum.ts';
import { bandPower } from '../../../src/engine/dsp/spectrum.ts';
import { measureAclr, standardChannels } from '../../../src/engine/measurement/aclr.ts';
import { type MaskScale, measureMask } from '../../../src/engine/measurement/emissionMask.ts';
import { gapPoints, levelPieces, maskReference, outwardPoints } from '../../../src/engine/measurement/maskGeometry.ts';
import { maskLines } from '../../../src/engine/measurement/maskLines.ts';

const MHZ = 1e6;
const RATE = 122.88 * MHZ;
const carrier = (offsetHz = 0, channelBandwidthHz = 10 * MHZ) => ({
  offsetHz,
  channelBandwidthHz,
  occupiedBandwidthHz: 0.9 * channelBandwidthHz,
});

/** dBm/Hz at every frequency as a spectrum of bins; linear 1 is 0 dBm. */
function spectrumOf(densityDbmPerHz: (hz: number) => number, binWidthHz = 15e3, rate = RATE): PowerSpectrum {
  const size = Math.round(rate / binWidthHz);
  const frequencyHz = Float64Array.from({ length: size }, (_, i) => (i - size / 2) * binWidthHz);
  const power = frequencyHz.map((hz) => 10 ** (densityDbmPerHz(hz) / 10) * binWidthHz);
  return {
    frequencyHz,
    power,
    binWidthHz,
    resolutionBandwidthHz: 2 * binWidthHz,
    segmentLength: size,
    segmentCount: 1,
    runs: [],
  };
}

const piece = (
  fromHz: number,
  toHz: MaskPiece['toHz'],
  level: number,
  measuringBandwidthHz: number,
  endLevel = level,
) => ({
  fromHz,
  toHz,
  startLevel: level,
  endLevel,
  measuringBandwidthHz,
  atMostDbm: null,
  atLeastDbm: null,
});

const ownMask = (pieces: MaskPiece[], rest: Partial<MaskLimitSettings> = {}): MaskLimitSettings => ({
  reading: 'mask',
  name: 'own mask',
  unit: 'dBm',
  measuredFrom: 'channelEdge',
  ratedPowerDbm: null,
  pieces,
  source: 'own limit',
  status: 'own',
  ...rest,
});

const SCALE: MaskScale = { unitDbm: 0, meanDbm: 36.5 };
const read = (spectrum: PowerSpectrum, mask: MaskLimitSettings, carriers = [carrier()], scale = SCALE) => {
  const { reading } = measureMask(spectrum, RATE, carriers, mask, scale);
  if (reading === null) throw new Error('no reading');
  return reading;
};

describe('level in the measuring bandwidth', () => {
  // Closed form: level = density + 10·log10(bandwidth).
  test.each([
    ['4 kHz', 4e3, -70 + 36.0206],
    ['30 kHz', 30e3, -70 + 44.7712],
    ['100 kHz', 100e3, -20],
    ['1 MHz', 1e6, -10],
  ])('a flat density of −70 dBm/Hz in %s', (_, bandwidthHz, levelDbm) => {
    const flat = spectrumOf(() => -70, Math.min(15e3, bandwidthHz));
    const reading = read(flat, ownMask([piece(1 * MHZ, 20 * MHZ, 3, bandwidthHz)]));
    expect(reading.levelDbm).toBeCloseTo(levelDbm, 4);
    expect(reading.worstMarginDb).toBeCloseTo(3 - levelDbm, 4);
    expect(reading.measuringBandwidthHz).toBe(bandwidthHz);
  });

  test('bandwidths that are no multiple of the bins are cut at their edges in proportion', () => {
    const flat = spectrumOf(() => -70, 15e3);
    for (const bandwidthHz of [37.3e3, 100e3, 123.456e3]) {
      const reading = read(flat, ownMask([piece(1.2345 * MHZ, 9 * MHZ, 0, bandwidthHz)]));
      expect(reading.levelDbm).toBeCloseTo(-70 + 10 * Math.log10(bandwidthHz), 6);
    }
  });

  test('one line is found wherever it stands: the filter’s steps leave none out', () => {
    for (const lineHz of [5.37 * MHZ, -7.77 * MHZ, 14.895 * MHZ]) {
      const spectrum = spectrumOf((hz) => (Math.abs(hz - lineHz) < 100 ? -20 - 10 * Math.log10(15e3) : -150));
      const reading = read(spectrum, ownMask([piece(0.05 * MHZ, 10.05 * MHZ, -13, 100e3)]));
      expect(reading.levelDbm).toBeCloseTo(-20, 3);
      expect(Math.abs(reading.atHz - lineHz)).toBeLessThan(58e3);
      expect(reading.side).toBe(lineHz < 0 ? 'lower' : 'upper');
    }
  });

  test('distances count from the edge of the outer channel, or from the carrier’s centre', () => {
    const step = spectrumOf((hz) => (hz > 8 * MHZ && hz < 8.3 * MHZ ? -50 : -120));
    const fromEdge = read(step, ownMask([piece(1 * MHZ, 20 * MHZ, 0, 100e3)]));
    const fromCentre = read(step, ownMask([piece(1 * MHZ, 20 * MHZ, 0, 100e3)], { measuredFrom: 'carrierCentre' }), [
      { ...carrier(), offsetHz: -30 * MHZ },
    ]);
    expect(fromEdge.distanceHz).toBeCloseTo(fromEdge.atHz - 5 * MHZ, 6);
    expect(fromEdge.levelDbm).toBeCloseTo(0, 3);
    // The band at 8 MHz is 38 MHz from that carrier: beyond its mask.
    expect(fromCentre.levelDbm).toBeCloseTo(-70, 3);
  });

  test('both sides are judged and the worse one told (pitfall P28)', () => {
    const sloped = (sign: number) => spectrumOf((hz) => (sign * hz > 5 * MHZ ? -77 : -80));
    const mask = ownMask([piece(0.5 * MHZ, 10 * MHZ, -13, 100e3)]);
    expect(read(sloped(-1), mask)).toMatchObject({ side: 'lower' });
    expect(read(sloped(1), mask)).toMatchObject({ side: 'upper' });
    expect(read(sloped(1), mask).worstMarginDb).toBeCloseTo(-13 + 27, 4);
  });
});

describe('levels against powers', () => {
  // Source: TS 38.104 figures for 10 MHz at 36.5 dBm (9 MHz occupied): the carrier is +16.96 dBm/100 kHz over 9 MHz,
  // +16.8 over 9.36 MHz; the Wide Area A edge of −7 dBm is −23.8 dBr there; Medium Range begins at P − 53 = −16.5 dBm.
  const flatCarrier = (occupiedHz: number) =>
    spectrumOf((hz) => (Math.abs(hz) < occupiedHz / 2 ? 36.5 - 10 * Math.log10(occupiedHz) : -200), 10e3);

  test('the carrier’s own level in 100 kHz, and the masks’ beginnings against it', () => {
    const inCarrier = (occupiedHz: number) => 10 * Math.log10(bandPower(flatCarrier(occupiedHz), 1 * MHZ, 100e3));
    expect(inCarrier(9.36e6)).toBeCloseTo(16.8, 1);
    expect(inCarrier(9e6)).toBeCloseTo(36.5 - 19.542, 2);
    const wide = levelPieces(maskLimit(emissionMask('nr.wa.A.gt1g'), { name: 'wide', rangeHz: null }), 36.5);
    expect(wide[0].startDbm - inCarrier(9.36e6)).toBeCloseTo(-23.8, 1);
    const choice = { name: 'medium', rangeHz: null, ratedPowerDbm: 36.5 };
    const medium = levelPieces(maskLimit(emissionMask('nr.mr.31to38'), choice), 30);
    expect(medium[0].startDbm).toBeCloseTo(-16.5, 9);
    expect(medium[0].startDbm - inCarrier(9.36e6)).toBeCloseTo(-33.3, 1);
    expect(medium[1].startDbm - inCarrier(9.36e6)).toBeCloseTo(-40.3, 1);
    // Beyond 10 MHz: min(P − 60, −25) = −25 dBm.
    expect(medium.at(-1)).toMatchObject({ startDbm: -25, toHz: Number.POSITIVE_INFINITY });
  });

  test('dBr stands on the mean power of all carriers, dBrRated on the rated power or on the mean without one', () => {
    const one = [piece(1e6, 2e6, -50, 1e5)];
    expect(levelPieces(ownMask(one, { unit: 'dBr' }), 36.5)[0].startDbm).toBeCloseTo(-13.5, 9);
    expect(levelPieces(ownMask(one, { unit: 'dBrRated', ratedPowerDbm: 38 }), 36.5)[0].startDbm).toBe(-12);
    expect(levelPieces(ownMask(one, { unit: 'dBrRated' }), 36.5)[0].startDbm).toBeCloseTo(-13.5, 9);
  });

  test('an absolute bound parts a slope where it crosses it', () => {
    const bounded = { ...piece(0, 10 * MHZ, -20, 1e5, -60), atMostDbm: -24, atLeastDbm: -40 };
    const parts = levelPieces(ownMask([bounded], { unit: 'dBm' }), 0);
    expect(parts.map(({ fromHz, toHz, startDbm, endDbm }) => [fromHz / MHZ, toHz / MHZ, startDbm, endDbm])).toEqual([
      [0, 1, -24, -24],
      [1, 5, -24, -40],
      [5, 10, -40, -40],
    ]);
  });
});

describe('gaps between carriers', () => {
  const carriers = [carrier(-15 * MHZ), carrier(15 * MHZ)];
  const flatMask = ownMask([piece(0.05 * MHZ, 'end', -14, 100e3)]);

  test('two equal limits add 3.01 dB', () => {
    const reference = maskReference(carriers, 'channelEdge');
    expect(reference).toEqual({ lowerHz: -20e6, upperHz: 20e6, gaps: [{ fromHz: -10e6, toHz: 10e6 }] });
    const points = gapPoints(levelPieces(flatMask, 0), { fromHz: -10e6, toHz: 10e6 });
    expect(points.length).toBeGreaterThan(390);
    for (const { limitDbm } of points) expect(limitDbm).toBeCloseTo(-14 + 3.0103, 4);
    expect(Math.min(...points.map(({ centreHz }) => centreHz))).toBeCloseTo(-9.95e6, 3);
    expect(Math.max(...points.map(({ centreHz }) => centreHz))).toBeCloseTo(9.95e6, 3);
  });

  test('a level between the limits of one side and of both passes inside the gap and fails outside', () => {
    const level = -12.5 - 50;
    const inside = spectrumOf((hz) => (Math.abs(hz) < 9 * MHZ ? level : -120));
    const outside = spectrumOf((hz) => (Math.abs(hz) > 21 * MHZ ? level : -120));
    expect(read(inside, flatMask, carriers).worstMarginDb).toBeCloseTo(-14 + 3.0103 + 12.5, 3);
    expect(read(outside, flatMask, carriers).worstMarginDb).toBeCloseTo(-1.5, 3);
  });

  test('the farther side is scaled to the nearer side’s measuring bandwidth', () => {
    // 1 MHz from the lower edge: −14 dBm/100 kHz; 19 MHz from the upper: −13 dBm/MHz = −23 dBm/100 kHz.
    const mask = maskLimit(emissionMask('nr.wa.A.gt1g'), { name: 'wide', rangeHz: null });
    const points = gapPoints(levelPieces(mask, 0), { fromHz: 0, toHz: 20 * MHZ });
    const near = points.find(({ distanceHz, side }) => side === 'lower' && Math.abs(distanceHz - 5.05e6) < 1);
    expect(near?.measuringBandwidthHz).toBe(100e3);
    expect(near?.limitDbm).toBeCloseTo(10 * Math.log10(10 ** -1.4 + 10 ** -2.3), 6);
    const symmetric = points.filter(({ side }) => side === 'lower').length;
    expect(points.filter(({ side }) => side === 'upper')).toHaveLength(symmetric);
  });

  test('carriers that touch leave no gap; a gap narrower than the filter is not judged', () => {
    expect(maskReference([carrier(-5 * MHZ), carrier(5 * MHZ)], 'channelEdge').gaps).toEqual([]);
    const pieces = levelPieces(flatMask, 0);
    expect(gapPoints(pieces, { fromHz: 0, toHz: 99e3 })).toEqual([]);
    expect(gapPoints(pieces, { fromHz: 0, toHz: 100e3 })).toHaveLength(2);
  });
});

describe('places of the filter', () => {
  test('every breakpoint and steps of half a measuring bandwidth or less', () => {
    const mask = maskLimit(emissionMask('nr.wa.B2'), { name: 'B2', rangeHz: 40 * MHZ });
    const pieces = levelPieces(mask, 0);
    const points = outwardPoints(pieces, maskReference([carrier()], 'channelEdge'), 'upper', RATE);
    for (const { fromHz, toHz, measuringBandwidthHz } of pieces) {
      const own = points.filter((point) => point.measuringBandwidthHz === measuringBandwidthHz);
      for (const end of [fromHz, toHz]) expect(own.some(({ distanceHz }) => distanceHz === end)).toBe(true);
    }
    for (let i = 1; i < points.length; i++) {
      const [a, b] = [points[i - 1], points[i]];
      if (a.measuringBandwidthHz !== b.measuringBandwidthHz) continue;
      expect(b.distanceHz - a.distanceHz).toBeLessThanOrEqual(b.measuringBandwidthHz / 2 + 1e-3);
    }
  });

  test('what ±fs/2 does not show is not judged, and said', () => {
    const flat = spectrumOf(() => -100);
    // 61.44 MHz less 5 MHz to the edge less half a filter of 1 MHz: 55.94 MHz.
    const far = read(flat, ownMask([piece(1 * MHZ, 80 * MHZ, -13, 1e6)]));
    expect(far.isComplete).toBe(false);
    expect(far.judgedToHz).toBeCloseTo(55.94e6, 3);
    expect(read(flat, ownMask([piece(1 * MHZ, 55.9 * MHZ, -13, 1e6)])).isComplete).toBe(true);
    expect(read(flat, ownMask([piece(1 * MHZ, 'end', -13, 1e6)]))).toMatchObject({ isComplete: true });
    // Off the centre, the nearer end of the axis counts.
    const aside = read(flat, ownMask([piece(1 * MHZ, 'end', -13, 1e6)]), [carrier(20 * MHZ)]);
    expect(aside.judgedToHz).toBeCloseTo(35.94e6, 3);
    const nothing = measureMask(flat, RATE, [carrier()], ownMask([piece(70e6, 80e6, -13, 1e6)]), SCALE);
    expect(nothing.reading).toBeNull();
  });

  test('pieces narrower than a bin are not judged: what the bins cannot part cannot be integrated', () => {
    const flat = spectrumOf(() => -70, 15e3);
    const mask = ownMask([piece(1 * MHZ, 3 * MHZ, -60, 4e3), piece(3 * MHZ, 9 * MHZ, -13, 100e3)]);
    const outcome = measureMask(flat, RATE, [carrier()], mask, SCALE);
    expect(outcome.unresolvedBandwidthHz).toBe(4e3);
    expect(outcome.reading).toMatchObject({ measuringBandwidthHz: 100e3, isComplete: false });
    const fine = measureMask(
      spectrumOf(() => -70, 3.75e3),
      RATE,
      [carrier()],
      mask,
      SCALE,
    );
    expect(fine.unresolvedBandwidthHz).toBeNull();
    expect(fine.reading).toMatchObject({ measuringBandwidthHz: 4e3, isComplete: true });
  });
});

describe('the mask as lines on a spectrum', () => {
  const reference = maskReference([carrier()], 'channelEdge');
  const lines = (mask: MaskLimitSettings, rbw: number) => maskLines(levelPieces(mask, 36.5), reference, RATE, rbw);

  test('levels in the resolution bandwidth: noise-like emission at the limit touches the line', () => {
    const mask = maskLimit(emissionMask('nr.wa.A.gt1g'), { name: 'wide', rangeHz: 40 * MHZ });
    const drawn = lines(mask, 30e3);
    expect(drawn).toHaveLength(6);
    const [first, second, third] = drawn.slice(3);
    // −7 dBm/100 kHz in 30 kHz: −12.23 dBm; sloped down to −19.23.
    expect([first.fromHz, first.toHz]).toEqual([5.05e6, 10.05e6]);
    expect(first.level).toBeCloseTo(-7 - 5.2288, 3);
    expect(first.toLevel).toBeCloseTo(-14 - 5.2288, 3);
    expect(second.level).toBe(second.toLevel);
    expect(third.level).toBeCloseTo(-13 - 15.2288, 3);
    expect(third.toHz).toBe(45 * MHZ);
    // The lower side is its mirror image, from left to right.
    const mirrored = drawn.slice(0, 3).map(({ fromHz, toHz, level, toLevel }) => [-toHz, -fromHz, toLevel, level]);
    expect(mirrored).toEqual(drawn.slice(3).map(({ fromHz, toHz, level, toLevel }) => [fromHz, toHz, level, toLevel]));
  });

  test('F42, P30: another measuring bandwidth moves the mask line and not the ACLR', () => {
    const density = (hz: number) => (Math.abs(hz) < 4.5 * MHZ ? -33 : Math.abs(hz) < 15 * MHZ ? -80 : -110);
    const spectrum = spectrumOf(density);
    const aclr = () => measureAclr(spectrum, RATE, [carrier()], standardChannels([carrier()])).readings;
    const before = aclr();
    const inNine = ownMask([piece(5 * MHZ, 5 * MHZ, -5, 9e6)]);
    const inHundred = ownMask([piece(5 * MHZ, 5 * MHZ, -5, 100e3)]);
    const [nine, hundred] = [inNine, inHundred].map((mask) => lines(mask, 30e3)[1].level);
    expect(hundred - nine).toBeCloseTo(10 * Math.log10(90), 6);
    expect(read(spectrum, inNine).levelDbm - read(spectrum, inHundred).levelDbm).toBeCloseTo(10 * Math.log10(90), 6);
    expect(aclr()).toEqual(before);
    // A narrow bump fails the mask and leaves the ACLR nearly alone: the two are read independently.
    const bump = spectrumOf((hz) => (Math.abs(hz - 8 * MHZ) < 50e3 ? -62 : density(hz)));
    const own = ownMask([piece(0.05 * MHZ, 10 * MHZ, -14, 100e3)]);
    expect(read(spectrum, own).worstMarginDb).toBeGreaterThan(0);
    expect(read(bump, own).worstMarginDb).toBeLessThan(0);
    const change =
      measureAclr(bump, RATE, [carrier()], standardChannels([carrier()])).readings[1].aclrDb - before[1].aclrDb;
    expect(change).toBeLessThan(-1);
    expect(change).toBeGreaterThan(-3);
  });

  test('in a gap the lines follow the sum of both sides', () => {
    const carriers = [carrier(-15 * MHZ), carrier(15 * MHZ)];
    const mask = maskLimit(emissionMask('nr.wa.A.gt1g'), { name: 'wide', rangeHz: 10 * MHZ });
    const pieces = levelPieces(mask, 0);
    const drawn = maskLines(pieces, maskReference(carriers, 'channelEdge'), RATE, 100e3);
    const inside = drawn.filter(({ fromHz, toHz }) => fromHz > -10.1e6 && toHz < 10.1e6);
    const points = gapPoints(pieces, { fromHz: -10e6, toHz: 10e6 });
    for (const { centreHz, limitDbm } of points) {
      const line = inside.find(({ fromHz, toHz }) => fromHz <= centreHz && centreHz <= toHz);
      if (line === undefined) throw new Error(`no line at ${centreHz}`);
      const share = (centreHz - line.fromHz) / (line.toHz - line.fromHz);
      expect(line.level + share * (line.toLevel - line.level)).toBeCloseTo(limitDbm, 1);
    }
  });
});

// Source: TS 38.104 v19.4.0 Table 6.6.1-1 (read): 10 MHz for bands up to 200 MHz, 40 MHz above.
test('how far operating-band emissions reach', () => {
  expect([obueRangeHz(75e6), obueRangeHz(200e6), obueRangeHz(500e6)]).toEqual([10e6, 10e6, 40e6]);
});
