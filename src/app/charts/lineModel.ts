// What a picture of a study shows, as plain data: curves, limits that can be moved, marks, regions, a gap's arrow. Every
// figure is the report's.
import type { AxisText } from './axes.ts';
import type { XyCurve } from './curves.ts';

export interface LineAxis extends AxisText {
  readonly minimum: number;
  readonly maximum: number;
  /** Whether each mark has a second line, such as the power that belongs to a back-off; `format` gives both lines. */
  readonly hasTwoLines?: boolean;
  /** Where the axis is marked; default: round steps. */
  readonly splits?: readonly number[];
}

export interface LineCurve extends XyCurve {
  /** A dot at each point: lines of few points show where they were computed. */
  readonly hasPoints?: boolean;
}

/** A horizontal limit; the hatch is on the forbidden side. With a range it can be moved. */
export interface LineLimit {
  /** Dotted path in the scenario of the number it shows. */
  readonly path: string;
  readonly name: string;
  readonly level: number;
  readonly unit: string;
  readonly forbidden: 'above' | 'below';
  /** False leaves the name to the number above the picture. */
  readonly showsName?: boolean;
  /** Where its name stands; default: left on a lower bound, right on an upper one, where curves are far from it. */
  readonly nameAt?: 'left' | 'right';
  readonly range: { readonly minimum: number; readonly maximum: number; readonly step: number } | null;
}

export interface LineMark {
  readonly x: number;
  readonly y: number;
  readonly variable: string;
  readonly shape: 'ring' | 'dot' | 'square' | 'best';
  readonly label: string;
  /** Where the label is tried first; default: above, to the right. */
  readonly corner?: 'belowLeft' | 'aboveLeft';
  /** Without its label where the picture is narrow. */
  readonly isMinor?: boolean;
}

/** A faint column from one x to another. */
export interface LineRegion {
  readonly fromX: number;
  readonly toX: number;
  readonly variable: string;
  readonly label: string;
}

/** A horizontal arrow with its label above the middle. */
export interface LineArrow {
  readonly fromX: number;
  readonly toX: number;
  readonly y: number;
  readonly label: string;
}

export interface LineModel {
  readonly x: LineAxis;
  readonly y: LineAxis;
  readonly curves: readonly LineCurve[];
  readonly limits: readonly LineLimit[];
  readonly marks: readonly LineMark[];
  readonly regions: readonly LineRegion[];
  readonly arrows: readonly LineArrow[];
  /** Where the cursor stops, rising; empty leaves the picture without a cursor. */
  readonly stops: readonly number[];
  /** A picture above another that has the same axis shows no figures on it. */
  readonly isUpper: boolean;
  readonly hasNames: boolean;
  readonly description: string;
}

/** A model without any of the parts a picture may leave out. */
export const BARE_MODEL = {
  curves: [],
  limits: [],
  marks: [],
  regions: [],
  arrows: [],
  stops: [],
  isUpper: false,
  hasNames: true,
} as const satisfies Partial<LineModel>;

/** Ends of an axis at whole steps around the values, with at least the given ends inside. */
export function roundedRange(values: readonly number[], step: number): { minimum: number; maximum: number } {
  const finite = values.filter(Number.isFinite);
  if (finite.length === 0) return { minimum: 0, maximum: step };
  const minimum = step * Math.floor(Math.min(...finite) / step);
  const maximum = step * Math.ceil(Math.max(...finite) / step);
  return { minimum, maximum: maximum > minimum ? maximum : minimum + step };
}
