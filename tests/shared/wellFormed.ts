// A small check of well-formed XML (XML 1.0, sections 2 and 3): enough for documents without prologue, comments or CDATA.

const TAG = /<(\/?)([A-Za-z_][\w.-]*)((?:\s+[\w:.-]+="[^"<]*")*)\s*(\/?)>/y;
const TEXT = /(?:[^<&\]]|&(?:amp|lt|gt|quot|apos|#\d+|#x[0-9a-fA-F]+);|\](?!\]>))+/y;

/** What is wrong and where, or null. */
export function wellFormednessFault(document: string): string | null {
  const text = document.trim();
  const open: string[] = [];
  let at = 0;
  while (at < text.length) {
    if (at > 0 && open.length === 0) return `something follows the document at ${at}`;
    TEXT.lastIndex = at;
    const plain = open.length > 0 ? TEXT.exec(text) : null;
    if (plain !== null) {
      at += plain[0].length;
      continue;
    }
    TAG.lastIndex = at;
    const tag = TAG.exec(text);
    if (tag === null) return `no tag and no text at ${at}: ${text.slice(at, at + 40)}`;
    const [whole, closing, name = '', attributes = '', empty] = tag;
    at += whole.length;
    const names = [...attributes.matchAll(/([\w:.-]+)=/g)].map((match) => match[1]);
    if (new Set(names).size !== names.length) return `an attribute twice in ${whole}`;
    if (/&(?!(?:amp|lt|gt|quot|apos|#\d+|#x[0-9a-fA-F]+);)/.test(attributes)) return `a bare & in ${whole}`;
    if (closing === '/') {
      const expected = open.pop();
      if (expected !== name) return `</${name}> closes <${expected}> at ${at}`;
    } else if (empty !== '/') {
      open.push(name);
    }
  }
  return open.length === 0 ? null : `<${open.at(-1)}> is never closed`;
}

/** Tags that HTML never closes. */
const VOID_TAG = /<(meta|br|link|img)((?:\s+[\w:.-]+="[^"]*")*)>/g;

/** What is wrong with a report's page: not well-formed, or not self-contained; null when it is sound. */
export function htmlFault(page: string): string | null {
  if (!page.startsWith('<!doctype html>\n')) return 'no doctype';
  const external = /<(?:link|img|iframe|object|embed|audio|video)\b|\ssrc=|\shref=|url\(|@import/.exec(page);
  if (external !== null) return `loads something: ${external[0]}`;
  const addresses = page.replaceAll('http://www.w3.org/2000/svg', '').match(/https?:\/\/[^\s"<]+/g);
  if (addresses !== null) return `names an address: ${addresses[0]}`;
  const scripts = page.match(/<script\b[^>]*>/g) ?? [];
  if (scripts.some((tag) => !tag.includes('type="application/json"'))) return 'runs something';
  if (!page.includes(`content="default-src 'none'; style-src 'unsafe-inline'"`)) return 'no content security policy';
  const xml = page
    .slice('<!doctype html>\n'.length)
    .replace(/<(script|style)\b[^>]*>[\s\S]*?<\/\1>/g, '')
    .replace(VOID_TAG, '<$1$2/>');
  return wellFormednessFault(xml);
}
