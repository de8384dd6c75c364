import type { FastifyReply, FastifyRequest } from 'fastify';
import { oweSignIn } from '../notices/owe.js';
import type { Services } from '../services.js';
import { type Faults, line, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { plainCode } from './code.js';
import { askCookie, cookieOptions, sessionCookie } from './cookies.js';
import { EMAIL_FAULT, readEmail } from './email.js';
import { disabled } from './link-pages.js';
import {
  askedEnough,
  codeHash,
  countWrongCode,
  forgetOldLinks,
  LINK_MS,
  linksOfBrowser,
  MOST_WRONG_CODES,
  makeLink,
} from './link-store.js';
import { signInToken } from './links.js';
import { safeNext } from './next.js';
import { refused } from './refusal.js';
import { homeOf, linkFault, signInWith, welcome } from './signin.js';
import { nameAt } from './store.js';

/** The form that asks for a sign-in mail, and (`sent`) the page that says where to look for it. */
export function signInPage(services: Services) {
  return (request: FastifyRequest, reply: FastifyReply): FastifyReply => {
    const query = request.query as Typed;
    const next = safeNext(line(query, 'next'), services.config.baseUrl);
    reply.header('Cache-Control', 'no-store');
    if (request.visitor.person) return reply.redirect(next ?? homeOf(services, request.visitor.person), 303);
    if (line(query, 'sent')) return sentPage(services, request, reply, {});
    return askForm(request, reply, { email: line(query, 'email'), next }, {});
  };
}

/** Either field of the two sign-in forms: an address to mail, or the code that was mailed. */
export function askToSignIn(services: Services) {
  return (request: FastifyRequest, reply: FastifyReply): FastifyReply => {
    const typed = (request.body ?? {}) as Typed;
    reply.header('Cache-Control', 'no-store');
    return typed.code !== undefined ? enterCode(services, request, reply, line(typed, 'code')) : sendLink(services, request, reply, typed);
  };
}

/** The same answer, after the same work, whoever's address it is and however often it was asked for. */
function sendLink(services: Services, request: FastifyRequest, reply: FastifyReply, typed: Typed): FastifyReply {
  const { config } = services;
  const next = safeNext(line(typed, 'next'), config.baseUrl);
  const email = readEmail(line(typed, 'email'));
  if (email === null) return askForm(request, reply.code(422), { email: line(typed, 'email'), next }, { email: EMAIL_FAULT });
  // Asking twice keeps the cookie, so that the first mail still works when the second was asked for out of impatience.
  const browser = request.cookies[askCookie(config)] ?? services.secret();
  oweLink(services, { email, browser, next });
  services.mailOwed();
  reply.setCookie(askCookie(config), browser, { ...cookieOptions(config), maxAge: LINK_MS / 1000 });
  return reply.redirect('/sign-in?sent=1', 303);
}

function oweLink(services: Services, ask: { email: string; browser: string; next: string | null }): void {
  const context = { now: services.now(), settings: services.settings(), config: services.config };
  services.db.write((tx) => {
    forgetOldLinks(tx, context.now);
    const enough = askedEnough(tx, ask.email, ask.browser, context.now);
    const link = makeLink(tx, services, ask, enough);
    const name = nameAt(tx, ask.email);
    if (enough) return;
    oweSignIn(tx, context, { linkId: link.id, email: ask.email, name, expiresAt: link.expiresAt });
    sayLink(services, ask.email, link.id);
  });
}

/** Without a mail server nobody could sign in any more: whoever reads the log can hand the link on. With one, links stay out of it. */
function sayLink({ config, sealer, log }: Services, email: string, linkId: number): void {
  if (config.smtpUrl === undefined)
    log.warn(`No mail server is set. ${email} asked to sign in: ${config.baseUrl}/sign-in/${signInToken(sealer, linkId)}`);
}

function enterCode(services: Services, request: FastifyRequest, reply: FastifyReply, typed: string): FastifyReply {
  const now = services.now();
  const browser = request.cookies[askCookie(services.config)];
  const live = browser === undefined ? [] : linksOfBrowser(services.db.q, browser).filter((link) => linkFault(link, now) === null);
  if (browser === undefined || live.length === 0)
    return askForm(request, reply.code(422), { email: '', next: null }, { email: NO_CODE_WAITED_FOR });
  const wanted = codeHash(services, plainCode(typed));
  const link = live.find((one) => one.codeHash === wanted);
  if (!link) return refuseCode(services, request, reply.code(422), browser, typed);
  const entered = services.db.write((tx) => signInWith(tx, services, link, request.cookies[sessionCookie(services.config)]));
  if (entered === 'disabled') throw disabled();
  if (entered === null) return askForm(request, reply.code(422), { email: link.email, next: link.next }, { email: NO_CODE_WAITED_FOR });
  return welcome(request, reply, services, entered, link.next);
}

const NO_CODE_WAITED_FOR = 'No code is waited for in this browser, or its ten minutes are over. Type your address and we send a new one.';

function refuseCode(services: Services, request: FastifyRequest, reply: FastifyReply, browser: string, typed: string): FastifyReply {
  if (typed === '') return sentPage(services, request, reply, { code: 'Type the code from the mail: 8 letters and digits.' });
  services.db.write((tx) => countWrongCode(tx, browser, services.now()));
  const newest = linksOfBrowser(services.db.q, browser)[0];
  const left = MOST_WRONG_CODES - (newest?.wrongCodes ?? MOST_WRONG_CODES);
  if (newest && left <= 0) return askForm(request, reply, { email: newest.email, next: newest.next }, { email: TOO_MANY_CODES });
  const tries = left === 1 ? 'one try' : `${left} tries`;
  return sentPage(services, request, reply, { code: `That is not the code. Look again; you have ${tries} left.` }, typed);
}

const TOO_MANY_CODES = `That was the wrong code ${MOST_WRONG_CODES} times, so it no longer works. Ask for a new one.`;

function askForm(
  request: FastifyRequest,
  reply: FastifyReply,
  values: { email: string; next: string | null },
  faults: Faults,
): FastifyReply {
  return page(request, reply, 'people/sign-in', { title: 'Sign in', narrow: true, noindex: true, ...refused(faults), values, faults });
}

function sentPage(services: Services, request: FastifyRequest, reply: FastifyReply, faults: Faults, code = ''): FastifyReply {
  const browser = request.cookies[askCookie(services.config)];
  const asked = browser === undefined ? undefined : linksOfBrowser(services.db.q, browser)[0];
  const model = {
    title: 'Look in your mail',
    narrow: true,
    noindex: true,
    ...refused(faults),
    email: asked?.email ?? '',
    values: { code },
    faults,
  };
  return page(request, reply, 'people/sent', model);
}
