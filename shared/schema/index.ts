/** The version of the scenario format; a scenario file names the one it was written for. */
export const SCENARIO_FORMAT = 1;
