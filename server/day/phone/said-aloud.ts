import { el } from './dom.js';

/** A run of taps is told once, when it is over. */
const QUIET_MS = 1200;

/** What a screen reader says of the count. */
export class SaidAloud {
  readonly element = el('p', { class: 'hidden', role: 'status' });
  #timer: ReturnType<typeof setTimeout> | undefined;

  tell(words: string): void {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => {
      this.element.textContent = words;
    }, QUIET_MS);
  }
}
