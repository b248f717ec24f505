// Carriers moved onto the record, so that it is periodic: offsets and tones on whole cycles, symbols in a whole number,
// noise on an odd number of whole bins, notches on whole bins or subcarriers.
import type { Issue, Warning } from '../../../shared/schema/issue.ts';
import { printValue } from '../../../shared/schema/issue.ts';
import type {
  CarrierSettings,
  MultitoneCarrierSettings,
  NoiseCarrierSettings,
  SingleCarrierSettings,
  TwoToneCarrierSettings,
} from '../../../shared/schema/scenario.ts';
import { formatHz } from '../dsp/frequencyText.ts';
import { checkNoiseNotch, snapNotch } from './notch.ts';
import type { RecordLayout } from './record.ts';

/** Fewer symbols in a record than this are no modulated carrier. */
const LEAST_SYMBOLS = 16;

type ToneCarrierSettings = MultitoneCarrierSettings | TwoToneCarrierSettings;

/** Spectral resolution of the record: one cycle per record. */
export function binHzOf({ sampleRateHz, sampleCount }: Pick<RecordLayout, 'sampleRateHz' | 'sampleCount'>): number {
  return sampleRateHz / sampleCount;
}

/** The carrier as it stands on the record; faults go to `issues`. A channel "auto" stays so. */
export function onWholeCycles(
  carrier: CarrierSettings,
  carrierIndex: number,
  layout: RecordLayout,
  issues: Issue[],
): CarrierSettings {
  const binHz = binHzOf(layout);
  const offsetHz = Math.round(carrier.offsetHz / binHz) * binHz;
  const path = `waveform.carriers.${carrierIndex}`;
  switch (carrier.kind) {
    case 'ofdm': {
      const { subcarrierSpacingHz } = carrier;
      return { ...carrier, offsetHz, notch: carrier.notch && snapNotch(carrier.notch, subcarrierSpacingHz) };
    }
    case 'singleCarrier':
      return { ...carrier, offsetHz, symbolRateHz: wholeSymbolsHz(carrier, path, binHz, issues) };
    case 'multitone':
    case 'twoTone':
      return { ...carrier, offsetHz, toneSpacingHz: wholeSpacingHz(carrier, path, binHz, issues) };
    case 'noise':
      return { ...noiseOnWholeBins(carrier, carrierIndex, binHz, issues), offsetHz };
    case 'record':
      return { ...carrier, offsetHz };
  }
}

/** Least values of the fields, which moving must not fall below: what was resolved can be resolved again. */
const LEAST_HZ = { symbolRateHz: 1e3, toneSpacingHz: 100, occupiedBandwidthHz: 1e3 } as const;

/** The multiple of `step` nearest to `value` that is at least `least`. */
function wholeCount(value: number, step: number, least: number): number {
  return step * Math.max(Math.round(value / step), Math.ceil(least / step - 1e-9));
}

/** Symbols per record times one cycle; an even number for π/2-BPSK, whose rotation has a period of two symbols. */
function wholeSymbolsHz(carrier: SingleCarrierSettings, path: string, binHz: number, issues: Issue[]): number {
  const step = carrier.modulation === 'pi/2-BPSK' ? 2 : 1;
  const symbolCount = wholeCount(carrier.symbolRateHz / binHz, step, LEAST_HZ.symbolRateHz / binHz);
  if (symbolCount < LEAST_SYMBOLS) {
    issues.push({
      path: `${path}.symbolRateHz`,
      rule: `must put at least ${LEAST_SYMBOLS} symbols into the record, which lasts ${Number((1e6 / binHz).toPrecision(4))} µs`,
      value: printValue(carrier.symbolRateHz),
      remedy: `use ${formatHz(LEAST_SYMBOLS * binHz)} or more, a longer record or a lower sample rate`,
    });
  }
  return symbolCount * binHz;
}

/** Whole cycles between neighbours; an even number when the tones are, because they then stand at half spacings. */
function wholeSpacingHz(carrier: ToneCarrierSettings, path: string, binHz: number, issues: Issue[]): number {
  const step = carrier.kind === 'twoTone' || carrier.toneCount % 2 === 0 ? 2 : 1;
  const cycles = wholeCount(carrier.toneSpacingHz / binHz, step, LEAST_HZ.toneSpacingHz / binHz);
  if (carrier.toneSpacingHz < (step * binHz) / 2) {
    issues.push({
      path: `${path}.toneSpacingHz`,
      rule: `must be at least ${formatHz(step * binHz)}, ${step === 1 ? 'one cycle' : 'two cycles'} of the record`,
      value: printValue(carrier.toneSpacingHz),
      remedy: `use ${formatHz(step * binHz)} or more, a longer record or a lower sample rate`,
    });
  }
  return cycles * binHz;
}

/** Noise fills an odd number of bins about its centre; a channel as wide as the noise follows it. */
function noiseOnWholeBins(
  carrier: NoiseCarrierSettings,
  carrierIndex: number,
  binHz: number,
  issues: Issue[],
): NoiseCarrierSettings {
  const least = (LEAST_HZ.occupiedBandwidthHz / binHz - 1) / 2;
  const halfBinCount = wholeCount((carrier.occupiedBandwidthHz / binHz - 1) / 2, 1, Math.max(0, least));
  const occupiedBandwidthHz = (2 * halfBinCount + 1) * binHz;
  const notch = carrier.notch && snapNotch(carrier.notch, binHz);
  if (notch !== null && issues.length === 0) checkNoiseNotch(notch, halfBinCount, binHz, carrierIndex, issues);
  const follows = carrier.channelBandwidthHz === carrier.occupiedBandwidthHz;
  return {
    ...carrier,
    occupiedBandwidthHz,
    channelBandwidthHz: follows ? occupiedBandwidthHz : carrier.channelBandwidthHz,
    notch,
  };
}

/** What was moved, a note a kind of move, with the numbers. */
export function movingNotes(asked: readonly CarrierSettings[], placed: readonly CarrierSettings[]): Warning[] {
  const moves = placed.flatMap((carrier, i) => movesOf(asked[i], carrier).map((move) => ({ ...move, index: i })));
  return NOTES.flatMap(({ code, opening, closing }) => {
    const told = moves.filter((move) => move.code === code).map(({ index, text }) => `carrier ${index + 1} ${text}`);
    return told.length === 0 ? [] : [{ code, message: `${opening}: ${told.join('; ')}${closing}.` }];
  });
}

const NOTES = [
  {
    code: 'carrier-moved',
    opening: 'Moved to whole cycles per record, so that the record is periodic',
    closing: '',
  },
  {
    code: 'noise-width-changed',
    opening: 'Noise fills an odd number of whole bins of the record',
    closing: ' occupied bandwidth',
  },
  {
    code: 'symbol-rate-moved',
    opening: 'The record holds a whole number of symbols, so that it is periodic',
    closing: '',
  },
  {
    code: 'tone-spacing-moved',
    opening: 'Tones stand on whole cycles per record, so that the record is periodic',
    closing: ' spacing',
  },
  {
    code: 'notch-moved',
    opening: 'The notch is widened to whole bins or subcarriers',
    closing: '',
  },
] as const;

type MoveCode = (typeof NOTES)[number]['code'];

interface Move {
  readonly code: MoveCode;
  readonly text: string;
}

/** Less is rounding: relative to a symbol rate of 100 MHz it is 1e-14. */
const MOVED_HZ = 1e-6;

function movesOf(asked: CarrierSettings, placed: CarrierSettings): Move[] {
  const moves: Move[] = [];
  const fromTo = (code: MoveCode, from: number, to: number, format = formatHz) => {
    if (Math.abs(to - from) > MOVED_HZ) moves.push({ code, text: `from ${format(from)} to ${format(to)}` });
  };
  const byHz = placed.offsetHz - asked.offsetHz;
  if (Math.abs(byHz) > MOVED_HZ) {
    moves.push({ code: 'carrier-moved', text: `by ${formatHz(byHz)} to ${formatHz(placed.offsetHz)}` });
  }
  if (asked.kind === 'noise' && placed.kind === 'noise') {
    fromTo('noise-width-changed', asked.occupiedBandwidthHz, placed.occupiedBandwidthHz);
  }
  if (asked.kind === 'singleCarrier' && placed.kind === 'singleCarrier') {
    fromTo('symbol-rate-moved', asked.symbolRateHz, placed.symbolRateHz, formatSymbolRate);
  }
  if ('toneSpacingHz' in asked && 'toneSpacingHz' in placed) {
    fromTo('tone-spacing-moved', asked.toneSpacingHz, placed.toneSpacingHz);
  }
  if ('notch' in asked && 'notch' in placed && asked.notch && placed.notch) {
    const text = `to ${formatHz(placed.notch.bandwidthHz)} at ${formatHz(placed.notch.offsetHz)}`;
    const isMoved =
      Math.abs(placed.notch.bandwidthHz - asked.notch.bandwidthHz) > MOVED_HZ ||
      Math.abs(placed.notch.offsetHz - asked.notch.offsetHz) > MOVED_HZ;
    if (isMoved) moves.push({ code: 'notch-moved', text });
  }
  return moves;
}

/** "15.36 Msym/s". */
export function formatSymbolRate(symbolRateHz: number): string {
  return formatHz(symbolRateHz).replace('Hz', 'sym/s');
}
