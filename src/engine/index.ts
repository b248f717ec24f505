/** The public interface of the engine; nothing outside src/engine imports deeper. */
export const ENGINE_NAME = 'kneepoint';
