import { button, el } from './dom.js';

/** The last tap, and the button that takes it back: at the foot of the screen, under the thumb. */
export class UndoLine {
  readonly element = el('div', { class: 'roll-undo', hidden: true });

  show(words: string, undo: (() => void) | null): void {
    this.element.hidden = false;
    const take =
      undo &&
      button('Undo', '', () => {
        this.element.hidden = true;
        undo();
      });
    this.element.replaceChildren(el('span', {}, words), ...(take ? [take] : []));
  }
}
