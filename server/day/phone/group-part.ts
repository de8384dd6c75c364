import { button, choice, el } from './dom.js';
import type { RollModel, Say } from './heading-parts.js';
import { Part } from './part.js';

type Group = Pick<RollModel, 'group' | 'backMarker' | 'rest' | 'mayClose' | 'allTapped'>;

/** Where the group goes next, who walks last, and putting it back. */
export class GroupPart {
  readonly #part: Part<Group & { faults: Record<string, string> }>;
  readonly #say: Say;
  readonly #address: (path: string) => string;
  #group: Group | null = null;

  constructor(say: Say, address: (path: string) => string) {
    this.#say = say;
    this.#address = address;
    this.#part = new Part(el('section', { 'aria-labelledby': 'roll-group' }), (model) => this.#make(model));
  }

  get element(): HTMLElement {
    return this.#part.element;
  }

  draw({ group, backMarker, rest, mayClose, allTapped }: RollModel, faults: Record<string, string> = {}): void {
    this.#group = { group, backMarker, rest, mayClose, allTapped };
    this.#part.draw({ ...this.#group, faults });
  }

  #try(fields: Record<string, string>, words: string): void {
    const faults = this.#say(fields, words);
    if (!faults || !this.#group) return;
    this.#part.draw({ ...this.#group, faults });
    this.element.querySelector<HTMLElement>('[aria-invalid]')?.focus();
  }

  #make({ group, backMarker, rest, mayClose, allTapped, faults }: Group & { faults: Record<string, string> }) {
    if (!group) return [];
    const back = choice('back', 'Who walks last, as back marker', backMarker.options, 'Choose', faults.back);
    const fault = faults.roll ? el('p', { class: 'error', role: 'alert' }, faults.roll) : null;
    const never =
      rest > 0
        ? button(`${rest} never came: not walking`, '', () => this.#try({ who: 'rest', kind: 'not walking' }, `${rest} not walking`))
        : null;
    const close = mayClose
      ? el('a', { class: 'button do', href: this.#address('').replace(/roll$/, 'close') }, 'Everyone is accounted for: close the walk')
      : null;
    const main = allTapped ? 'big-tap do' : 'big-tap';
    if (group.gathering) {
      const go = button('Everyone who arrived sets off', main, () =>
        this.#try({ who: 'group', kind: 'set off', back: back.value() }, 'The group set off'),
      );
      return [el('h2', { id: 'roll-group' }, 'Set off'), fault, back.field, el('p', { class: 'row' }, go)];
    }
    const move = ({ kind, stop, label }: { kind: string; stop: number | null; label: string }, look: string) =>
      button(label, look, () => this.#try({ who: 'group', kind, stop: String(stop ?? '') }, label));
    const change = button('Change', '', () => this.#try({ who: 'back', kind: 'back', back: back.value() }, 'Back marker changed'));
    return [
      el('h2', { id: 'roll-group' }, 'The group'),
      fault,
      backMarker.name ? el('p', {}, 'Back marker: ', el('b', {}, backMarker.name)) : null,
      el('div', { class: 'row' }, group.next && move(group.next, main), never, close),
      el(
        'details',
        {},
        el('summary', {}, 'Another back marker, or put the group back'),
        back.field,
        el('div', { class: 'row' }, change, group.back && move(group.back, '')),
      ),
    ];
  }
}
