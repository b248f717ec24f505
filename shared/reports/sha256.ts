// SHA-256 of a text. The page has no digest without a secure context, and the command line must give the same one.
// Source: FIPS 180-4, sections 4.1.2, 5.1.1 and 6.2.

/** First 32 bits of the fractional parts of the roots (2: square, 3: cube) of the first primes. */
function fractionsOfRoots(count: number, root: 2 | 3): number[] {
  const primes: number[] = [];
  for (let n = 2; primes.length < count; n++) if (primes.every((prime) => n % prime !== 0)) primes.push(n);
  return primes.map((prime) => fractionBits(prime, root));
}

/** floor(frac(prime^(1/root)) · 2³²) in whole numbers: floating-point roots differ between runtimes in their last bit. */
function fractionBits(prime: number, root: 2 | 3): number {
  const scaled = BigInt(prime) << BigInt(32 * root);
  let [low, high] = [0n, 1n << 37n];
  while (high - low > 1n) {
    const middle = (low + high) >> 1n;
    if (middle ** BigInt(root) <= scaled) low = middle;
    else high = middle;
  }
  return Number(low & 0xffffffffn);
}

const START = fractionsOfRoots(8, 2);
const ROUND = fractionsOfRoots(64, 3);

const rotate = (x: number, bits: number) => (x >>> bits) | (x << (32 - bits));

/** The digest of the text's UTF-8 bytes as 64 hexadecimal digits. */
export function sha256(text: string): string {
  const bytes = padded(utf8(text));
  const view = new DataView(bytes.buffer);
  const state = Uint32Array.from(START);
  const schedule = new Uint32Array(64);
  for (let at = 0; at < bytes.length; at += 64) {
    for (let t = 0; t < 16; t++) schedule[t] = view.getUint32(at + 4 * t);
    extend(schedule);
    compress(state, schedule);
  }
  return Array.from(state, (word) => word.toString(16).padStart(8, '0')).join('');
}

/** UTF-8 (RFC 3629); half a surrogate pair becomes the replacement character. */
function utf8(text: string): Uint8Array {
  const bytes: number[] = [];
  for (const character of text) {
    const point = character.codePointAt(0) as number;
    const code = point >= 0xd800 && point <= 0xdfff ? 0xfffd : point;
    if (code < 0x80) bytes.push(code);
    else if (code < 0x800) bytes.push(0xc0 | (code >> 6), 0x80 | (code & 63));
    else if (code < 0x10000) bytes.push(0xe0 | (code >> 12), 0x80 | ((code >> 6) & 63), 0x80 | (code & 63));
    else bytes.push(0xf0 | (code >> 18), 0x80 | ((code >> 12) & 63), 0x80 | ((code >> 6) & 63), 0x80 | (code & 63));
  }
  return Uint8Array.from(bytes);
}

/** A one bit, zeros, and the length in bits, to whole blocks of 64 bytes. */
function padded(message: Uint8Array): Uint8Array {
  const out = new Uint8Array(64 * Math.ceil((message.length + 9) / 64));
  out.set(message);
  out[message.length] = 0x80;
  const view = new DataView(out.buffer);
  view.setUint32(out.length - 8, Math.floor(message.length / 2 ** 29));
  view.setUint32(out.length - 4, (message.length * 8) >>> 0);
  return out;
}

function extend(w: Uint32Array): void {
  for (let t = 16; t < 64; t++) {
    const [a, b] = [w[t - 15] as number, w[t - 2] as number];
    const s0 = rotate(a, 7) ^ rotate(a, 18) ^ (a >>> 3);
    const s1 = rotate(b, 17) ^ rotate(b, 19) ^ (b >>> 10);
    w[t] = (w[t - 16] as number) + s0 + (w[t - 7] as number) + s1;
  }
}

function compress(state: Uint32Array, w: Uint32Array): void {
  let [a, b, c, d, e, f, g, h] = Array.from(state) as [number, number, number, number, number, number, number, number];
  for (let t = 0; t < 64; t++) {
    const s1 = rotate(e, 6) ^ rotate(e, 11) ^ rotate(e, 25);
    const t1 = (h + s1 + ((e & f) ^ (~e & g)) + (ROUND[t] as number) + (w[t] as number)) | 0;
    const s0 = rotate(a, 2) ^ rotate(a, 13) ^ rotate(a, 22);
    const t2 = (s0 + ((a & b) ^ (a & c) ^ (b & c))) | 0;
    [h, g, f, e, d, c, b, a] = [g, f, e, (d + t1) | 0, c, b, a, (t1 + t2) | 0];
  }
  [a, b, c, d, e, f, g, h].forEach((word, i) => {
    state[i] = (state[i] as number) + word;
  });
}
