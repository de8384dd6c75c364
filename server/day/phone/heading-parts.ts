import type { Faults } from '../../web/forms.js';
import type { rollModel } from '../roll-model.js';
import { button, el, textField } from './dom.js';
import { Part } from './part.js';

export type RollModel = ReturnType<typeof rollModel>;

/** Says something as a form's fields would; what can't be said comes back. @param words of it, for the line that takes it back */
export type Say = (fields: Record<string, string>, words: string) => Faults | null;

/** The figures. */
export function countsPart(): Part<RollModel['counts']> {
  const figure = ({ value, label, isOpen }: RollModel['counts'][number]) =>
    el('div', { class: isOpen ? 'open' : false }, el('dd', {}, String(value)), el('dt', {}, label));
  return new Part(el('dl'), (counts) => counts.map(figure));
}

/** Since when the group is out, where next, and late in a word; and the identity of the headcount. */
export function timerPart(): Part<Pick<RollModel, 'timer' | 'sum'>> {
  return new Part(el('div'), ({ timer, sum }) => {
    const { gathers, out, next, late } = timer;
    const flag = late ? el('b', { class: 'flag caution' }, `Late by ${late}`) : null;
    const where = next ? [`Next, ${next.place}: `, el('b', { class: 'nowrap' }, `${next.fastest} – ${next.slowest}`), '. '] : [];
    const since = out ? ['Out ', el('b', {}, out.span), `, since ${out.since}. `] : [];
    const before = gathers ? ['Gather ', el('b', {}, gathers.gather), ', set off ', el('b', {}, gathers.setOff), '. '] : [];
    return [el('p', { class: 'roll-timer' }, ...before, ...since, ...where, flag), sum ? el('p', { class: 'roll-sum' }, sum) : null];
  });
}

/** Who was lost on the way, and who is under 18 and alone. */
export function alarmsPart(address: (path: string) => string): Part<Pick<RollModel, 'missing' | 'warnings' | 'noBack'>> {
  const about = (who: string) => address(`?who=${encodeURIComponent(who)}`);
  return new Part(el('div'), ({ missing, warnings, noBack }) => [
    missing &&
      alarm(missing.uncounted ? `Nobody was counted at ${missing.stop}` : `Missing since ${missing.stop}: ${missing.people.length}`, [
        missing.uncounted ? el('p', {}, 'Count here, before anyone goes on.') : null,
        el(
          'ul',
          { class: 'plain' },
          ...missing.people.map(({ who, name, seen, at }) =>
            el(
              'li',
              {},
              el('b', {}, name),
              `, last seen ${seen}${at ? `, ${at}` : ''}. `,
              el(
                'a',
                { class: 'roll-more', href: `${about(who)}#ring` },
                'Whom to ring',
                el('span', { class: 'hidden' }, ` about ${name}`),
              ),
            ),
          ),
        ),
      ]),
    warnings.length > 0
      ? alarm('Under 18', [el('ul', { class: 'plain' }, ...warnings.map(({ sentence }) => el('li', {}, sentence)))])
      : null,
    noBack
      ? el('div', { class: 'note danger' }, el('p', {}, el('b', {}, 'No back marker is named.'), ' Choose who walks last, below.'))
      : null,
  ]);
}

function alarm(heading: string, children: (Node | null)[]): HTMLElement {
  return el('section', { class: 'roll-alarm' }, el('h2', {}, heading), ...children);
}

/** Counting heads instead of tapping each. */
export function headsPart(say: Say): Part<{ heads: RollModel['heads']; fault: string | undefined }> {
  const part = new Part<{ heads: RollModel['heads']; fault: string | undefined }>(el('div'), ({ heads, fault }) => {
    if (!heads) return [];
    const typed = part.element.querySelector('input')?.value ?? '';
    const { field, value } = textField('heads', 'Heads counted', { inputmode: 'numeric', class: 'short', value: typed }, fault);
    const count = button('All here', '', () => {
      const faults = say({ who: 'all', kind: 'all', at: heads.at, heads: value() }, 'All here');
      part.draw({ heads, fault: faults?.heads });
    });
    return [el('div', { class: 'roll-heads' }, field, count)];
  });
  return part;
}
