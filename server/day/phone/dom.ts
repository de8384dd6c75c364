type Child = Node | string | null;
type Attributes = Record<string, string | boolean>;

/** An element with attributes (false leaves one out) and children; text is always text. */
export function el<Tag extends keyof HTMLElementTagNameMap>(tag: Tag, attributes: Attributes = {}, ...children: Child[]): HTMLElementTagNameMap[Tag] {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) if (value !== false) made.setAttribute(name, value === true ? '' : value);
  made.append(...children.filter((child) => child !== null));
  return made;
}

export function button(label: string, kind: string, press: () => void): HTMLButtonElement {
  const made = el('button', { type: 'button', ...(kind ? { class: kind } : {}) }, label);
  made.addEventListener('click', press);
  return made;
}

/** A select with its label. @param options value and words */
export function choice(id: string, label: string, options: readonly (readonly [string, string])[]): { field: HTMLElement; select: HTMLSelectElement } {
  const select = el('select', { id }, ...options.map(([value, words]) => el('option', { value }, words)));
  return { field: el('div', { class: 'field' }, el('label', { for: id }, label), select), select };
}
