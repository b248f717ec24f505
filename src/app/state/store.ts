// A value that tells its listeners when it changes.

export type Listener = () => void;

export class Store<State extends object> {
  #state: State;
  readonly #listeners = new Set<Listener>();

  constructor(initial: State) {
    this.#state = initial;
  }

  get state(): State {
    return this.#state;
  }

  /** Changes some fields; listeners are told once. */
  update(change: Partial<State>): void {
    this.#state = { ...this.#state, ...change };
    for (const listener of this.#listeners) listener();
  }

  /** Returns the function that ends the subscription. */
  subscribe(listener: Listener): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }
}
