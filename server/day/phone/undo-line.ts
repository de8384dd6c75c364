import type { Said } from '../ledger.js';
import { button, el } from './dom.js';

/** What the last tap is taken back by. */
export type Undo = { who: string; said: Said }[];

/** The last tap, and the button that takes it back: at the foot of the screen, under the thumb. */
export class UndoLine {
  readonly element = el('div', { class: 'roll-undo', hidden: true });
  readonly #undo: (undo: Undo) => void;

  constructor(undo: (undo: Undo) => void) {
    this.#undo = undo;
  }

  /** @param undo empty where it can't be taken back by a tap: two phones differed before */
  show(words: string, undo: Undo): void {
    this.element.hidden = false;
    this.element.replaceChildren(el('span', {}, words), ...(undo.length > 0 ? [button('Undo', '', () => this.#take(undo))] : []));
  }

  #take(undo: Undo): void {
    this.element.hidden = true;
    this.#undo(undo);
  }
}
