import { readdirSync, readFileSync, statSync } from 'node:fs';
import { join, relative } from 'node:path';
import Handlebars from 'handlebars';
import { phoneText } from './phone.js';

/** Compiled templates, by their path below views/ without the ending ("walks/page", "mail/change.txt"). */
export class Views {
  readonly #hb = Handlebars.create();
  readonly #compiled = new Map<string, Handlebars.TemplateDelegate>();

  /** Parses every template under `folder` at once, so that a broken one stops the start and not a visitor: Handlebars would put it off. @throws naming the file */
  constructor(folder: string) {
    this.#hb.registerHelper(helpers);
    for (const file of files(folder)) {
      const name = relative(folder, file).replace(/\.hbs$/, '');
      const source = this.#parsed(file, name);
      // Plain-text mail is not HTML: nothing in it is escaped.
      const plain = name.endsWith('.txt');
      // preventIndent: a part called from an indented line would otherwise indent what stands in its text areas, too.
      const template = this.#hb.compile(source, { noEscape: plain, preventIndent: true });
      if (/^(mail\/)?parts\//.test(name)) this.#hb.registerPartial(name, template);
      this.#compiled.set(name, template);
    }
  }

  #parsed(file: string, name: string): hbs.AST.Program {
    try {
      return this.#hb.parse(readFileSync(file, 'utf8'));
    } catch (error) {
      throw new Error(`views/${name}.hbs can't be read: ${error instanceof Error ? error.message : String(error)}`);
    }
  }

  render(name: string, model: object): string {
    const template = this.#compiled.get(name);
    if (!template) throw new Error(`no view named ${name}`);
    return template(model);
  }

  names(): string[] {
    return [...this.#compiled.keys()];
  }
}

const helpers = {
  /** The one door for HTML that our own code made safe (a rendered body, sanitised Markdown, server-drawn SVG). */
  html: (safe: unknown) => new Handlebars.SafeString(String(safe ?? '')),
  /** A number kept as E.164, spaced to be read and dialled by hand: "+1 202 555 0124". */
  phoneText: (e164: unknown) => (typeof e164 === 'string' ? phoneText(e164) : ''),
  /** Words put together for a part's label. */
  joined: (...parts: unknown[]) => parts.slice(0, -1).join(''),
  /** JSON for a script element: `<` can't end the element. */
  asJson: (value: unknown) => new Handlebars.SafeString(JSON.stringify(value).replace(/</g, '\\u003c')),
};

function files(folder: string): string[] {
  return readdirSync(folder)
    .map((name) => join(folder, name))
    .flatMap((path) => {
      if (statSync(path).isDirectory()) return files(path);
      return path.endsWith('.hbs') ? [path] : [];
    });
}
