// Compares quoted text with what a program prints: the same words, and numbers that differ by rounding only.

const NUMBER = /([-\u2212]?\d*\.?\d+)/;

/** One unit in the last printed place: another runtime's sine may turn the last digit. */
function toleranceOf(text: string): number {
  return 10 ** -(text.split('.')[1]?.length ?? 0) * 1.000001;
}

/** What differs between two texts, or null. Blanks count once. */
export function differenceOf(quoted: string, actual: string): string | null {
  const a = quoted.trim().replace(/\s+/g, ' ').split(NUMBER);
  const b = actual.trim().replace(/\s+/g, ' ').split(NUMBER);
  for (let i = 0; i < Math.max(a.length, b.length); i++) {
    const [left = 'nothing', right = 'nothing'] = [a[i], b[i]];
    const isNumber = i & 1;
    const apart = Math.abs(numberOf(left) - numberOf(right));
    const same = isNumber ? apart <= toleranceOf(left) : left === right;
    if (!same) return `quoted "${left}", got "${right}" after "${a.slice(Math.max(0, i - 4), i).join('')}"`;
  }
  return null;
}

function numberOf(text: string): number {
  return Number(text.replace('\u2212', '-'));
}
