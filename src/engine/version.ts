/** Version of the engine, printed in every report; a test holds it equal to package.json. */
export const ENGINE_VERSION = '0.1.0';
