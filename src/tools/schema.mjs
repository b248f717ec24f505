// The scenario's JSON Schema, for editors and for programs in other languages: `node src/tools/schema.mjs FILE`. Labels,
// units, ranges and help come from the one scenario schema. What JSON Schema cannot say (orders rise, three different
// seeds, carriers that fit into the sample rate) is `kneepoint check`'s.
import { mkdirSync, writeFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { toJsonSchema } from '@valibot/to-json-schema';
import { repositoryRoot } from './freshness.mjs';

/**
 * What shared/schema/field.ts notes of a field.
 * @typedef {{ label: string, unit: string | null, help: string, minimum?: number, maximum?: number, integer?: boolean }}
 *   FieldInfo
 */
/**
 * What of JSON Schema (draft 2020-12) a scenario needs. `x-unit` is our annotation: the unit as stored.
 * @typedef {{
 *   $schema?: string | undefined, $id?: string, title?: string, description?: string, 'x-unit'?: string, default?: unknown,
 *   type?: string | string[], const?: unknown, enum?: unknown[], anyOf?: JsonSchema[], oneOf?: JsonSchema[],
 *   minimum?: number, maximum?: number, multipleOf?: number, minLength?: number, maxLength?: number,
 *   items?: JsonSchema, minItems?: number, maxItems?: number, properties?: Record<string, JsonSchema>,
 *   required?: string[], additionalProperties?: boolean, minProperties?: number, maxProperties?: number,
 * }} JsonSchema
 */

/** @param {FieldInfo} field @returns {JsonSchema} */
function annotationsOf({ label, unit, help, minimum, maximum, integer }) {
  return {
    title: label,
    description: help,
    ...(unit === null ? {} : { 'x-unit': unit }),
    // These bind numbers only, so a word such as "auto" beside them stays allowed.
    ...(minimum === undefined ? {} : { minimum }),
    ...(maximum === undefined ? {} : { maximum }),
    ...(integer ? { multipleOf: 1 } : {}),
  };
}

/**
 * @param {import('valibot').GenericSchema} scenarioSchema  of shared/schema/scenario.ts
 * @param {number} format  version of the scenario file's shape
 * @returns {JsonSchema}
 */
export function scenarioJsonSchema(scenarioSchema, format) {
  const converted = /** @type {JsonSchema} */ (
    toJsonSchema(scenarioSchema, {
      target: 'draft-2020-12',
      typeMode: 'input',
      ignoreActions: ['check'],
      overrideAction: ({ valibotAction, jsonSchema }) => {
        if (valibotAction.type !== 'metadata') return null;
        const { field } = /** @type {{ metadata: { field?: FieldInfo } }} */ (/** @type {unknown} */ (valibotAction))
          .metadata;
        if (field === undefined) return null;
        // The converter copies metadata under their own names; ours are not JSON Schema's.
        const { field: _copied, ...known } = /** @type {Record<string, unknown>} */ (jsonSchema);
        return /** @type {typeof jsonSchema} */ ({ ...known, ...annotationsOf(field) });
      },
    })
  );
  const point = converted.properties?.['operatingPoint'];
  if (point === undefined) throw new Error('scenarioJsonSchema: the scenario has no operating point');
  Object.assign(point, { description: 'Exactly one of the four.', minProperties: 1, maxProperties: 1 });
  const { $schema, ...rest } = converted;
  return { $schema, $id: `urn:kneepoint:scenario:${format}`, title: 'Kneepoint scenario', ...rest };
}

const AMPLIFIER_FILE =
  'Or the name of a file beside the scenario that holds it, such as identify writes; on the command line only.';

/**
 * The schema of scenario files: the amplifier, its model alone, or that of a point of its band may be the name of a file.
 * The command line reads it before the scenario is checked.
 * @param {JsonSchema} schema  of the scenario
 * @returns {JsonSchema}
 */
export function scenarioFileSchema(schema) {
  const amplifier = structuredClone(schema.properties?.['amplifier']);
  const model = amplifier?.properties?.['model'];
  const point = amplifier?.properties?.['overBand']?.anyOf?.[0]?.properties?.['points']?.items?.properties;
  const pointModel = point?.['model'];
  if (amplifier === undefined || model === undefined || point === undefined || pointModel === undefined) {
    throw new Error('scenarioFileSchema: the scenario has no amplifier with a model and points over a band');
  }
  const file = { type: 'string', minLength: 1, description: AMPLIFIER_FILE };
  point['model'] = { anyOf: [pointModel, file] };
  const named = { ...amplifier, properties: { ...amplifier.properties, model: { anyOf: [model, file] } } };
  return { ...schema, properties: { ...schema.properties, amplifier: { anyOf: [named, file] } } };
}

/** The schema of a scenario with everything in it, read from the TypeScript sources. */
export async function loadScenarioJsonSchema() {
  const { runnerImport } = await import('vite');
  const source = join(repositoryRoot, 'shared', 'schema', 'scenario.ts');
  const { module } = await runnerImport(source, { root: repositoryRoot, configFile: false, logLevel: 'warn' });
  const { scenarioSchema, SCENARIO_FORMAT } =
    /** @type {{ scenarioSchema: import('valibot').GenericSchema, SCENARIO_FORMAT: number }} */ (module);
  return scenarioJsonSchema(scenarioSchema, SCENARIO_FORMAT);
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) {
  const [target] = process.argv.slice(2);
  if (target === undefined) {
    process.stderr.write('schema.mjs: name the file to write\n');
    process.exit(2);
  }
  mkdirSync(dirname(resolve(target)), { recursive: true });
  writeFileSync(target, `${JSON.stringify(scenarioFileSchema(await loadScenarioJsonSchema()), null, 2)}\n`);
}
