type Child = Node | string | null;

/** A part of the page that is drawn anew only where what it shows has changed, so that nothing flickers, and nobody loses their place. */
export class Part<Model> {
  readonly element: HTMLElement;
  readonly #make: (model: Model) => Child[];
  #drawn = '';

  constructor(element: HTMLElement, make: (model: Model) => Child[]) {
    this.element = element;
    this.#make = make;
  }

  draw(model: Model): void {
    const now = JSON.stringify(model);
    const active = this.element.contains(document.activeElement) ? document.activeElement : null;
    // A list that someone has open would shut under their thumb: it is drawn when they are done with it.
    if (now === this.#drawn || active instanceof HTMLSelectElement) return;
    this.#drawn = now;
    this.element.replaceChildren(...this.#make(model).filter((child) => child !== null));
    this.element.hidden = this.element.childNodes.length === 0;
    if (active?.id) this.element.querySelector<HTMLElement>(`#${CSS.escape(active.id)}`)?.focus({ preventScroll: true });
  }
}
