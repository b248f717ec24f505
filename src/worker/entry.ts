// The worker itself: the engine behind Comlink.
import { expose } from 'comlink';
import {
  coarseScenario,
  createRunMemory,
  evaluateStudy,
  identifyAmplifier,
  readCsv,
  readSigmf,
  runScenario,
  runTask,
} from '../engine/index.ts';
import { createEngineApi } from './engineApi.ts';
import { createIdentifyApi } from './identifyApi.ts';
import { createRecordApi, KeptRecords } from './recordApi.ts';
import { createStudyApi } from './studyApi.ts';

const kept = new KeptRecords();

expose({
  ...createEngineApi({ runScenario, createRunMemory, coarseScenario }, kept),
  ...createStudyApi({ runTask, createRunMemory, evaluateStudy }, kept),
  ...createRecordApi({ readSigmf, readCsv }, kept),
  ...createIdentifyApi({ readSigmf, readCsv, identifyAmplifier }),
});
