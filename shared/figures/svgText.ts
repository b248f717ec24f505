// Small pieces of SVG as text.

/** Text between tags or inside quotation marks. Characters that XML forbids are dropped. */
export function escapeXml(text: string): string {
  return (
    text
      // biome-ignore lint/suspicious/noControlCharactersInRegex: XML 1.0 forbids exactly these.
      .replace(/[\u0000-\u0008\u000B\u000C\u000E-\u001F\uFFFE\uFFFF]/g, '')
      .replace(/&/g, '&amp;')
      .replace(/</g, '&lt;')
      .replace(/>/g, '&gt;')
      .replace(/"/g, '&quot;')
  );
}

type Attributes = Readonly<Record<string, string | number | undefined>>;

/** `<name a="1">children</name>`, or an empty tag without children. */
export function tag(name: string, attributes: Attributes, children = ''): string {
  const list = Object.entries(attributes)
    .filter(([, value]) => value !== undefined)
    .map(([key, value]) => ` ${key}="${typeof value === 'number' ? pixel(value) : escapeXml(String(value))}"`)
    .join('');
  return children === '' ? `<${name}${list}/>` : `<${name}${list}>${children}</${name}>`;
}

/** A tag around plain text. */
export function textTag(attributes: Attributes, text: string): string {
  return tag('text', attributes, escapeXml(text));
}

/** Tenths of a pixel are finer than any line. */
export function pixel(value: number): string {
  return String(Math.round(value * 10) / 10);
}

/** A path in relative steps, which take half the characters of absolute places; rounding does not add up. */
export function pathOf(points: readonly (readonly [number, number])[]): string {
  let [atX, atY] = [0, 0];
  return points
    .map(([pointX, pointY], i) => {
      const [x, y] = [Math.round(10 * pointX), Math.round(10 * pointY)];
      const step = `${tenths(x - atX)}${separated(tenths(y - atY))}`;
      [atX, atY] = [x, y];
      return `${i === 0 ? 'M' : 'l'}${step}`;
    })
    .join('');
}

function tenths(value: number): string {
  return String(value / 10).replace(/^(-?)0\./, '$1.');
}

/** A minus sign separates two numbers by itself. */
function separated(text: string): string {
  return text.startsWith('-') ? text : ` ${text}`;
}
