// What a carrier consists of once it stands on the record: one function a kind.
//
// Subcarrier positions: NR k − 6·N_RB (the carrier's centre carries data, TS 38.211 clause 5.3.1); LTE ±1 … ±6·N_RB (the
// centre is unused, from memory of TS 36.211 clause 6.12).
import type { CarrierGeometry } from '../../../shared/schema/geometry.ts';
import type {
  CarrierSettings,
  MultitoneCarrierSettings,
  NoiseCarrierSettings,
  OfdmCarrierSettings,
  SingleCarrierSettings,
  TwoToneCarrierSettings,
} from '../../../shared/schema/scenario.ts';
import { formatHz } from '../dsp/frequencyText.ts';
import type { Band } from './carrierBand.ts';
import { ringRatiosOf } from './constellation.ts';
import { multitoneGeometry, twoToneGeometry } from './multitone.ts';
import { notchEdges, notchLines } from './notch.ts';
import { rowOf } from './numerologyRow.ts';
import { prefixSamples, type RecordLayout } from './record.ts';
import { rootRaisedCosineHalfBins } from './singleCarrier.ts';
import { binHzOf, formatSymbolRate } from './wholeCycles.ts';

export interface PlacedGeometry {
  readonly geometry: CarrierGeometry;
  readonly halfBinCount: number | null;
}

/** Geometry of a carrier moved to whole cycles; `band` is that of the moved carrier. */
export function geometryOf(carrier: CarrierSettings, band: Band, layout: RecordLayout): PlacedGeometry {
  switch (carrier.kind) {
    case 'ofdm':
      return ofdmGeometry(carrier, band, layout);
    case 'singleCarrier':
      return singleCarrierGeometry(carrier, band, layout);
    case 'multitone':
    case 'twoTone':
      return toneCarrierGeometry(carrier, band, layout);
    case 'noise':
      return noiseGeometry(carrier, band, layout);
    case 'record':
      return {
        geometry: plainGeometry(carrier, band, `record "${carrier.recordName}", ${formatHz(band.occupiedBandwidthHz)}`),
        halfBinCount: Math.floor(band.occupiedBandwidthHz / 2 / binHzOf(layout)),
      };
  }
}

/** What all kinds share, with nothing of any kind. */
function plainGeometry(carrier: CarrierSettings, band: Band, label: string): CarrierGeometry {
  return {
    kind: carrier.kind,
    label,
    offsetHz: band.offsetHz,
    occupiedBandwidthHz: band.occupiedBandwidthHz,
    channelBandwidthHz: band.channelBandwidthHz,
    relativePowerDb: carrier.relativePowerDb,
    ofdm: null,
    singleCarrier: null,
    tones: null,
    notch: null,
  };
}

function ofdmGeometry(carrier: OfdmCarrierSettings, band: Band, layout: RecordLayout): PlacedGeometry {
  const row = rowOf(carrier);
  const { subcarrierSpacingHz } = row;
  const fftLength = Math.round(layout.sampleRateHz / subcarrierSpacingHz);
  const cyclicPrefixSamples = prefixSamples(fftLength);
  const symbolSamples = fftLength + cyclicPrefixSamples;
  const { standard, modulation, notch } = carrier;
  const label = `${standard.toUpperCase()} ${formatHz(row.channelBandwidthHz)}, ${formatHz(subcarrierSpacingHz)}, ${modulation}`;
  const geometry: CarrierGeometry = {
    ...plainGeometry(carrier, band, notch === null ? label : `${label}, ${notchLabel(notch)}`),
    ofdm: {
      subcarrierSpacingHz,
      fftLength,
      cyclicPrefixSamples,
      symbolSamples,
      symbolCount: Math.round(layout.sampleCount / symbolSamples),
      subcarriers: withoutNotch(subcarrierPositions(standard, 12 * row.resourceBlockCount), carrier),
      modulation,
      evmWindowSamples: Math.floor((row.evmWindowSamples * fftLength) / row.fftLength),
    },
    notch: notchEdges(notch),
  };
  return { geometry, halfBinCount: null };
}

function notchLabel({ bandwidthHz }: { readonly bandwidthHz: number }): string {
  return `notch ${formatHz(bandwidthHz)}`;
}

/** Positions against the carrier centre, rising. LTE leaves the centre out; NR begins at −count/2. */
export function subcarrierPositions(standard: 'lte' | 'nr', count: number): Int32Array {
  const positions = new Int32Array(count);
  for (let i = 0; i < count; i++) {
    const position = i - count / 2;
    positions[i] = standard === 'lte' && position >= 0 ? position + 1 : position;
  }
  return positions;
}

function withoutNotch(positions: Int32Array, { notch, subcarrierSpacingHz }: OfdmCarrierSettings): Int32Array {
  if (notch === null) return positions;
  const { first, last } = notchLines(notch, subcarrierSpacingHz);
  return positions.filter((position) => position < first || position > last);
}

function singleCarrierGeometry(carrier: SingleCarrierSettings, band: Band, layout: RecordLayout): PlacedGeometry {
  const { symbolRateHz, rollOffRatio, modulation } = carrier;
  const symbolCount = Math.round(symbolRateHz / binHzOf(layout));
  const label = `${modulation} ${formatSymbolRate(symbolRateHz)}, roll-off ${rollOffRatio}`;
  const geometry: CarrierGeometry = {
    ...plainGeometry(carrier, band, label),
    singleCarrier: {
      symbolRateHz,
      symbolCount,
      samplesPerSymbol: layout.sampleCount / symbolCount,
      rollOffRatio,
      modulation,
      ringRatios: ringRatiosOf(carrier),
    },
  };
  return { geometry, halfBinCount: rootRaisedCosineHalfBins(symbolCount, rollOffRatio) };
}

function toneCarrierGeometry(
  carrier: MultitoneCarrierSettings | TwoToneCarrierSettings,
  band: Band,
  layout: RecordLayout,
): PlacedGeometry {
  const spacing = formatHz(carrier.toneSpacingHz);
  const tones = carrier.kind === 'twoTone' ? twoToneGeometry(carrier) : multitoneGeometry(carrier);
  const label =
    carrier.kind === 'twoTone'
      ? `two tones ${spacing} apart${carrier.upperOverLowerDb === 0 ? '' : `, upper ${signed(carrier.upperOverLowerDb)} dB`}`
      : `${carrier.toneCount} tones ${spacing} apart, ${PHASE_WORDS[carrier.phaseLaw]}`;
  const outermostHz = tones.frequencyHz[tones.frequencyHz.length - 1];
  return {
    geometry: { ...plainGeometry(carrier, band, label), tones },
    halfBinCount: Math.round(outermostHz / binHzOf(layout)),
  };
}

const PHASE_WORDS: Readonly<Record<MultitoneCarrierSettings['phaseLaw'], string>> = {
  inPhase: 'in phase',
  newman: 'Newman phases',
  schroeder: 'Schroeder phases',
  random: 'random phases',
};

function signed(db: number): string {
  return db < 0 ? `−${-db}` : `+${db}`;
}

function noiseGeometry(carrier: NoiseCarrierSettings, band: Band, layout: RecordLayout): PlacedGeometry {
  const { occupiedBandwidthHz } = band;
  const label = `noise ${formatHz(occupiedBandwidthHz)}`;
  const { notch } = carrier;
  return {
    geometry: {
      ...plainGeometry(carrier, band, notch === null ? label : `${label}, ${notchLabel(notch)}`),
      notch: notchEdges(notch),
    },
    halfBinCount: Math.round((occupiedBandwidthHz / binHzOf(layout) - 1) / 2),
  };
}
