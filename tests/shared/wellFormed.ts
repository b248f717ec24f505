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
