import { button, el } from './dom.js';
import type { LiveRoll } from './live.js';
import { sentWords } from './sent-words.js';

const SIGN_IN = (walk: number) => `/sign-in?next=${encodeURIComponent(`/lead/walks/${walk}/roll`)}`;

/** The line that says it, with a button to send at once. */
export class SentLine {
  readonly element = el('div', { class: 'roll-sent' });
  readonly #send: () => void;
  #drawn = '';

  constructor(send: () => void) {
    this.#send = send;
  }

  /** @param heard the clock when the service last answered */
  draw(roll: LiveRoll, heard: string): void {
    const { words, tone } = sentWords(roll, heard);
    const drawn = [words, ...roll.refusals].join('\n');
    if (drawn === this.#drawn) return;
    this.#drawn = drawn;
    this.element.className = `roll-sent ${tone}`;
    this.element.replaceChildren(el('p', {}, el('b', {}, words)), ...this.#doing(roll));
    if (roll.refusals.length > 0)
      this.element.append(el('ul', { class: 'note danger' }, ...roll.refusals.map((sentence) => el('li', {}, sentence))));
  }

  #doing({ trouble, unsent, state }: LiveRoll): HTMLElement[] {
    if (trouble === 'signed out') return [el('a', { href: SIGN_IN(state.walk) }, 'Sign in')];
    if (trouble === 'closed' || trouble === 'not yours') return [el('a', { href: `/lead/walks/${state.walk}` }, 'To the walk')];
    return unsent > 0 || trouble ? [button('Send now', 'link', this.#send)] : [];
  }
}
