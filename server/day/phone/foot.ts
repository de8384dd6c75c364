import { button, el, textField } from './dom.js';
import { newId } from './ids.js';

/** Someone who turned up, by name: the rest is asked where there is signal. And where to turn without signal. */
export function foot(add: (key: string, name: string) => void): HTMLElement {
  const { field, value } = textField('roll-name', 'Name', { maxlength: '100' });
  const input = field.querySelector('input');
  const put = () => {
    const name = value().replace(/\s+/g, ' ').trim();
    if (input) input.value = '';
    if (name === '') input?.focus();
    else add(newId(), name);
  };
  input?.addEventListener('keydown', (event) => event.key === 'Enter' && put());
  return el(
    'section',
    { 'aria-labelledby': 'roll-new' },
    el('h2', { id: 'roll-new' }, 'Someone else turned up'),
    el(
      'p',
      { class: 'soft' },
      'The name is enough for now. Whom to phone for them and their waiver come where there is signal: under More, at their name.',
    ),
    field,
    el('p', { class: 'row' }, button('Put on the roll', '', put)),
    el(
      'p',
      { class: 'soft' },
      '“Someone is hurt” opens without signal, too: the emergency number, the places of the walk and what to look for. Phone numbers of people need signal, or the printed day pack: none is kept on this phone.',
    ),
  );
}
