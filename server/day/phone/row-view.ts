import type { Faults } from '../../web/forms.js';
import type { Row } from '../roll-rows.js';
import type { sayable } from '../sayable.js';
import { button, choice, el } from './dom.js';

export type Sayable = ReturnType<typeof sayable>;

/** What a row asks of the page. */
export interface RowActs {
  /** Says something of someone, as a form's fields would; what can't be said comes back. */
  say: (fields: Record<string, string>, words: string) => Faults | null;
  /** What else can be said of them now. */
  sayable: (who: string) => Sayable | null;
  address: (path: string) => string;
}

/** A person's line on the page. Drawn once, then only what changed in it: with 150 people a tap must show at once. */
export class RowView {
  readonly element: HTMLLIElement;
  row: Row;
  readonly #acts: RowActs;
  #drawn = '';
  #open = false;
  #faults: Faults = {};

  constructor(row: Row, acts: RowActs) {
    this.row = row;
    this.#acts = acts;
    this.element = el('li', { id: `row-${row.who}`, tabindex: '-1' });
  }

  draw(row: Row): void {
    const now = JSON.stringify([row, this.#open, this.#faults]);
    if (now === this.#drawn) return;
    // Whoever works with keys stays on the line whose button has gone.
    const focused = this.element.contains(document.activeElement);
    this.#drawn = now;
    this.row = row;
    this.element.className = `roll-row${row.minor ? ' minor' : ''}${row.main || row.claims.length > 0 ? '' : ' done'}`;
    const mark = this.#mark();
    const [beside, below] = row.stands?.long ? [null, mark] : [mark, null];
    this.element.replaceChildren(
      ...[this.#who(), ...this.#claims(), this.#taps(beside), below, this.#open && this.#more()].filter(isThere),
    );
    if (focused) this.element.focus({ preventScroll: true });
  }

  #who(): HTMLElement {
    const under = this.row.under.map(({ words, alert }) => el('span', { class: alert ? 'roll-alert' : 'roll-under' }, words));
    return el('div', { class: 'roll-who' }, el('b', {}, this.row.name), ...under.flatMap((one) => [' ', one]));
  }

  #say(fields: Record<string, string>, words: string): void {
    const faults = this.#acts.say({ who: this.row.who, ...fields }, `${this.row.name}: ${words}`);
    this.#faults = faults ?? {};
    this.#open = faults !== null;
    this.draw(this.row);
    if (faults) this.element.querySelector<HTMLElement>('[aria-invalid]')?.focus();
  }

  /** How they stand, and since when. */
  #mark(): HTMLElement | null {
    const { stands } = this.row;
    return (
      stands &&
      el(
        'span',
        { class: `roll-stands${stands.long ? ' long' : ''}` },
        el('span', { 'aria-hidden': 'true' }, '✓ '),
        stands.words,
        ...(stands.at ? [' ', el('span', { class: 'nowrap' }, stands.at)] : []),
      )
    );
  }

  #taps(mark: HTMLElement | null): HTMLElement {
    const { main, name } = this.row;
    const what = { kind: main?.kind ?? '', ...(main?.stop ? { stop: String(main.stop) } : {}) };
    const more = button('More', 'roll-more link', () => this.#turn(), name);
    more.setAttribute('aria-expanded', String(this.#open));
    return el(
      'div',
      { class: 'roll-now' },
      main && button(main.label, `roll-main${main.kind === 'set off' ? '' : ' do'}`, () => this.#say(what, main.label.toLowerCase()), name),
      mark,
      more,
    );
  }

  #turn(): void {
    this.#open = !this.#open;
    this.#faults = {};
    this.draw(this.row);
    this.element.querySelector<HTMLElement>('.roll-more')?.focus({ preventScroll: true });
  }

  /** Where two phones differ, what each says. */
  #claims(): HTMLElement[] {
    return this.row.claims.map(({ words, at, kind, stop, told, home }) => {
      const fields = { kind, stop: String(stop ?? ''), told: told ?? '', home: home ?? '' };
      const right = button('This is right', '', () => this.#say(fields, words), `${this.row.name}, ${words}`);
      return el('div', { class: 'roll-claim' }, el('p', {}, `${at}: `, el('b', {}, words)), right);
    });
  }

  #more(): HTMLElement | null {
    const more = this.#acts.sayable(this.row.who);
    if (!more) return null;
    const { who, name } = this.row;
    const say = ({ kind, stop, label }: Sayable['states'][number]) =>
      button(label, '', () => this.#say({ kind, stop: String(stop ?? '') }, label.toLowerCase()), name);
    const page = this.#acts.address(`?who=${encodeURIComponent(who)}#ring`);
    return el(
      'div',
      { class: 'roll-other' },
      el('div', { class: 'roll-states' }, ...more.states.map(say)),
      more.handOver && this.#handOver(more.handOver),
      more.left && this.#left(more),
      el(
        'p',
        { class: 'row' },
        el('a', { href: page }, 'Whom to ring, and what was said'),
        who.startsWith('t')
          ? el('a', { href: this.#acts.address(`/turned-up/${encodeURIComponent(who.slice(1))}`) }, 'Contact and waiver')
          : null,
      ),
    );
  }

  #left({ left, minors }: Sayable): HTMLElement {
    const { who, name } = this.row;
    const where = choice(`where-${who}`, 'Where', left?.where ?? [], null, this.#faults.stop);
    const told = choice(`told-${who}`, 'Who was told', left?.told ?? [], 'Choose', this.#faults.told);
    const home = choice(`home-${who}`, 'How they get home', left?.home ?? [], 'Choose', this.#faults.home);
    const along = [{ value: 'along', label: 'They leave, too' }, ...(minors?.options ?? [])];
    const taker =
      minors && choice(`minors-${who}`, `${minors.names}, under 18: who answers for them now`, along, 'Choose', this.#faults.minors);
    const leave = button(
      'Left early',
      '',
      () => {
        const fields = { kind: 'left', stop: where.value(), told: told.value(), home: home.value(), minors: taker?.value() ?? '' };
        this.#say(fields, 'left early');
      },
      name,
    );
    const open = Object.keys(this.#faults).length > 0;
    return el('details', { open }, el('summary', {}, 'Leaves early'), where.field, told.field, home.field, taker?.field ?? null, leave);
  }

  #handOver(adults: { value: string; label: string }[]): HTMLElement {
    const { who, name } = this.row;
    const taker = choice(`with-${who}`, 'Who answers for them from now on', adults, 'Choose', this.#faults.guardian);
    const hand = button('Hand over', '', () => this.#say({ who: 'with', minor: who, guardian: taker.value() }, 'handed over'), name);
    return el('div', {}, taker.field, hand);
  }
}

function isThere(one: HTMLElement | null | false): one is HTMLElement {
  return one instanceof HTMLElement;
}
