type Child = Node | string | null;
type Attributes = Record<string, string | boolean>;

/** An element with attributes (false leaves one out) and children; text is always text. */
export function el<Tag extends keyof HTMLElementTagNameMap>(
  tag: Tag,
  attributes: Attributes = {},
  ...children: Child[]
): HTMLElementTagNameMap[Tag] {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) if (value !== false) made.setAttribute(name, value === true ? '' : value);
  made.append(...children.filter((child) => child !== null));
  return made;
}

/** @param about whom or what it is about, said by screen readers only */
export function button(label: string, kind: string, press: () => void, about = ''): HTMLButtonElement {
  const made = el('button', { type: 'button', class: kind || false, 'aria-label': about ? `${label}: ${about}` : false }, label);
  made.addEventListener('click', press);
  return made;
}

interface Field {
  field: HTMLElement;
  value: () => string;
}

/** A field with its label, and its fault where it has one, as the pages without script have it. */
function field(label: string, fault: string | undefined, input: HTMLInputElement | HTMLSelectElement): Field {
  if (fault) {
    input.setAttribute('aria-invalid', 'true');
    input.setAttribute('aria-describedby', `${input.id}-error`);
  }
  const error = fault ? el('p', { class: 'error', id: `${input.id}-error` }, fault) : null;
  const made = el('div', { class: fault ? 'field wrong' : 'field' }, el('label', { for: input.id }, label), error, input);
  return { field: made, value: () => input.value };
}

export function textField(id: string, label: string, attributes: Attributes, fault?: string): Field {
  return field(label, fault, el('input', { id, autocomplete: 'off', ...attributes }));
}

export interface Option {
  value: string;
  label: string;
  selected?: boolean;
}

/** @param empty words of the choice that is none; left out where one is always chosen */
export function choice(id: string, label: string, options: readonly Option[], empty: string | null, fault?: string): Field {
  const all = empty === null ? options : [{ value: '', label: empty }, ...options];
  const made = all.map(({ value, label: words, selected = false }) => el('option', { value, selected }, words));
  return field(label, fault, el('select', { id }, ...made));
}
