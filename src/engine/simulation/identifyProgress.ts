// How far an identification has come, in words and as a share of the whole. The shares are those of the time that a pair of
// 50 000 samples takes; other lengths move them, never their order.

export interface IdentifyProgress {
  readonly label: string;
  /** 0 … 1. */
  readonly doneRatio: number;
}
export type OnIdentifyProgress = (progress: IdentifyProgress) => void;

const STAGES = {
  checking: { label: 'Checking the records', fromRatio: 0, toRatio: 0.08 },
  aligning: { label: 'Aligning', fromRatio: 0.08, toRatio: 0.26 },
  receiver: { label: 'Separating the receiver’s errors', fromRatio: 0.26, toRatio: 0.35 },
  products: { label: 'Forming the products of all structures', fromRatio: 0.35, toRatio: 0.7 },
  structures: { label: 'Trying structures', fromRatio: 0.7, toRatio: 0.76 },
  fitting: { label: 'Fitting', fromRatio: 0.76, toRatio: 0.84 },
  reading: { label: 'Reading', fromRatio: 0.84, toRatio: 0.87 },
  validating: { label: 'Validating', fromRatio: 0.87, toRatio: 0.98 },
  drawing: { label: 'Preparing the pictures', fromRatio: 0.98, toRatio: 1 },
} as const;

/** Within a stage, progress is told when it has moved by this share of the whole. */
const STEP_RATIO = 0.01;

/** `done` of `total` steps of the stage are behind; a stage of one step is told at its start. */
export type TellStage = (stage: keyof typeof STAGES, done: number, total?: number) => void;

export function tellStages(onProgress: OnIdentifyProgress | null | undefined): TellStage {
  let toldRatio = Number.NEGATIVE_INFINITY;
  return (stage, done, total = 1) => {
    const { label, fromRatio, toRatio } = STAGES[stage];
    const doneRatio = fromRatio + ((toRatio - fromRatio) * done) / total;
    if (done > 0 && done < total && doneRatio - toldRatio < STEP_RATIO) return;
    toldRatio = doneRatio;
    onProgress?.({ label: total > 1 ? `${label}: ${done} of ${total}` : label, doneRatio });
  };
}
