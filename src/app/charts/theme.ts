// Charts are drawn on a canvas, which knows no custom properties: colours are resolved through a real property of a probe
// element, and charts are told when the theme changes.

let probe: HTMLElement | null = null;
const resolved = new Map<string, string>();
const listeners = new Set<() => void>();
let isWatching = false;

function probeElement(): HTMLElement {
  if (probe === null) {
    probe = document.createElement('span');
    probe.hidden = true;
    document.body.append(probe);
  }
  return probe;
}

/** The colour that a custom property has under the present theme, as `rgb(…)`. */
export function colorOf(variable: string): string {
  const known = resolved.get(variable);
  if (known !== undefined) return known;
  const element = probeElement();
  element.style.setProperty('color', `var(${variable})`);
  const color = getComputedStyle(element).color;
  resolved.set(variable, color);
  return color;
}

/** Red, green and blue, 0 to 255, of a custom property's colour. */
export function channelsOf(variable: string): readonly [number, number, number] {
  const [red = 0, green = 0, blue = 0] = (colorOf(variable).match(/[\d.]+/g) ?? []).map(Number);
  return [red, green, blue];
}

/** A custom property's colour with another opacity. */
export function fadedColorOf(variable: string, opacity: number): string {
  const [red, green, blue] = channelsOf(variable);
  return `rgb(${red} ${green} ${blue} / ${opacity})`;
}

/** CSS pixels of this many of the root's font sizes; charts grow with the page's type. */
export function remPixels(rem: number): number {
  return rem * Number.parseFloat(getComputedStyle(document.documentElement).fontSize);
}

/** uPlot scales the first number of a font for dense screens, so that number must be the size, and whole. */
export function chartFont(rem = 0.8125, weight = 400): string {
  const size = `${Math.round(remPixels(rem))}px system-ui, -apple-system, "Segoe UI", Roboto, "Noto Sans", sans-serif`;
  return weight === 400 ? size : `${weight} ${size}`;
}

function announce(): void {
  resolved.clear();
  for (const listener of listeners) listener();
}

function watch(): void {
  if (isWatching) return;
  isWatching = true;
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', announce);
  new MutationObserver(announce).observe(document.documentElement, { attributeFilter: ['data-theme'] });
}

/** Calls back after each change of theme; returns the function that ends it. */
export function onThemeChange(listener: () => void): () => void {
  watch();
  listeners.add(listener);
  return () => listeners.delete(listener);
}
