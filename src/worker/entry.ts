// The worker itself: the engine behind Comlink.
import { expose } from 'comlink';
import { coarseScenario, createRunMemory, runScenario } from '../engine/index.ts';
import { createEngineApi } from './engineApi.ts';

expose(createEngineApi({ runScenario, createRunMemory, coarseScenario }));
