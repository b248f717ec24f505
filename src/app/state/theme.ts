// Light, dark, or as the system says. Kept between visits where the browser allows it.

export const THEMES = ['auto', 'light', 'dark'] as const;
export type Theme = (typeof THEMES)[number];

export const THEME_TEXTS: Readonly<Record<Theme, string>> = { auto: 'as the system', light: 'light', dark: 'dark' };

const KEY = 'kneepoint-theme';

/** The theme chosen on an earlier visit. */
export function storedTheme(): Theme {
  try {
    return THEMES.find((theme) => theme === localStorage.getItem(KEY)) ?? 'auto';
  } catch {
    // Storage is denied: the choice lasts as long as the page.
    return 'auto';
  }
}

export function applyTheme(theme: Theme): void {
  if (theme === 'auto') delete document.documentElement.dataset['theme'];
  else document.documentElement.dataset['theme'] = theme;
  try {
    localStorage.setItem(KEY, theme);
  } catch {
    // As above.
  }
}
