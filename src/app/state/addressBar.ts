// A scenario as a fragment of the page's address: JSON, raw deflate, base64url, behind a version mark. A fragment never
// reaches a server.
import { type ParseOutcome, parseScenario } from '../../../shared/schema/parse.ts';

const MARK = '#1.';
/** A fragment beyond this is no scenario of ours; unpacking stops there, too. */
const MAXIMUM_TEXT_BYTES = 4_000_000;

async function through(bytes: Uint8Array<ArrayBuffer>, transform: GenericTransformStream): Promise<Uint8Array> {
  const reader = new Blob([bytes]).stream().pipeThrough(transform).getReader();
  const parts: Uint8Array[] = [];
  let byteCount = 0;
  for (let step = await reader.read(); !step.done; step = await reader.read()) {
    const part: Uint8Array = step.value;
    parts.push(part);
    byteCount += part.length;
    if (byteCount > MAXIMUM_TEXT_BYTES) throw new RangeError(`through: more than ${MAXIMUM_TEXT_BYTES} bytes`);
  }
  const whole = new Uint8Array(byteCount);
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}

function toBase64Url(bytes: Uint8Array): string {
  let binary = '';
  for (const byte of bytes) binary += String.fromCharCode(byte);
  return btoa(binary).replaceAll('+', '-').replaceAll('/', '_').replaceAll('=', '');
}

function fromBase64Url(text: string): Uint8Array<ArrayBuffer> {
  const binary = atob(text.replaceAll('-', '+').replaceAll('_', '/'));
  return Uint8Array.from(binary, (character) => character.charCodeAt(0));
}

/** The fragment of a scenario, with its `#`. */
export async function encodeFragment(scenario: unknown): Promise<string> {
  const text = new TextEncoder().encode(JSON.stringify(scenario));
  return MARK + toBase64Url(await through(text, new CompressionStream('deflate-raw')));
}

export type FragmentOutcome = ParseOutcome | { readonly kind: 'none' } | { readonly kind: 'unreadable' };

/** The scenario of a fragment; `none` for an address without one, `unreadable` for one that was damaged on the way. */
export async function decodeFragment(fragment: string): Promise<FragmentOutcome> {
  if (fragment === '' || fragment === '#') return { kind: 'none' };
  if (!fragment.startsWith(MARK)) return { kind: 'unreadable' };
  try {
    const packed = fromBase64Url(fragment.slice(MARK.length));
    const bytes = await through(packed, new DecompressionStream('deflate-raw'));
    return parseScenario(JSON.parse(new TextDecoder('utf-8', { fatal: true }).decode(bytes)));
  } catch {
    // Browsers fail here in different words; they all mean the same.
    return { kind: 'unreadable' };
  }
}
