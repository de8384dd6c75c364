import { button, el } from './dom.js';
import type { Row } from './rows.js';
import { RowView, type Say } from './row-view.js';

/** More people than a screen or two shows: a name is then looked for. */
const SEARCHED_FROM = 12;

type Only = 'all' | 'awaited';

/**
 * Everyone on the roll, in an order that stays. A line that was shown stays where it is when it is tapped, whatever is filtered, so that the
 * next tap meets the line that the eye saw.
 */
export class ListView {
  readonly element = el('section', { class: 'roll-list', 'aria-labelledby': 'roll-list' });
  readonly #list = el('ul', { class: 'rows roll-rows' });
  readonly #rows = new Map<string, RowView>();
  readonly #say: Say;
  readonly #walk: number;
  readonly #search = el('input', { type: 'search', id: 'roll-search', autocomplete: 'off', 'aria-controls': 'roll-rows' });
  readonly #chips = el('div', { class: 'row', role: 'group', 'aria-label': 'Who is shown' });
  readonly #none = el('p', { class: 'soft', hidden: true }, 'Nobody by that name.');
  #only: Only = 'all';
  #awaited = { word: '', who: new Set<string>() };

  constructor(walk: number, people: number, say: Say) {
    this.#walk = walk;
    this.#say = say;
    this.#list.id = 'roll-rows';
    this.#search.addEventListener('input', () => this.#show());
    this.element.append(
      el('h2', { id: 'roll-list' }, 'Everyone'),
      el('div', { class: 'field roll-search', hidden: people < SEARCHED_FROM }, el('label', { for: 'roll-search' }, 'Find a name'), this.#search),
      this.#chips,
      this.#list,
      this.#none,
    );
  }

  /** @param rows all of them, in their order; disputed ones are drawn first */
  drawAll(rows: readonly Row[]): void {
    const ordered = [...rows.filter((row) => row.disputed), ...rows.filter((row) => !row.disputed)];
    const views = ordered.map((row) => this.#view(row));
    // Nothing is moved that stands where it should: a row that is moved loses its focus.
    views.forEach(({ element }, index) => {
      if (this.#list.children[index] !== element) this.#list.insertBefore(element, this.#list.children[index] ?? null);
    });
    const gone = [...this.#rows.keys()].filter((who) => !rows.some((row) => row.who === who));
    for (const who of gone) {
      this.#rows.get(who)?.element.remove();
      this.#rows.delete(who);
    }
  }

  draw(row: Row): void {
    this.#view(row);
  }

  #view(row: Row): RowView {
    const known = this.#rows.get(row.who);
    const view = known ?? new RowView(row, this.#walk, this.#say);
    if (!known) this.#rows.set(row.who, view);
    view.draw(row);
    return view;
  }

  /** Whom the second button shows, and what they are called: "to come", "missing". */
  await(word: string, who: readonly string[]): void {
    const renamed = word !== this.#awaited.word;
    this.#awaited = { word, who: new Set(who) };
    if (renamed) this.#only = 'all';
    this.#drawChips();
    if (renamed) this.#show();
  }

  #drawChips(): void {
    const chip = (only: Only, label: string) => {
      const made = button(label, 'roll-chip', () => {
        this.#only = only;
        this.#drawChips();
        this.#show();
        this.#chips.querySelector<HTMLElement>('[aria-pressed=true]')?.focus({ preventScroll: true });
      });
      made.setAttribute('aria-pressed', String(this.#only === only));
      return made;
    };
    const { word, who } = this.#awaited;
    this.#chips.replaceChildren(...(word ? [chip('all', `Everyone ${this.#rows.size}`), chip('awaited', `${word} ${who.size}`)] : []));
  }

  #show(): void {
    const wanted = plain(this.#search.value);
    let shown = 0;
    for (const { element, row } of this.#rows.values()) {
      const fits = plain(row.name).includes(wanted) && (this.#only === 'all' || this.#awaited.who.has(row.who));
      element.hidden = !fits;
      if (fits) shown += 1;
    }
    this.#none.hidden = shown > 0 || wanted === '';
  }
}

/** Without accents and case: nobody types them in the rain. */
function plain(text: string): string {
  return text
    .normalize('NFD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .trim();
}
