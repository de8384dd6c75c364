import type { FastifyReply, FastifyRequest } from 'fastify';
import { gapHref } from '../coverage/needs.js';
import { wantedWords } from '../coverage/words.js';
import { isPostingOpen } from '../joining/renewal.js';
import type { Services } from '../services.js';
import { Problem } from '../web/errors.js';
import { line, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { endAsk, type LetterRow, letterByToken, reopenAsk } from './asks-store.js';
import type { AskStanding } from './rules.js';
import type { StandingAsk } from './season.js';
import { asksStanding } from './stands.js';
import { walkWords } from './words.js';

const SENTENCES: Record<AskStanding, string> = {
  open: '',
  posted: 'You posted it. Thank you!',
  'not this time': 'You said: not this time. You are not asked for it again, nor for that weekend.',
  ended: 'You are not asked for this any more.',
  met: 'Another walk is there meanwhile. Nothing to do.',
  past: 'Its day has passed.',
  dropped: 'It is not needed any more.',
};

/** What a leader is asked, by the private address of the mail. Looking changes nothing. */
export function askPages(services: Services) {
  const { db, settings, now } = services;

  function find(request: FastifyRequest): LetterRow {
    const letter = letterByToken(db.q, (request.params as { token: string }).token);
    if (letter) return letter;
    throw new Problem(404, {
      heading: 'This link leads nowhere any more',
      sentence: 'It may have been cut off in the mail, or was long ago. Sign in to see what your area needs.',
      links: [
        { href: '/lead', label: 'Your walks' },
        { href: '/', label: 'See the coming walks' },
      ],
    });
  }

  function show(request: FastifyRequest, reply: FastifyReply) {
    const letter = find(request);
    const asks = asksStanding(db.q, services, letter);
    const open = asks.filter(({ standing }) => standing === 'open').length;
    return page(request, reply, 'proposals/asks', {
      title: open === 0 ? 'What you were asked' : `Could you lead ${open === 1 ? 'a walk' : walkWords(open)}?`,
      narrow: true,
      noindex: true,
      action: request.url.split('?')[0],
      by: letter.by.name,
      to: letter.to.name,
      note: letter.note,
      open,
      one: asks.length === 1,
      agreementDue: open > 0 && !isPostingOpen({ dueAt: letter.agreementDueAt }, now()),
      asks: asks.map(rowOf),
    });
  }

  function rowOf(ask: StandingAsk) {
    const need = { dayKind: ask.dayKind, bestMetres: ask.bestMetres ?? 0, month: ask.month };
    const words = wantedWords(need, ask.date, settings());
    return {
      id: ask.id,
      area: ask.areaName,
      words,
      what: `${ask.areaName}, ${words}`,
      open: ask.standing === 'open',
      declined: ask.standing === 'not this time',
      sentence: SENTENCES[ask.standing],
      post: gapHref({ need, area: { slug: ask.areaSlug }, date: ask.date }, settings()),
      walk: ask.walkId === null ? null : `/walks/${ask.walkId}`,
    };
  }

  /** "Not this time" for one walk, or taking that back. Whatever else is sent, or comes too late, changes nothing: the page says how it stands. */
  function post(request: FastifyRequest, reply: FastifyReply) {
    const letter = find(request);
    const [id, answer] = [Number(line(request.body as Typed, 'ask')), line(request.body as Typed, 'answer')];
    db.write((tx) => {
      const ask = asksStanding(tx, services, letter).find((one) => one.id === id);
      if (answer === 'no' && ask?.standing === 'open') endAsk(tx, ask.id, 'not this time', now());
      if (answer === 'back' && ask?.standing === 'not this time' && letter.approved) reopenAsk(tx, ask);
    });
    return reply.redirect(request.url.split('?')[0] ?? '/', 303);
  }

  return { show, post };
}
