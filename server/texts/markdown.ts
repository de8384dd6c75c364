import MarkdownIt from 'markdown-it';

/** A page has its own h1 and h2: the first heading of a text is an h3. */
const HEADING_STEP = 2;
const LOWEST_HEADING = 6;

const markdown = new MarkdownIt({ html: false, linkify: false, typographer: false }).disable('image');

// The library's own check lets ftp, data images and relative addresses through; a group's text needs none of them.
markdown.validateLink = (url) => /^(https?:\/\/|mailto:)/i.test(url.trim());

markdown.core.ruler.push('lower_headings', (state) => {
  for (const token of state.tokens) {
    if (token.type !== 'heading_open' && token.type !== 'heading_close') continue;
    token.tag = `h${Math.min(Number(token.tag.slice(1)) + HEADING_STEP, LOWEST_HEADING)}`;
  }
});

/** A group's text as safe HTML: what looks like HTML in it is shown as typed, links lead only to web and mail addresses. */
export function toHtml(text: string): string {
  return markdown.render(text);
}
