// Steps back and forward through what was edited.

const MAXIMUM_STEPS = 200;

export class History<T> {
  #past: T[] = [];
  #present: T;
  #future: T[] = [];

  constructor(present: T) {
    this.#present = present;
  }

  get canUndo(): boolean {
    return this.#past.length > 0;
  }

  get canRedo(): boolean {
    return this.#future.length > 0;
  }

  get present(): T {
    return this.#present;
  }

  /** Makes this the present; what was undone is forgotten. The same value again is no step. */
  push(next: T): void {
    if (JSON.stringify(next) === JSON.stringify(this.#present)) return;
    this.#past = [...this.#past, this.#present].slice(-MAXIMUM_STEPS);
    this.#present = next;
    this.#future = [];
  }

  undo(): T {
    const previous = this.#past.pop();
    if (previous === undefined) return this.#present;
    this.#future.push(this.#present);
    this.#present = previous;
    return previous;
  }

  redo(): T {
    const next = this.#future.pop();
    if (next === undefined) return this.#present;
    this.#past.push(this.#present);
    this.#present = next;
    return next;
  }
}
