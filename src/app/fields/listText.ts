// Lists as people write them: "1, 3, 5" and "1, 0.06-0.04j, -0.025+0.02j".

export type ListKind = 'numbers' | 'complex';

interface Complex {
  readonly re: number;
  readonly im: number;
}

function complexText({ re, im }: Complex): string {
  if (im === 0) return String(re);
  const imaginary = `${Math.abs(im)}j`;
  if (re === 0) return im < 0 ? `-${imaginary}` : imaginary;
  return `${re}${im < 0 ? '-' : '+'}${imaginary}`;
}

/** A list as text; a value that is no list is shown as it is. */
export function listText(value: unknown, kind: ListKind): string {
  if (!Array.isArray(value)) return String(value ?? '');
  return value.map((item) => (kind === 'complex' ? complexText(item as Complex) : String(item))).join(', ');
}

const NUMBER = String.raw`[0-9]*\.?[0-9]+(?:[eE][-+]?[0-9]+)?`;
const COMPLEX = new RegExp(`^(?<re>[-+]?${NUMBER})?(?:(?<im>[-+]?(?:${NUMBER})?)[ij])?$`);

function readComplex(text: string): Complex | null {
  const groups = COMPLEX.exec(text)?.groups;
  if (text === '' || groups === undefined) return null;
  const { re, im } = groups;
  if (im === undefined) return { re: Number(re), im: 0 };
  // "0.5j" has its number taken as the real part when no sign separates the two.
  if (im === '' && re !== undefined) return { re: 0, im: Number(re) };
  return { re: Number(re ?? 0), im: /^[-+]?$/.test(im) ? Number(`${im}1`) : Number(im) };
}

function readNumber(text: string): number | null {
  return text !== '' && Number.isFinite(Number(text)) ? Number(text) : null;
}

/** Spaces about signs and before j go; any other space splits nothing and is refused. */
function closeUp(part: string): string {
  return part
    .replace(/\s*([-+])\s*/g, '$1')
    .replace(/\s+(?=[ij])/g, '')
    .trim();
}

/** The list, or the text itself when any item cannot be read. Minus signs of any kind are taken. */
export function readList(text: string, kind: ListKind): unknown {
  const parts = text.replace(/[−–]/g, '-').split(/[,;]/);
  const items = parts.map((part) => (kind === 'complex' ? readComplex(closeUp(part)) : readNumber(part.trim())));
  return items.includes(null) ? text : items;
}
