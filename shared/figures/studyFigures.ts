// The pictures of a study, each with the stem of its file name.
import type { StudyReport } from '../schema/studyReport.ts';
import { drawAsk } from './askFigure.ts';
import { drawBurst } from './burstFigure.ts';
import { drawCrestTrade } from './crestFigure.ts';
import { drawHoldMatrix, drawHoldSets, drawHoldWorst } from './holdFigure.ts';
import { drawLadder } from './ladderFigure.ts';
import { drawMapFront, drawOrderOverlay } from './mapCharts.ts';
import { drawOrderMap } from './orderMapFigure.ts';
import { drawPath } from './pathFigure.ts';
import { drawSpread } from './spreadFigure.ts';
import { drawToneLevels, drawToneSpacings } from './toneFigure.ts';

export interface StudyFigure {
  readonly name: string;
  readonly svg: string;
}

/** Empty while nothing is known to draw. */
export function studyFigures(report: StudyReport): StudyFigure[] {
  const { result } = report;
  switch (result.kind) {
    case 'ladder':
      return result.points.length === 0 ? [] : [{ name: 'ladder', svg: drawLadder(report, result) }];
    case 'shape':
      return result.points.length === 0 ? [] : [{ name: 'crest-trade', svg: drawCrestTrade(report, result) }];
    case 'map':
      if (result.cells.length === 0) return [];
      return [
        { name: 'order-map', svg: drawOrderMap(report, result) },
        { name: 'margin-against-cost', svg: drawMapFront(report, result) },
        ...(result.overlay.length === 0 ? [] : [{ name: 'orders', svg: drawOrderOverlay(report, result) }]),
      ];
    case 'ask':
      return result.options.length === 0 ? [] : [{ name: 'ways', svg: drawAsk(report, result) }];
    case 'spread':
      return result.readings.length === 0 ? [] : [{ name: 'spread', svg: drawSpread(report, result) }];
    case 'burst':
      return result.warm === null ? [] : [{ name: 'burst', svg: drawBurst(report, result) }];
    case 'hold': {
      const isRead = result.cells.some(({ reading }) => reading !== null);
      const worst = drawHoldWorst(report, result);
      return [
        ...(result.sets.length === 0 ? [] : [{ name: 'hold-sets', svg: drawHoldSets(report, result) }]),
        ...(isRead ? [{ name: 'hold', svg: drawHoldMatrix(report, result) }] : []),
        ...(worst === null ? [] : [{ name: 'hold-worst', svg: worst }]),
      ];
    }
    case 'path':
      return result.points.length < 2 ? [] : [{ name: 'path', svg: drawPath(report, result) }];
    case 'tones':
      return [
        ...(result.levels.length === 0 ? [] : [{ name: 'tones-level', svg: drawToneLevels(report, result) }]),
        ...(result.spacings.length === 0 ? [] : [{ name: 'tones-spacing', svg: drawToneSpacings(report, result) }]),
      ];
  }
}
