// What the views of the questions tell. All bubble and cross shadow roots.

/** Fields of the open question that take new values. */
export type QuestionEdit = CustomEvent<Readonly<Record<string, unknown>>>;

export function tellQuestion(target: EventTarget, change: Readonly<Record<string, unknown>>): void {
  target.dispatchEvent(
    new CustomEvent('question-edit', { detail: change, bubbles: true, composed: true }) satisfies QuestionEdit,
  );
}

export type RunAction = 'run' | 'stop';

export function tellRun(target: EventTarget, action: RunAction): void {
  target.dispatchEvent(new CustomEvent('study-run', { detail: action, bubbles: true, composed: true }));
}
