// Learning by the method the settings name.
import { directPass } from './directLearning.ts';
import { forwardModelPass } from './forwardModel.ts';
import { indirectPass } from './indirectLearning.ts';
import { type LearningMethod, type LearningResult, type LearningTask, learnByPasses } from './learningPasses.ts';

const METHODS: Readonly<Record<LearningTask['settings']['method'], LearningMethod>> = {
  indirect: indirectPass,
  forwardModel: forwardModelPass,
  direct: directPass,
};

/** Passes of the chosen method; the best on the selection record is kept, none when all are worse than no correction. */
export function learn(task: LearningTask): LearningResult {
  return learnByPasses(task, METHODS[task.settings.method]);
}
