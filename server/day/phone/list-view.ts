import type { Row } from '../roll-rows.js';
import { button, el } from './dom.js';
import { type RowActs, RowView } from './row-view.js';

/** More people than a screen or two shows: a name is then looked for. */
const SEARCHED_FROM = 12;

/** Where the group is, who is still to be tapped there, what they are called, and who comes after everyone else: gone, or never came. */
export interface Awaited {
  place: string;
  word: string;
  who: ReadonlySet<string>;
  last: ReadonlySet<string>;
}

/**
 * Everyone on the roll, in an order that stays until the group moves on. A line that was shown stays where it is when it is tapped, whatever is filtered, so that the
 * next tap meets the line that the eye saw.
 */
export class ListView {
  /** Those of whom two phones differ: they come before everything. */
  readonly disputed = el('section', { class: 'roll-alarm', 'aria-labelledby': 'roll-disputed', hidden: true });
  readonly element = el('section', { class: 'roll-section', 'aria-labelledby': 'roll-everyone' });
  readonly #acts: RowActs;
  readonly #rows = new Map<string, RowView>();
  readonly #differing = el('ul', { class: 'roll-list' });
  readonly #list = el('ul', { class: 'roll-list', id: 'roll-people' });
  readonly #search = el('input', { type: 'search', id: 'roll-search', autocomplete: 'off', 'aria-controls': 'roll-people' });
  readonly #find = el('div', { class: 'field' }, el('label', { for: 'roll-search' }, 'Find a name'), this.#search);
  readonly #chips = el('div', { class: 'roll-chips', role: 'group', 'aria-label': 'Who is shown' });
  readonly #none = el('p', { class: 'soft', hidden: true }, 'Nobody by that name.');
  #onlyAwaited = false;
  #awaited: Awaited = { place: '', word: '', who: new Set(), last: new Set() };
  #last: ReadonlySet<string> = new Set();

  constructor(acts: RowActs) {
    this.#acts = acts;
    this.#search.addEventListener('input', () => this.#show());
    this.disputed.append(el('h2', { id: 'roll-disputed' }, 'Two phones differ: say which is right'), this.#differing);
    this.element.append(el('h2', { id: 'roll-everyone', class: 'hidden' }, 'Everyone'), this.#find, this.#chips, this.#list, this.#none);
  }

  /** @param all everyone, in the order of the roll */
  draw(all: readonly Row[], awaited: Awaited): void {
    if (awaited.place !== this.#awaited.place) this.#last = awaited.last;
    const rows = [...all.filter(({ who }) => !this.#last.has(who)), ...all.filter(({ who }) => this.#last.has(who))];
    const differing = rows.filter((row) => row.claims.length > 0);
    place(
      this.#differing,
      differing.map((row) => this.#view(row)),
    );
    place(
      this.#list,
      rows.filter((row) => row.claims.length === 0).map((row) => this.#view(row)),
    );
    this.disputed.hidden = differing.length === 0;
    for (const who of [...this.#rows.keys()].filter((one) => !rows.some((row) => row.who === one))) this.#rows.delete(who);
    this.#find.hidden = rows.length < SEARCHED_FROM;
    this.#await(awaited);
  }

  #view(row: Row): HTMLElement {
    const view = this.#rows.get(row.who) ?? new RowView(row, this.#acts);
    this.#rows.set(row.who, view);
    view.draw(row);
    return view.element;
  }

  #await(awaited: Awaited): void {
    // At another place others are awaited: everyone is shown again.
    const moved = awaited.place !== this.#awaited.place;
    this.#awaited = awaited;
    if (moved) this.#onlyAwaited = false;
    this.#drawChips();
    if (moved) this.#show();
  }

  #drawChips(): void {
    const { word, who } = this.#awaited;
    const chips: [boolean, string][] =
      word === ''
        ? []
        : [
            [false, `Everyone: ${this.#rows.size}`],
            [true, `${word}: ${who.size}`],
          ];
    if (this.#chips.children.length !== chips.length)
      this.#chips.replaceChildren(...chips.map(([only]) => button('', '', () => this.#only(only))));
    chips.forEach(([only, label], index) => {
      const chip = this.#chips.children[index];
      if (chip && chip.textContent !== label) chip.textContent = label;
      chip?.setAttribute('aria-pressed', String(this.#onlyAwaited === only));
    });
  }

  #only(awaited: boolean): void {
    this.#onlyAwaited = awaited;
    this.#drawChips();
    this.#show();
  }

  #show(): void {
    const wanted = plain(this.#search.value);
    let shown = 0;
    for (const { element, row } of this.#rows.values()) {
      element.hidden = !plain(row.name).includes(wanted) || (this.#onlyAwaited && !this.#awaited.who.has(row.who));
      if (!element.hidden) shown += 1;
    }
    this.#none.hidden = shown > 0 || wanted === '';
  }
}

/** Puts these into a list. Nothing is moved that stands where it should: what is moved loses its focus. */
function place(list: HTMLElement, wanted: HTMLElement[]): void {
  for (const child of [...list.children]) if (!wanted.includes(child as HTMLElement)) child.remove();
  wanted.forEach((element, index) => {
    if (list.children[index] !== element) list.insertBefore(element, list.children[index] ?? null);
  });
}

/** Without accents and case: nobody types them in the rain. */
function plain(text: string): string {
  return text.normalize('NFD').replace(/\p{M}/gu, '').toLowerCase().trim();
}
