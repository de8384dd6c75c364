import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import { Problem } from '../web/errors.js';
import { page } from '../web/page.js';
import type { Views } from '../web/render.js';
import { when } from '../web/when.js';
import { tryAgain, tryAllAgain } from './again.js';
import { KINDS, STATE_WORDS } from './kinds.js';
import { mailMaker } from './mail.js';
import { oweTest } from './owe.js';
import { failedNotices, latestNotices, lotWith, type MailLine, type NoticeLine, noticeById, PAGE_ROWS, queueAge } from './store.js';

const MAIL_LINK = { href: '/coordinate/mail', label: 'Back to the mail' };

const HIDDEN = { text: '', subject: 'Sign-in mail', calendar: null, attached: [], messageId: '' };

/** Pages on which a coordinator sees outgoing mail and its failures. */
export function mailPages(services: Services, views: Views) {
  const { db, config, now, settings } = services;
  const mails = mailMaker(services, views);
  const oweContext = () => ({ now: now(), settings: settings(), config });

  function list(request: FastifyRequest, reply: FastifyReply) {
    const { before } = request.query as { before?: unknown };
    const from = typeof before === 'string' && /^\d{1,15}$/.test(before) ? Number(before) : null;
    const rows = latestNotices(db.q, from ?? Number.MAX_SAFE_INTEGER);
    const queue = queueAge(db.q, now());
    const zone = homeZone(services);
    return page(request, reply, 'coordinate/mail', {
      title: 'Outgoing mail',
      figures: [
        { label: 'Still to go', value: queue.pending + queue.sending },
        { label: 'Failed', value: queue.failed },
        { label: 'Oldest that is late', value: queue.oldestMs > 0 ? span(queue.oldestMs) : 'nothing is late' },
      ],
      keeps: config.smtpUrl === undefined,
      failed: from === null ? failedNotices(db.q).map((line) => listed(line, zone)) : [],
      rows: rows.map((line) => listed(line, zone)),
      older: rows.length === PAGE_ROWS ? rows.at(-1)?.id : null,
      isFirst: from === null,
    });
  }

  function shown(line: NoticeLine, zone: string) {
    return {
      ...line,
      kind: KINDS[line.kind].label,
      state: STATE_WORDS[line.state],
      isFailed: line.state === 'failed',
      mayHaveArrived: line.unsure && line.state !== 'sent',
      at: when(line.at, zone, settings()),
    };
  }

  /** With its walk by route and date: nobody knows a walk by its number. */
  function listed(line: MailLine, zone: string) {
    const { routeName, gatherAt, zone: walkZone } = line;
    if ((line.together ?? 1) > 1) return { ...shown(line, zone), count: line.together };
    const walk = gatherAt === null || walkZone === null ? null : `${routeName}, ${when(gatherAt, walkZone, settings()).date}`;
    return { ...shown(line, zone), walk };
  }

  function one(request: FastifyRequest, reply: FastifyReply) {
    const row = found(request);
    const lot = lotWith(db.q, row);
    const hidden = row.kind === 'sign-in' && config.smtpUrl !== undefined;
    // Where mail is really sent, a coordinator must not be able to act as a walker; where it is not, this page is the mailbox.
    const make = config.smtpUrl === undefined ? mails.makeLot : mails.makeLotWithoutSecrets;
    const { text, subject, calendar, attached, messageId } = hidden ? HIDDEN : make(lot);
    return page(request, reply, 'coordinate/mail-one', {
      title: subject,
      noindex: true,
      hidden,
      text,
      calendar: [calendar, ...(attached ?? [])].flatMap((part) => part?.body ?? []).join('\n') || null,
      messageId,
      walks: walksIn(lot),
      line: shown({ ...row, at: row.endedAt ?? row.dueAt, phone: null }, homeZone(services)),
    });
  }

  /** The walks of a mail about several; none for one about one. */
  function walksIn(lot: ReturnType<typeof lotWith>) {
    if (lot.length === 1) return [];
    return lot.flatMap(({ content }) => {
      if (!('walk' in content)) return [];
      const { walkId, title, facts } = content.walk;
      return [{ href: `/lead/walks/${walkId}`, label: `${title}, ${when(facts.gatherAt, facts.zone, settings()).date}` }];
    });
  }

  function again(request: FastifyRequest, reply: FastifyReply) {
    const row = found(request);
    const tried = db.write((tx) => tryAgain(tx, oweContext(), row.id));
    if (!tried && row.state === 'failed')
      throw new Problem(409, {
        heading: 'It is too late for this one',
        sentence:
          row.kind === 'sign-in'
            ? 'Its sign-in link has expired. Let them ask for a new one.'
            : 'What it says is not so any more: things have changed since. It is not sent, and nothing is to be done.',
        links: [MAIL_LINK],
      });
    services.mailOwed();
    return reply.redirect('/coordinate/mail', 303);
  }

  async function allAgain(_request: FastifyRequest, reply: FastifyReply) {
    await tryAllAgain(services);
    return reply.redirect('/coordinate/mail', 303);
  }

  function test(request: FastifyRequest, reply: FastifyReply) {
    const { person } = request.visitor;
    if (!person) throw new Error('the route does not declare that someone is signed in');
    const id = db.write((tx) => oweTest(tx, oweContext(), { name: person.name, email: person.email }));
    services.mailOwed();
    return reply.redirect(`/coordinate/mail/${id}`, 303);
  }

  function found(request: FastifyRequest) {
    const row = noticeById(db.q, Number((request.params as { notice: string }).notice));
    if (!row) throw Problem.notFound('There is no such mail. One that was overtaken before it went is taken back.', [MAIL_LINK]);
    return row;
  }

  return { list, one, again, allAgain, test };
}

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;

/** "12 minutes", "5 hours". */
export function span(ms: number): string {
  const [count, unit] = ms < 2 * HOUR_MS ? [Math.max(1, Math.round(ms / MINUTE_MS)), 'minute'] : [Math.round(ms / HOUR_MS), 'hour'];
  return `${count} ${unit}${count === 1 ? '' : 's'}`;
}
