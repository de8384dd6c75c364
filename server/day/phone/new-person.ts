import { el } from './dom.js';

/** A field for the name of someone who turned up; the rest is asked where there is signal. */
export function newPerson(add: (name: string) => void): HTMLElement {
  const input = el('input', { id: 'roll-name', autocomplete: 'off', maxlength: '100' });
  const form = el(
    'form',
    { class: 'roll-new' },
    el('div', { class: 'field' }, el('label', { for: 'roll-name' }, 'Name'), input),
    el('button', {}, 'Put on the roll'),
  );
  form.addEventListener('submit', (event) => {
    event.preventDefault();
    const name = input.value.replace(/\s+/g, ' ').trim();
    if (name === '') return input.focus();
    input.value = '';
    add(name);
  });
  return el(
    'section',
    { 'aria-labelledby': 'roll-new' },
    el('h2', { id: 'roll-new' }, 'Someone else turned up'),
    el('p', { class: 'soft' }, 'The name is enough for now. Whom to phone for them and their waiver are asked when there is signal: under More, at their name.'),
    form,
  );
}

