// Reports as JSON: arrays as plain lists, and nothing that JSON cannot say.
import type { Report } from '../schema/report.ts';

function plain(_key: string, value: unknown): unknown {
  if (ArrayBuffer.isView(value)) return Array.from(value as unknown as ArrayLike<number>);
  if (typeof value === 'number' && !Number.isFinite(value)) return null;
  return value;
}

/** Indented JSON with a final line end. */
export function toJson(value: unknown): string {
  return `${JSON.stringify(value, plain, 2)}\n`;
}

/** The readings of a report, with or without its traces. */
export function reportJson(report: Report, withTraces: boolean): string {
  const { traces, ...readings } = report;
  return toJson(withTraces ? { ...readings, traces } : readings);
}
