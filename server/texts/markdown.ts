import MarkdownIt from 'markdown-it';

/** A page has its own h1 and h2: the first heading of a text is an h3. */
const TEXT_STEP = 2;
const LOWEST_HEADING = 6;

/** The library's own check lets ftp, data images and relative addresses through; a group's text needs none of them. */
const ELSEWHERE = /^(https?:\/\/|mailto:)/i;
/** Pages that come with the program lead to others of the site, too; `//` would lead away from it. */
const HERE_TOO = /^(https?:\/\/|mailto:|\/(?!\/))/i;

function reader(headingStep: number, links: RegExp) {
  const markdown = new MarkdownIt({ html: false, linkify: false, typographer: false }).disable('image');
  markdown.validateLink = (url) => links.test(url.trim());
  markdown.core.ruler.push('lower_headings', (state) => {
    for (const token of state.tokens) {
      if (token.type !== 'heading_open' && token.type !== 'heading_close') continue;
      token.tag = `h${Math.min(Number(token.tag.slice(1)) + headingStep, LOWEST_HEADING)}`;
    }
  });
  return markdown;
}

const texts = reader(TEXT_STEP, ELSEWHERE);
const ownPages = reader(0, HERE_TOO);

/** A group's text as safe HTML: what looks like HTML in it is shown as typed, links lead only to web and mail addresses. */
export function toHtml(text: string): string {
  return texts.render(text);
}

/** The same for a page that comes with the program: its headings stay at their level, and its links may lead to other pages of the site. */
export function ownPageHtml(text: string): string {
  return ownPages.render(text);
}

/** A piece of a text as plain words: what it begins with in bold, and the rest. */
export interface Spoken {
  lead: string;
  text: string;
}

/** A group's text as plain words, one piece for each heading, paragraph and point of a list: for where there is little room. */
export function toSpoken(text: string): Spoken[] {
  return texts.parse(text, {}).flatMap((token, index, all) => {
    const inline = token.type === 'inline' ? (token.children ?? []) : [];
    if (inline.length === 0) return [];
    const isHeading = all[index - 1]?.type === 'heading_open';
    const close =
      inline[0]?.type === 'strong_open' || inline[1]?.type === 'strong_open' ? inline.findIndex((one) => one.type === 'strong_close') : -1;
    const lead = isHeading ? words(inline) : words(inline.slice(0, close + 1));
    return [{ lead, text: isHeading ? '' : words(inline.slice(close + 1)) }];
  });
}

function words(tokens: { type: string; content: string }[]): string {
  return tokens
    .map((token) => (token.type.endsWith('break') ? ' ' : token.content))
    .join('')
    .trim();
}
