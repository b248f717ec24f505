// Tables, pages and pictures of the studies.
import { describe, expect, test } from 'vitest';
import { cautions } from '../../shared/cautions.ts';
import { studyFigures } from '../../shared/figures/studyFigures.ts';
import { fillTable, tableCsv, tableHtml } from '../../shared/reports/readingTable.ts';
import { studyFloors } from '../../shared/reports/studyFloors.ts';
import { studyPage } from '../../shared/reports/studyPage.ts';
import { studyTables } from '../../shared/reports/studyTables.ts';
import type { LadderResult, MapResult, StudyReport } from '../../shared/schema/studyReport.ts';
import { readingTableText } from '../../src/cli/output/readingTableText.ts';
import {
  type Answered,
  answerStudy,
  SMALL_BENCH,
  SMALL_KINDS,
  type SmallKind,
  smallStudy,
} from '../cli/smallStudies.ts';
import { htmlFault, wellFormednessFault } from './wellFormed.ts';

const answers = new Map<SmallKind, Answered>();
function answered(kind: SmallKind): Answered {
  const found = answers.get(kind) ?? answerStudy(smallStudy(kind));
  answers.set(kind, found);
  return found;
}

const ladderOf = (report: StudyReport) => report.result as LadderResult;
const mapOf = (report: StudyReport) => report.result as MapResult;

describe('a table', () => {
  const rows = [
    { name: 'a, "b"', x: 1 / 3, y: null as number | null },
    { name: '=1+1', x: -20, y: null },
  ];
  const table = fillTable('t', 'A <caption>', rows, [
    { heading: 'name', value: ({ name }) => name },
    { group: 'both', heading: 'x, dB', decimals: 1, value: ({ x }) => x },
    { group: 'both', heading: 'y, dB', decimals: 1, value: ({ y }) => y },
    { heading: 'kept', keep: true, value: () => null },
  ]);

  test('leaves out columns without a value, unless they are kept', () => {
    expect(table.columns.map(({ heading }) => heading)).toEqual(['name', 'x, dB', 'kept']);
  });

  test('is CSV with units in the headings and full precision; a text is never a formula', () => {
    expect(tableCsv(table)).toBe('"name","both, x, dB","kept"\r\n"a, ""b""",0.3333333333333333,\r\n"\'=1+1",-20,\r\n');
  });

  test('is HTML with a caption, scopes and spans', () => {
    const html = tableHtml(table);
    expect(wellFormednessFault(html)).toBeNull();
    expect(html).toContain('<caption>A &lt;caption&gt;</caption>');
    expect(html).toContain('<th scope="colgroup" colspan="1">both</th>');
    expect(html).toContain('<td>−20.0</td>');
  });

  test('is text with numbers on the decimal point and groups over their columns', () => {
    expect(readingTableText(table).split('\n')).toEqual([
      'A <caption>',
      '         both',
      'name    x, dB  kept',
      'a, "b"    0.3  –',
      '=1+1    −20.0  –',
      '',
    ]);
  });
});

describe.each(SMALL_KINDS)('%s', (kind) => {
  test('every picture is a well-formed document that loads nothing and prints no faulty number', () => {
    const figures = studyFigures(answered(kind).report);
    expect(figures.length).toBeGreaterThan(0);
    for (const { name, svg } of figures) {
      expect(wellFormednessFault(svg), name).toBeNull();
      expect(svg).not.toMatch(/NaN|undefined|Infinity|null|href|url\(|<image/);
      expect(svg).toMatch(/<title>[^<]+<\/title>/);
    }
  });

  test('the page is well-formed, loads nothing, and holds answer, tables, conditions, floors, cautions and the study', () => {
    const { report, known } = answered(kind);
    const page = studyPage(report, studyFloors(known.values()));
    expect(htmlFault(page)).toBeNull();
    const text = page.replaceAll('\u00a0', ' ').replaceAll('&quot;', '"').replaceAll('&amp;', '&');
    for (const part of [report.answer, ...cautions, '"requiredDb": 40']) expect(text).toContain(part);
    // Tones are lines on exact bins: no channel's floor bounds them. Bursts are compared with the warm one.
    expect(text.includes('What bounds the first channel’s ACLR')).toBe(kind !== 'tones' && kind !== 'burst');
    for (const { caption } of studyTables(report)) expect(text).toContain(caption);
    expect(page).toContain('@page { size: A4');
    expect(page).not.toMatch(/NaN|undefined|Infinity|\[object/);
  });

  test('every figure of the tables has its unit in its heading, or a column for it', () => {
    for (const { columns, name } of studyTables(answered(kind).report)) {
      const hasUnits = columns.some(({ heading }) => heading === 'unit');
      const bare = columns.filter(
        ({ heading, group, isText }) =>
          !isText &&
          !hasUnits &&
          !/dB[mc]?\b|MHz|%|\bms\b|\bW\b|°C|^(coefficients|multiplies|operations|tables|bytes|condition|units|pass|\d+)$/.test(
            `${group} ${heading}`,
          ) &&
          !/^(coefficients|multiplies|operations|tables|bytes|condition|units|pass|sets|symbols?|\d+)$/.test(heading),
      );
      expect(bare, name).toEqual([]);
    }
  });
});

describe('the ladder', () => {
  test('its picture carries the limits, the crossing in dB and dBm, and the gap', () => {
    const { report } = answered('ladder');
    const svg = studyFigures(report)[0]?.svg ?? '';
    const needed = ladderOf(report).crossings.find(({ of, limit }) => of === 'corrected' && limit === 'all limits');
    expect(needed?.bracketed).toBe(true);
    expect(svg).toContain(
      `>${needed?.outputBackoffDb.toFixed(1)}\u2009dB: ${needed?.meanPowerDbm?.toFixed(1)}\u2009dBm<`,
    );
    expect(svg).toContain(`correction buys ${ladderOf(report).gain?.backoffDb.toFixed(1)}\u2009dB`);
    for (const text of [
      'ACLR adjacent ≥ 40\u2009dB',
      'EVM ≤ 8\u2009%',
      'within all limits, corrected',
      'Ideal limiter',
    ]) {
      expect(svg).toContain(text);
    }
  });

  test('a limit that is not met stands in the table with its nearest miss', () => {
    const strict = { ...SMALL_BENCH, limits: [{ reading: 'aclr', requiredDb: 119 }] };
    const { report } = answerStudy(smallStudy('ladder', strict));
    const [table] = studyTables(report);
    const row = table?.rows.find(({ texts }) => texts[1] === 'corrected');
    const miss = ladderOf(report).unmet.find(({ of }) => of === 'corrected')?.bestMarginDb ?? 0;
    expect(row?.texts[2]).toBe('–');
    expect(row?.texts.at(-1)).toBe(`not met, misses by ${(-miss).toFixed(1)} dB`);
  });

  test('without a power scale there is neither dBm nor W', () => {
    const amplifier = { ...SMALL_BENCH.amplifier, saturatedPowerDbm: null };
    const { report } = answerStudy(smallStudy('ladder', { ...SMALL_BENCH, amplifier }));
    for (const { columns } of studyTables(report))
      expect(columns.map(({ heading }) => heading).join()).not.toContain('dBm');
    expect(studyFigures(report)[0]?.svg).not.toContain('dBm');
  });
});

describe('the order map', () => {
  test('a cell for each structure, the cheapest that passes is ringed', () => {
    const { report } = answered('map');
    const { cells, ringed } = mapOf(report);
    const svg = studyFigures(report)[0]?.svg ?? '';
    expect(svg.match(/width="73" height="43"/g)).toHaveLength(cells.length);
    expect(ringed).not.toBeNull();
    expect(svg.match(/rx="3"/g)).toHaveLength(1);
    const grid = studyTables(report).find(({ name }) => name === 'grid-memoryPolynomial');
    expect(grid?.rows.flatMap(({ texts }) => texts).filter((text) => text.startsWith('◎'))).toHaveLength(1);
  });
});

describe('two tones', () => {
  test('the picture against level has both orders, both sides, the third-order line and the intercept it leads to', () => {
    const { report } = answered('tones');
    const { result } = report;
    if (result.kind !== 'tones' || result.intercept === null) throw new Error('no intercept to draw');
    const [level, spacing] = studyFigures(report).map(({ svg }) => svg);
    const names = ['One tone', 'IM3 lower', 'IM3 upper', 'IM5 lower', 'IM5 upper', '3 dB per dB'];
    for (const name of names) expect(level).toContain(`>${name}<`);
    expect(level).toContain(`OIP3 ${result.intercept.oip3Dbm?.toFixed(1)}\u2009dBm`);
    expect(spacing).toContain('>Tone spacing<');
    expect(spacing).toContain('>1\u2009MHz<');
  });

  test('without an intercept there is no line that leads to one', () => {
    const question = { kind: 'tones', toneBackoff: { fromDb: 7, toDb: 9 }, spacingsHz: [] };
    const { report } = answerStudy({ scenario: SMALL_BENCH, question });
    const figures = studyFigures(report);
    expect(figures.map(({ name }) => name)).toEqual(['tones-level']);
    expect(figures[0]?.svg).not.toMatch(/3 dB per dB<|OIP3/);
    expect(studyTables(report).map(({ name }) => name)).toEqual(['tones']);
  });

  test('without a power scale levels are against saturation', () => {
    const amplifier = { ...SMALL_BENCH.amplifier, saturatedPowerDbm: null };
    const { report } = answerStudy(smallStudy('tones', { ...SMALL_BENCH, amplifier }));
    for (const { columns } of studyTables(report))
      expect(columns.map(({ heading, group }) => heading + group).join()).not.toContain('dBm');
    for (const { svg } of studyFigures(report)) expect(svg).not.toContain('dBm');
    expect(report.answer).toMatch(/^The third-order output intercept is \d\.\d dB over saturated power/);
  });
});

describe('an unfinished study', () => {
  test.each(SMALL_KINDS)('%s says so, and its page and pictures stand', (kind) => {
    const { report, known } = answerStudy(smallStudy(kind), 2);
    expect(report.complete).toBe(false);
    const page = studyPage(report, studyFloors(known.values()));
    expect(htmlFault(page)).toBeNull();
    expect(page).toContain(`Unfinished: 2 of ${report.neededCount} runs`);
    expect(page).not.toMatch(/NaN|undefined|Infinity/);
  });

  test.each(SMALL_KINDS)('%s stands without a single run', (kind) => {
    expect(htmlFault(studyPage(answerStudy(smallStudy(kind), 0).report))).toBeNull();
  });
});
