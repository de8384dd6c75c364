/** What a browser would post of the page's last form, as it stands: inputs, ticked boxes, chosen options, text areas. */
export function formFields(html: string): Record<string, string | string[]> {
  const forms = [...html.matchAll(/<form[^>]*method="post"[\s\S]*?<\/form>/g)]
    .map((found) => found[0])
    .filter((form) => !/action="\/sign-out"/.test(form));
  const form = forms.sort((a, b) => b.length - a.length)[0] ?? '';
  const fields: Record<string, string | string[]> = {};
  const add = (name: string, value: string) => {
    const before = fields[name];
    fields[name] = before === undefined ? value : [before, value].flat();
  };
  for (const [tag] of form.matchAll(/<input[^>]*>/g)) {
    const name = attribute(tag, 'name');
    const type = attribute(tag, 'type');
    if (name && (!/checkbox|radio/.test(type) || / checked/.test(tag))) add(name, attribute(tag, 'value'));
  }
  for (const [, open = '', text = ''] of form.matchAll(/<textarea([^>]*)>([\s\S]*?)<\/textarea>/g))
    add(attribute(open, 'name'), decode(text));
  for (const [, open = '', options = ''] of form.matchAll(/<select([^>]*)>([\s\S]*?)<\/select>/g)) {
    const chosen = /<option([^>]*) selected/.exec(options)?.[1] ?? /<option([^>]*)>/.exec(options)?.[1] ?? '';
    add(attribute(open, 'name'), attribute(chosen, 'value'));
  }
  return fields;
}

function attribute(tag: string, name: string): string {
  return decode(new RegExp(` ${name}="([^"]*)"`).exec(tag)?.[1] ?? '');
}

function decode(text: string): string {
  return text
    .replace(/&#x([0-9A-Fa-f]+);/g, (_, code: string) => String.fromCodePoint(Number.parseInt(code, 16)))
    .replaceAll('&quot;', '"')
    .replaceAll('&lt;', '<')
    .replaceAll('&gt;', '>')
    .replaceAll('&amp;', '&');
}
