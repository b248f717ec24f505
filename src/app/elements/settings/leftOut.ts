// A field whose effect may be left out: "none", and where it begins when it is not.
import type { FieldOptions } from './context.ts';

export function leftOut(start: number): FieldOptions {
  return { special: { value: null, text: 'none' }, start };
}
