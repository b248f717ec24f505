// The lab check list as a page to print: a box to tick for each setting, an empty column for what was measured.
import { escapeXml } from '../figures/svgText.ts';
import type { Report } from '../schema/report.ts';
import { type CheckItem, type CheckList, checkList } from './checklist.ts';
import { TOLERANCE_NOTE } from './expectedReadings.ts';
import { htmlPage, list, paragraph, section } from './page.ts';
import { tableHtml } from './readingTable.ts';

export function checklistPage(report: Report): string {
  const whole: CheckList = checkList(report);
  return htmlPage({
    title: whole.title,
    answer: whole.subject,
    sections: [
      paragraph('Work from top to bottom: nothing is connected before the power side is checked.'),
      ...whole.groups.map(({ heading, items }) => section(heading, itemsHtml(items))),
      section('Expected readings', tableHtml(whole.expected) + paragraph(TOLERANCE_NOTE, 'note')),
      section('Cautions', list(whole.cautions)),
      paragraph(`Kneepoint ${report.kneepoint.version}. Predicted, not measured.`, 'note'),
    ],
  });
}

function itemsHtml(items: readonly CheckItem[]): string {
  const rows = items.map(
    ({ what, setting, why, source }) =>
      `<tr><td><span class="tick"></span></td><th scope="row">${escapeXml(what)}</th><td class="prose">${escapeXml(setting)}<br><span class="note">${escapeXml(why)}. Source: ${escapeXml(source)}.</span></td></tr>`,
  );
  return `<table class="checks"><tbody>${rows.join('')}</tbody></table>`;
}
