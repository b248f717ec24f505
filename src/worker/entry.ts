// The worker itself: the engine behind Comlink.
import { expose } from 'comlink';
import { coarseScenario, createRunMemory, evaluateStudy, runScenario, runTask } from '../engine/index.ts';
import { createEngineApi } from './engineApi.ts';
import { createStudyApi } from './studyApi.ts';

expose({
  ...createEngineApi({ runScenario, createRunMemory, coarseScenario }),
  ...createStudyApi({ runTask, createRunMemory, evaluateStudy }),
});
