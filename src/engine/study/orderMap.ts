// Which order: nonlinear order against memory depth, each cell a full run at the base's operating point, with its cost;
// the cheapest cell that keeps the wanted margin, or the nearest and what would help; the front beyond which margin costs more; corrected spectra beside.
import type {
  PolynomialPredistorterSettings,
  PredistorterSettings,
  Scenario,
} from '../../../shared/schema/scenario.ts';
import type { MapQuestion } from '../../../shared/schema/study.ts';
import type { MapCell, MapResult, RunReadings } from '../../../shared/schema/studyReport.ts';
import { type MapStructure, mapStructures, memoryPolynomialSettings } from '../simulation/mapStructures.ts';
import { physicalMultipliersOf, structureCostOf } from '../simulation/structure.ts';
import { canonicalJson, type Lookup } from './lookup.ts';
import { marginDb, worstFirstAclrDb } from './margins.ts';
import { nearestOf } from './nearestStructure.ts';

/** Memory polynomials whose corrected spectra are laid over each other. */
const OVERLAY_ORDERS: readonly number[] = [1, 3, 5, 7, 9];

/**
 * Evaluates an order map. Cells still pending are missing; a cell that cannot be run (too few training samples) is there
 * without readings. Throws RangeError without a predistorter: `evaluateStudy` refuses that before.
 */
export function evaluateMap(base: Scenario, question: MapQuestion, lookup: Lookup): MapResult {
  const { predistorter } = base;
  if (predistorter === null) throw new RangeError('evaluateMap: the base scenario has no predistorter');
  const overlaid = OVERLAY_ORDERS.map((order) =>
    memoryPolynomialSettings(predistorter, order, predistorter.memoryDepth),
  );
  const drawn = new Set(overlaid.map(canonicalJson));
  const structures = mapStructures(predistorter, question);
  const runs = structures.flatMap((structure) => {
    // One run serves the cell and the overlay.
    const outcome = lookup.outcome(
      withPredistorter(base, structure.settings),
      drawn.has(canonicalJson(structure.settings)),
    );
    if (outcome === null) return [];
    const readings = outcome.kind === 'readings' ? outcome.readings : null;
    const cell = { ...cellOf(structure, readings, base.limits), ...multipliersOf(structure, base, question.clockHz) };
    return [{ structure, readings, cell }];
  });
  const cells = markFront(runs.map(({ cell }) => cell));
  // What would help is asked only once all cells are known.
  const judged = runs.flatMap(({ structure, readings }, i) =>
    readings === null ? [] : [{ structure, readings, cell: cells[i] }],
  );
  const nearest = runs.length === structures.length ? nearestOf(base, judged, lookup) : null;
  return {
    kind: 'map',
    cells,
    ringed: ringedOf(cells, question.wantedMarginDb),
    nearest,
    wantedMarginDb: question.wantedMarginDb,
    overlay: overlaid.flatMap((settings) => overlayOf(base, settings, lookup)),
  };
}

function withPredistorter(base: Scenario, predistorter: PredistorterSettings): Scenario {
  return { ...base, predistorter };
}

function overlayOf(base: Scenario, settings: PolynomialPredistorterSettings, lookup: Lookup): MapResult['overlay'] {
  const outcome = lookup.outcome(withPredistorter(base, settings), true);
  if (outcome?.kind !== 'readings' || outcome.spectrum === null) return [];
  const { spectrum } = outcome;
  return [{ highestOrder: settings.nonlinearOrders.at(-1) ?? 1, memoryDepth: settings.memoryDepth, spectrum }];
}

function multipliersOf({ settings }: MapStructure, { waveform }: Scenario, clockHz: number | null) {
  const { sampleRateHz } = waveform;
  if (clockHz === null || typeof sampleRateHz !== 'number') return {};
  return { physicalMultiplierCount: physicalMultipliersOf(settings, sampleRateHz, clockHz) };
}

/** Readings show what the correction does even where it is not used; the margin is the output's a user would get. */
function cellOf(cell: MapStructure, readings: RunReadings | null, limits: Scenario['limits']): MapCell {
  const { structure, highestOrder, memoryDepth, settings } = cell;
  const shown = readings === null ? null : (readings.corrected ?? readings.uncorrected);
  return {
    structure,
    highestOrder,
    memoryDepth,
    cost: structureCostOf(settings),
    worstAclrDb: shown && worstFirstAclrDb(shown),
    evmPercent: shown?.evm?.rmsPercent ?? null,
    nmseDb: shown?.nmseDb ?? null,
    conditionNumber: readings?.learning?.conditionNumber ?? null,
    worstMarginDb: readings && marginDb(readings, 'corrected', limits),
    correctionUsed: readings?.correctionUsed ?? false,
    onFront: false,
  };
}

/** Real multiplications first, then coefficients. */
function cheaper(a: MapCell, b: MapCell): number {
  const byMultiplies = a.cost.realMultipliesPerSample - b.cost.realMultipliesPerSample;
  return byMultiplies === 0 ? a.cost.coefficientCount - b.cost.coefficientCount : byMultiplies;
}

/** Worst margin, or ACLR without limits; null where the correction is not used. */
function meritOf(cell: MapCell): number | null {
  return cell.correctionUsed ? (cell.worstMarginDb ?? cell.worstAclrDb) : null;
}

/** From the cheapest up, each cell better than all before it. */
function markFront(cells: readonly MapCell[]): MapCell[] {
  const front = new Set<MapCell>();
  let best = Number.NEGATIVE_INFINITY;
  const judged = cells.flatMap((cell) => {
    const merit = meritOf(cell);
    return merit === null ? [] : [{ cell, merit }];
  });
  judged.sort((a, b) => cheaper(a.cell, b.cell) || b.merit - a.merit);
  for (const { cell, merit } of judged) {
    if (merit <= best) continue;
    best = merit;
    front.add(cell);
  }
  return cells.map((cell) => ({ ...cell, onFront: front.has(cell) }));
}

/** The cheapest cell that keeps the wanted margin to every limit; of equally cheap ones the best. */
function ringedOf(cells: readonly MapCell[], wantedMarginDb: number): MapCell | null {
  const passing = cells.flatMap((cell) => {
    const { correctionUsed, worstMarginDb: margin } = cell;
    return correctionUsed && margin !== null && margin >= wantedMarginDb ? [{ cell, margin }] : [];
  });
  passing.sort((a, b) => cheaper(a.cell, b.cell) || b.margin - a.margin);
  return passing[0]?.cell ?? null;
}
