// How figures are written on the page, in a terminal and in pictures: true minus sign, thin space before the unit, fixed
// decimals by unit.

const MINUS = '\u2212';
const THIN_SPACE = '\u2009';
/** Shown for a reading that is null: not measured or not to be trusted. */
export const NO_READING = '–';

/** Decimals that a reading of this unit deserves on screen. */
const DECIMALS: Readonly<Record<string, number>> = { dB: 1, dBm: 1, '%': 1, '°': 1, dBsat: 1 };

function withMinus(text: string): string {
  return text.replace('-', MINUS);
}

/** A number with fixed decimals; a value that rounds to zero has no sign. */
export function formatFixed(value: number, decimals: number): string {
  const text = value.toFixed(decimals);
  return Number(text) === 0 ? (0).toFixed(decimals) : withMinus(text);
}

/** An error below this many dB is the rounding of the arithmetic. */
const ROUNDING_DB = -200;

/** An error in dB; what is only rounding reads "below −200". */
export function formatErrorDb(value: number, decimals: number): string {
  return value < ROUNDING_DB ? `below ${formatFixed(ROUNDING_DB, 0)}` : formatFixed(value, decimals);
}

/** A number with about this many significant digits and no exponent between 1e-3 and 1e6. */
export function formatSignificant(value: number, digits = 3): string {
  if (value === 0) return '0';
  const magnitude = Math.abs(value);
  if (magnitude >= 1e6 || magnitude < 1e-3) return formatPowerOfTen(value, digits);
  return withMinus(String(Number(value.toPrecision(digits))));
}

/** A condition number: whole below 1000, a power of ten above; null reads "beyond double precision". */
export function formatConditionNumber(value: number | null): string {
  if (value === null) return 'beyond double precision';
  return value < 1000 ? String(Math.round(value)) : formatPowerOfTen(value, 2);
}

/** 1.2·10⁵ with real superscripts; a bare power of ten drops its factor. */
export function formatPowerOfTen(value: number, digits = 2): string {
  const [factor = '', exponent = '0'] = value.toExponential(Math.max(0, digits - 1)).split('e');
  const trimmed = withMinus(String(Number(factor)));
  const power = `10${superscript(Number(exponent))}`;
  return trimmed === '1' ? power : `${trimmed}·${power}`;
}

const SUPERSCRIPTS: Readonly<Record<string, string>> = {
  '-': '⁻',
  '0': '⁰',
  '1': '¹',
  '2': '²',
  '3': '³',
  '4': '⁴',
  '5': '⁵',
  '6': '⁶',
  '7': '⁷',
  '8': '⁸',
  '9': '⁹',
};

export function superscript(whole: number): string {
  return [...String(whole)].map((character) => SUPERSCRIPTS[character] ?? character).join('');
}

/** Reading with its unit, such as "36.5 dBm"; null is a dash without a unit. */
export function formatQuantity(value: number | null, unit: string, decimals = DECIMALS[unit] ?? 1): string {
  if (value === null) return NO_READING;
  return withUnit(formatFixed(value, decimals), unit);
}

/** Same with a plus sign on positive values: margins and differences. */
export function formatSigned(value: number, unit: string, decimals = DECIMALS[unit] ?? 1): string {
  const text = formatFixed(value, decimals);
  const isPositive = Number(value.toFixed(decimals)) > 0;
  return withUnit(isPositive ? `+${text}` : text, unit);
}

/** Text and unit with the thin space between; percent and degree stand close in the trade, but keep the space here. */
export function withUnit(text: string, unit: string): string {
  if (unit === '') return text;
  return unit === '°' ? `${text}°` : `${text}${THIN_SPACE}${unit}`;
}

const PREFIXES: readonly (readonly [number, string])[] = [
  [1e9, 'G'],
  [1e6, 'M'],
  [1e3, 'k'],
  [1, ''],
  [1e-3, 'm'],
  [1e-6, 'µ'],
  [1e-9, 'n'],
  [1e-12, 'p'],
];

/** Engineering form: 122.88 MHz, 4.47 W, 80 ns. */
export function formatEngineering(value: number | null, unit: string, digits = 3): string {
  if (value === null) return NO_READING;
  const magnitude = Math.abs(value);
  if (magnitude === 0) return withUnit('0', unit);
  // Half a digit below the prefix still rounds up to it.
  const prefix = PREFIXES.find(([factor]) => magnitude >= factor * (1 - 0.5 * 10 ** -digits)) ?? [1e-12, 'p'];
  return withUnit(withMinus(String(Number((value / prefix[0]).toPrecision(digits)))), `${prefix[1]}${unit}`);
}

/** A frequency offset for a read-out: "+4.80 MHz". */
export function formatOffset(frequencyHz: number): string {
  return formatSigned(frequencyHz / 1e6, 'MHz', 2);
}

/** A count with thin spaces between thousands. */
export function formatCount(count: number): string {
  return String(count).replace(/\B(?=(\d{3})+(?!\d))/g, THIN_SPACE);
}

/** A probability as a power of ten. */
export function formatProbability(probability: number): string {
  return formatPowerOfTen(probability, 1);
}
