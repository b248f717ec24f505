/** What the page and the engine's worker say to each other. */
export interface EngineApi {
  name(): string;
}
