import { HOME, type PersonSaid, TOLD } from '../ledger.js';
import { button, choice, el } from './dom.js';
import type { Row, Tap } from './rows.js';

/** What a row asks for: that something be said of someone. */
export type Say = (row: Row, said: PersonSaid, words: string) => void;

/** A person's line on the page. Drawn once, then only what changed in it: with 150 people a tap must show at once. */
export class RowView {
  readonly element: HTMLLIElement;
  row: Row;
  #drawn = '';
  #open = false;
  readonly #say: Say;
  readonly #walk: number;

  constructor(row: Row, walk: number, say: Say) {
    this.row = row;
    this.#walk = walk;
    this.#say = say;
    this.element = el('li', { class: 'roll-row', id: row.who, tabindex: '-1' });
    this.draw(row);
  }

  draw(row: Row): void {
    const now = `${this.#open} ${JSON.stringify(row)}`;
    if (now === this.#drawn) return;
    // Whoever works with keys stays on the line whose button has gone.
    const focused = this.element.contains(document.activeElement);
    this.#drawn = now;
    this.row = row;
    this.element.classList.toggle('done', row.done);
    this.element.classList.toggle('disputed', row.disputed);
    this.element.replaceChildren(this.#who(), this.#taps(), ...(this.#open ? [this.#more()] : []));
    if (focused) this.element.focus({ preventScroll: true });
  }

  #who(): HTMLElement {
    const { name, notes, mark } = this.row;
    return el('div', { class: 'roll-who' }, el('b', {}, name), el('span', { class: 'soft small' }, notes.join(', ')), mark ? el('span', { class: 'roll-mark' }, mark) : null);
  }

  #taps(): HTMLElement {
    const { main, others, disputed, name } = this.row;
    if (disputed) return el('div', { class: 'roll-taps' }, ...others.map((tap) => this.#tap(tap, '')));
    const more = button('More', 'roll-more', () => {
      this.#open = !this.#open;
      this.draw(this.row);
      this.element.querySelector<HTMLElement>('.roll-more')?.focus({ preventScroll: true });
    });
    more.setAttribute('aria-expanded', String(this.#open));
    more.setAttribute('aria-label', `More about ${name}`);
    return el('div', { class: 'roll-taps' }, main && this.#tap(main, 'do roll-main'), more);
  }

  #tap({ label, said }: Tap, kind: string): HTMLButtonElement {
    const made = button(label, kind, () => {
      this.#open = false;
      this.#say(this.row, said, label);
    });
    made.setAttribute('aria-label', `${label}: ${this.row.name}`);
    return made;
  }

  #more(): HTMLElement {
    const { who, others, mayLeave } = this.row;
    const base = `/lead/walks/${this.#walk}/roll`;
    return el(
      'div',
      { class: 'roll-other' },
      el('div', { class: 'row' }, ...others.map((tap) => this.#tap(tap, ''))),
      mayLeave ? this.#leaving() : null,
      el(
        'p',
        { class: 'row' },
        el('a', { href: `${base}/help?who=${who}` }, 'Hurt or missing: whom to ring'),
        who.startsWith('t') ? el('a', { href: `${base}/turned-up/${who.slice(1)}` }, 'Contact and waiver') : null,
      ),
    );
  }

  #leaving(): HTMLElement {
    const { who } = this.row;
    const told = choice(`told-${who}`, 'Who was told', TOLD.map((one) => [one, one]));
    const home = choice(`home-${who}`, 'How they get home', HOME.map((one) => [one, one]));
    const leave = button('Left early', '', () => {
      this.#open = false;
      const said = { kind: 'left', stop: this.row.lastStop, told: told.select.value, home: home.select.value } as PersonSaid;
      this.#say(this.row, said, 'Left early');
    });
    return el('div', { class: 'roll-leaving' }, told.field, home.field, leave);
  }
}
