import { backMarker, type GroupSaid, standing } from '../ledger.js';
import { groupTimer } from '../timer.js';
import { button, choice, el } from './dom.js';
import type { LiveRoll } from './live.js';
import type { Phase } from './rows.js';

/** Something said of the whole group, with what goes with it, in words for the line that undoes it. */
export type SayGroup = (said: GroupSaid, words: string) => void;

const MINUTE_MS = 60_000;

/** Where the group is, how late, and where it goes next. */
export class GroupView {
  readonly element = el('section', { class: 'roll-group', 'aria-labelledby': 'roll-group' });
  readonly #roll: LiveRoll;
  readonly #say: SayGroup;
  readonly #clock: (at: number) => string;
  #refused = '';
  #drawn = '';

  constructor(roll: LiveRoll, clock: (at: number) => string, say: SayGroup) {
    this.#roll = roll;
    this.#clock = clock;
    this.#say = say;
  }

  /** Draws it anew where something in it changed; the select that someone has open is left alone. */
  draw(phase: Phase): void {
    const arrived = this.#walking();
    const back = backMarker(this.#roll.entries());
    const words = this.#timer();
    const drawn = JSON.stringify([phase, back, words, this.#refused, arrived]);
    if (drawn === this.#drawn || (this.element.contains(document.activeElement) && document.activeElement instanceof HTMLSelectElement)) return;
    this.#drawn = drawn;
    this.element.replaceChildren(
      el('h2', { id: 'roll-group' }, this.#where(phase)),
      ...words.map((sentence) => el('p', {}, sentence)),
      this.#backMarker(arrived, back),
      this.#next(phase, back),
    );
  }

  #where(phase: Phase): string {
    if (phase === 0) return 'Gathering';
    if (phase === 1) return 'On the way';
    return phase === Number.POSITIVE_INFINITY ? 'At the finish' : `At ${this.#stop(phase - 1)}`;
  }

  #stop(n: number): string {
    const name = this.#roll.state.stops.find((stop) => stop.n === n)?.name;
    return name ? `stop ${n}: ${name}` : `stop ${n}`;
  }

  /** Since when, where next and by when, and late in a word. */
  #timer(): string[] {
    const { setOffAt, outMs, next, lateMs } = groupTimer(this.#roll.state, this.#roll.entries(), this.#roll.now);
    const late = lateMs >= MINUTE_MS ? [`Late by ${span(lateMs)}.`] : [];
    if (setOffAt === null) return [`Sets off at ${this.#clock(this.#roll.state.setOffAt)}.`, ...late];
    const out = `Set off ${this.#clock(setOffAt)}, ${span(outMs)} ago.`;
    if (!next) return [out];
    const where = next.place === 'finish' ? 'The finish' : this.#stop(next.place).replace(/^s/, 'S');
    return [out, `${where} is expected ${this.#clock(next.fastest)} to ${this.#clock(next.slowest)}.`, ...late];
  }

  /** Everyone who may walk last: who has arrived, and the leaders. */
  #walking(): [string, string][] {
    const { people, state } = this.#roll;
    const here = people.filter(({ who, minor }) => !minor && ['arrived', 'set off', 'stop'].includes(standing(this.#roll.of(who)).state));
    return [...state.leaders, ...here].map(({ who, name }) => [who, name]);
  }

  #backMarker(walking: [string, string][], back: string | null): HTMLElement {
    const { field, select } = choice('roll-back', 'Back marker', [['', 'Choose who walks last'], ...walking]);
    select.value = back ?? '';
    select.addEventListener('change', () => {
      if (select.value === '') return;
      this.#refused = '';
      select.blur();
      void this.#roll.say([{ who: 'back', said: { kind: 'back', who: select.value } }]);
    });
    if (this.#refused) {
      select.setAttribute('aria-invalid', 'true');
      select.setAttribute('aria-describedby', 'roll-back-fault');
      field.classList.add('wrong');
      field.insertBefore(el('p', { class: 'fault', id: 'roll-back-fault' }, this.#refused), select);
    }
    return field;
  }

  #next(phase: Phase, back: string | null): HTMLElement {
    const taps = el('div', { class: 'row' });
    if (phase === 0)
      taps.append(
        button('Set off', 'roll-main', () => {
          if (back !== null) return this.#say({ kind: 'group', at: 'set off' }, 'The group set off');
          this.#refused = 'Choose the back marker first: who walks last, so that nobody falls behind unseen.';
          this.draw(phase);
          this.element.querySelector('select')?.focus();
        }),
      );
    for (const { n } of this.#roll.state.stops.filter((stop) => stop.n > phase - 1 && phase > 0).slice(0, 1))
      taps.append(button(`At ${this.#stop(n)}`, 'roll-main', () => this.#say({ kind: 'group', at: 'stop', stop: n }, `At ${this.#stop(n)}`)));
    if (phase > 0 && phase !== Number.POSITIVE_INFINITY)
      taps.append(button('At the finish', '', () => this.#say({ kind: 'group', at: 'finish' }, 'At the finish')));
    return taps;
  }
}

function span(ms: number): string {
  const minutes = Math.floor(ms / MINUTE_MS);
  return minutes < 60 ? `${minutes} min` : `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
}
