// The order map's quick first pass: what each structure's inverse fit leaves on the first observation, without a run of
// its own. One accumulated Gram matrix serves all structures, so the whole map costs little more than its largest cell.
// It shows where orders and taps stop helping the fit; ACLR and EVM after learning come from the map's own runs.
import type { Issue } from '../../../shared/schema/issue.ts';
import type { MapQuestion } from '../../../shared/schema/study.ts';
import type { StructureCost } from '../../../shared/schema/studyReport.ts';
import { type ComplexSignal, scale } from '../dsp/complex.ts';
import { type FitInput, firstFitInput } from '../linearization/indirectLearning.ts';
import { fitNested } from '../linearization/nestedFits.ts';
import { driveUncorrected } from './chain.ts';
import { checkScenario, type Setup } from './checkScenario.ts';
import { levellingBench } from './linearize.ts';
import { type MapStructure, mapStructures } from './mapStructures.ts';
import { createRunMemory, type RunMemory, waveformFor } from './runMemory.ts';
import { structureCostOf, structureOf } from './structure.ts';

export interface FirstPassCell extends MapStructure {
  readonly cost: StructureCost;
  /** Residual of the inverse fit on the training samples; null when its regressors are dependent. */
  readonly residualDb: number | null;
  /** Of the column-scaled regressor matrix. */
  readonly conditionNumber: number | null;
  readonly coefficients: ComplexSignal | null;
}

export type FirstPassOutcome =
  | { readonly kind: 'cells'; readonly cells: readonly FirstPassCell[]; readonly trainingSampleCount: number }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

/**
 * First fit of every structure of an order map on the scenario's training record, at its operating point: the same
 * coefficients, residual and condition number as the first learning pass of a run with that structure (by Cholesky,
 * whatever the scenario's solver). Faults of the input come back as issues.
 */
export function firstPassMap(
  input: unknown,
  question: MapQuestion,
  memory: RunMemory = createRunMemory(),
): FirstPassOutcome {
  const checked = checkScenario(input, memory.records);
  if (checked.kind === 'invalid') return checked;
  const { setup } = checked;
  const { predistorter } = setup.scenario;
  if (predistorter === null) return { kind: 'invalid', issues: [MISSING] };
  const fitInput = firstObservation(setup, memory);
  if ('rule' in fitInput) return { kind: 'invalid', issues: [fitInput] };
  const structures = mapStructures(predistorter, question);
  const fits = fitNested(
    structures.map(({ settings }) => structureOf(settings)),
    fitInput,
    predistorter.learning.ridge,
  );
  const cells = structures.map((structure, i) => ({
    ...structure,
    cost: structureCostOf(structure.settings),
    residualDb: fits[i]?.residualDb ?? null,
    conditionNumber: fits[i]?.conditionNumber ?? null,
    coefficients: fits[i]?.coefficients ?? null,
  }));
  const { window, target } = fitInput;
  return { kind: 'cells', cells, trainingSampleCount: window === 'whole' ? target.re.length : window.sampleCount };
}

const MISSING: Issue = {
  path: 'predistorter',
  rule: 'must be present: the map varies its structure',
  value: 'null',
  remedy: 'write "predistorter": {}',
};

/** What the first fit of any structure sees; an issue when the wanted power is out of reach. */
export function firstObservation(setup: Setup, memory: RunMemory): FitInput | Issue {
  const { seeds, predistorter } = setup.scenario;
  if (predistorter === null) return MISSING;
  const uncorrected = driveUncorrected(setup, waveformFor(setup.waveform, seeds.judging, memory).waveform);
  if ('rule' in uncorrected) return uncorrected;
  const training = waveformFor(setup.waveform, seeds.training, memory).waveform.signal;
  const fitInput = firstFitInput({
    settings: predistorter.learning,
    training: scale(training, uncorrected.driveScale),
    bench: levellingBench(setup),
  });
  return fitInput ?? OUT_OF_REACH;
}

const OUT_OF_REACH: Issue = {
  path: 'operatingPoint',
  rule: 'must be within reach on the training record behind the drive ceiling',
  value: 'out of reach',
  remedy: 'lower the wanted power, reduce the crest factor or raise predistorter.learning.driveCeilingRatio',
};
