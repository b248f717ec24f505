// SigMF datatypes: bytes to samples and back. Grammar (SigMF v1.2.5): r|c, then f32 f64 i32 i16 u32 u16 with _le|_be,
// or i8 u8 without; complex is I then Q, and the width is that of one of them.
//
// The standard leaves the full scale of fixed-point samples open. Common practice: signed samples are divided by
// 2^(bits−1); unsigned ones are offset binary, so the mid-scale 2^(bits−1) is taken off first.
import { type ComplexSignal, zeros } from '../dsp/complex.ts';

export interface Datatype {
  readonly name: string;
  readonly isComplex: boolean;
  readonly number: 'float' | 'signed' | 'unsigned';
  readonly bits: 8 | 16 | 32 | 64;
  readonly littleEndian: boolean;
  /** Bytes of one sample: both components when complex. */
  readonly sampleBytes: number;
  /** What one stored unit is divided by, or null for floating point, which is taken as it stands. */
  readonly fullScale: number | null;
}

const GRAMMAR = /^([rc])(?:([fiu])(64|32|16)_([lb]e)|([iu])(8))$/;
const NUMBER_KINDS = { f: 'float', i: 'signed', u: 'unsigned' } as const;

export const DATATYPE_RULE =
  'must be "c" or "r", then f32, f64, i32, i16, u32 or u16 with "_le" or "_be", or i8 or u8 without';

/** The datatype of a name, or null when the name does not follow the grammar. */
export function parseDatatype(name: string): Datatype | null {
  const match = GRAMMAR.exec(name);
  if (match === null) return null;
  const letter = (match[2] ?? match[5]) as 'f' | 'i' | 'u';
  const bits = Number(match[3] ?? match[6]) as Datatype['bits'];
  // The grammar has 64 bits for floating point only.
  if (letter !== 'f' ? bits === 64 : bits === 16) return null;
  const isComplex = match[1] === 'c';
  return {
    name,
    isComplex,
    number: NUMBER_KINDS[letter],
    bits,
    littleEndian: match[4] !== 'be',
    sampleBytes: (bits / 8) * (isComplex ? 2 : 1),
    fullScale: letter === 'f' ? null : 2 ** (bits - 1),
  };
}

/**
 * Complex samples of whole sample groups; the caller has checked that the datatype is complex and the size fits.
 * `into` may hold the result; it must have room for exactly as many samples.
 */
export function decodeSamples(data: Uint8Array, type: Datatype, into?: ComplexSignal): ComplexSignal {
  const count = data.byteLength / type.sampleBytes;
  if (!type.isComplex || !Number.isInteger(count) || (into !== undefined && into.re.length !== count)) {
    throw new RangeError(`decodeSamples: ${data.byteLength} bytes are not a whole number of ${type.name} samples`);
  }
  const out = into ?? zeros(count);
  const offset = type.number === 'unsigned' ? (type.fullScale as number) : 0;
  // The full scale is a power of two, so the product is exact.
  const unit = type.fullScale === null ? 1 : 1 / type.fullScale;
  const numbers = numbersInPlace(data, type);
  if (numbers !== null) {
    for (let n = 0; n < count; n++) {
      out.re[n] = (numbers[2 * n] - offset) * unit;
      out.im[n] = (numbers[2 * n + 1] - offset) * unit;
    }
    return out;
  }
  const read = componentReader(new DataView(data.buffer, data.byteOffset, data.byteLength), type);
  const width = type.bits / 8;
  for (let n = 0, at = 0; n < count; n++, at += 2 * width) {
    out.re[n] = (read(at) - offset) * unit;
    out.im[n] = (read(at + width) - offset) * unit;
  }
  return out;
}

const PLATFORM_IS_LITTLE_ENDIAN = new Uint8Array(new Uint16Array([1]).buffer)[0] === 1;
const ARRAYS = {
  float: { 32: Float32Array, 64: Float64Array },
  signed: { 8: Int8Array, 16: Int16Array, 32: Int32Array },
  unsigned: { 8: Uint8Array, 16: Uint16Array, 32: Uint32Array },
} as const;

/** The bytes as the platform's own numbers, several times as fast; null where order or alignment differ. */
function numbersInPlace(data: Uint8Array, { number, bits, littleEndian }: Datatype): ArrayLike<number> | null {
  const width = bits / 8;
  if (data.byteOffset % width !== 0 || (bits > 8 && littleEndian !== PLATFORM_IS_LITTLE_ENDIAN)) return null;
  const arrays: Partial<
    Record<number, new (buffer: ArrayBufferLike, at: number, length: number) => ArrayLike<number>>
  > = ARRAYS[number];
  const NumberArray = arrays[bits];
  return NumberArray === undefined ? null : new NumberArray(data.buffer, data.byteOffset, data.byteLength / width);
}

function componentReader(view: DataView, type: Datatype): (at: number) => number {
  const le = type.littleEndian;
  const signed = type.number === 'signed';
  if (type.number === 'float') {
    return type.bits === 32 ? (at) => view.getFloat32(at, le) : (at) => view.getFloat64(at, le);
  }
  if (type.bits === 8) return signed ? (at) => view.getInt8(at) : (at) => view.getUint8(at);
  if (type.bits === 16) return signed ? (at) => view.getInt16(at, le) : (at) => view.getUint16(at, le);
  return signed ? (at) => view.getInt32(at, le) : (at) => view.getUint32(at, le);
}

/** cf32_le: relative rounding 2^−24 (6e−8), about −150 dB of the record's power. */
export function encodeFloat32(x: ComplexSignal): Uint8Array<ArrayBuffer> {
  const bytes = new Uint8Array(8 * x.re.length);
  const view = new DataView(bytes.buffer);
  for (let n = 0; n < x.re.length; n++) {
    view.setFloat32(8 * n, x.re[n], true);
    view.setFloat32(8 * n + 4, x.im[n], true);
  }
  return bytes;
}
