// Who may import whom: the table of the architecture as data. An area is a folder of the tree, a package has the prefix
// `npm:`. Every area may import itself. `types` are what it may name in `import type` beyond its `values`.

export interface ImportRule {
  readonly values: readonly string[];
  readonly types: readonly string[];
}

const SIGNAL_FOLDERS = ['waveform', 'amplifier', 'linearization', 'receiver', 'record'].map((name) => `engine/${name}`);
const READING_FOLDERS = ['engine/measurement', 'engine/identification'];
const GROUND_FOLDERS = ['engine/dsp', 'engine/basis'];
const ENGINE_FOLDERS = [
  ...GROUND_FOLDERS,
  ...SIGNAL_FOLDERS,
  ...READING_FOLDERS,
  'engine/simulation',
  'engine/study',
  'engine/root',
];

// The numerologies, the published amplifiers and the wording of issues are data of shared/.
const signalRule: ImportRule = { values: ['shared', ...GROUND_FOLDERS], types: ['engine/root'] };
const readingRule: ImportRule = { values: GROUND_FOLDERS, types: ['shared', 'engine/root', ...SIGNAL_FOLDERS] };
const pageRule: ImportRule = {
  values: ['shared', 'app', 'app/charts', 'worker/client', 'npm:lit'],
  types: ['engine/index', 'worker'],
};

export const IMPORT_TABLE: Readonly<Record<string, ImportRule>> = {
  shared: { values: ['npm:valibot'], types: [] },
  'engine/dsp': { values: ['npm:fft.js', 'npm:seedrandom'], types: ['shared'] },
  'engine/basis': { values: ['engine/dsp'], types: [] },
  ...Object.fromEntries(SIGNAL_FOLDERS.map((folder) => [folder, signalRule])),
  ...Object.fromEntries(READING_FOLDERS.map((folder) => [folder, readingRule])),
  'engine/simulation': {
    values: ['shared', 'engine/root', ...GROUND_FOLDERS, ...SIGNAL_FOLDERS, ...READING_FOLDERS],
    types: [],
  },
  // A study asks runScenario and fits what it answers; physics of its own would be a second truth.
  'engine/study': {
    values: ['shared', 'engine/root', 'engine/simulation', 'engine/dsp', 'engine/identification'],
    types: ENGINE_FOLDERS,
  },
  'engine/root': { values: [], types: ['shared'] },
  'engine/index': { values: ['shared', ...ENGINE_FOLDERS], types: [] },
  worker: { values: ['engine/index', 'npm:comlink', 'worker/client'], types: ['shared'] },
  'worker/client': { values: ['worker', 'npm:comlink'], types: ['shared', 'engine/index'] },
  app: pageRule,
  'app/charts': { values: [...pageRule.values, 'npm:uplot'], types: pageRule.types },
  cli: { values: ['shared', 'engine/index', 'tools', 'npm:node:', 'npm:commander', 'npm:tinypool'], types: [] },
};

/** Packages that stay behind one file, so that another can take their place. */
export const ONE_FILE_PACKAGES = ['fft.js', 'seedrandom'];

/** Folder names that say nothing about what is inside. */
export const EMPTY_NAMES = ['utils', 'util', 'common', 'helpers', 'helper', 'misc', 'lib'];

export const LINE_LIMIT = 400;
