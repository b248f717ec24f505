// What the page and a worker say to each other about identifying an amplifier from records.
import type { ProxyMarked } from 'comlink';
import type { IdentificationReport, IdentificationTraces } from '../../shared/schema/identificationReport.ts';
import type { Issue } from '../../shared/schema/issue.ts';
import type { AmplifierModelSettings, Scenario } from '../../shared/schema/scenario.ts';
import type { RecordSource } from './recordProtocol.ts';

export interface RecordPairSource {
  readonly drive: RecordSource;
  readonly observed: RecordSource;
}

export interface IdentifyRequest extends RecordPairSource {
  /** A second pair of the same amplifier: predicted, never fitted. */
  readonly validation: RecordPairSource | null;
  /** As the engine's `IdentifyInput`; what is left out takes its default. */
  readonly settings: {
    readonly highestOrder?: number;
    readonly memoryDepth?: number;
    readonly crossReachSamples?: number;
    readonly outputPowerDbm?: number | null;
    readonly saturatedPowerDbm?: number | null;
    readonly outputBackoffDb?: number | null;
  };
}

export type IdentifyAnswer =
  | {
      readonly kind: 'identified';
      readonly model: AmplifierModelSettings;
      /** The amplifier section a scenario takes: the model with its power scale and gain. */
      readonly amplifier: Scenario['amplifier'];
      readonly report: IdentificationReport;
      readonly traces: IdentificationTraces;
    }
  | { readonly kind: 'invalid'; readonly issues: readonly Issue[] };

export interface IdentifyProgress {
  readonly label: string;
  /** 0 … 1. */
  readonly doneRatio: number;
}
export type IdentifyProgressCallback = (progress: IdentifyProgress) => void;

/** The worker's side of the conversation. */
export interface IdentifyApi {
  /** Reads the files, aligns, fits and validates. The bytes are transferred; the arrays of the answer are too. */
  identify(
    request: IdentifyRequest,
    onProgress: (IdentifyProgressCallback & ProxyMarked) | null,
  ): Promise<IdentifyAnswer>;
}
