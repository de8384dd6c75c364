import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import { Problem } from '../web/errors.js';
import { line, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import { fullWhen } from '../web/when.js';
import { shownDifference } from './difference-page.js';
import { MOST_CHARACTERS, type Refusal, readText, refusal, type TypedText } from './form.js';
import { effects, isTextKind, KINDS, TEXT_KINDS, type TextKind } from './kinds.js';
import { toHtml } from './markdown.js';
import { allVersions, type Publishing, publish, publishedInForce, signedToCome, type TextVersion, textVersion } from './store.js';

const TEXTS_LINK = { href: '/coordinate/texts', label: 'See all texts' };

/** Pages on which a coordinator reads, edits and publishes the group's texts. */
export function editPages(services: Services) {
  const { db, now, settings } = services;

  function list(request: FastifyRequest, reply: FastifyReply) {
    const { saved } = request.query as { saved?: unknown };
    const versions = allVersions(db.q);
    const say = publishingWords();
    return page(request, reply, 'coordinate/texts', {
      title: 'Texts',
      saved: typeof saved === 'string' && isTextKind(saved) ? { name: KINDS[saved].name, version: versions[saved][0]?.version } : null,
      texts: TEXT_KINDS.map((kind) => {
        const [newest, ...earlier] = versions[kind];
        const href = `/coordinate/texts/${kind}`;
        const link = (one: Publishing) => ({ href: `${href}/${one.version}`, version: one.version, said: say(one) });
        return {
          ...KINDS[kind],
          href,
          inForce: newest ? { ...link(newest), isSample: isSample(newest) } : null,
          earlier: earlier.map(link),
          earlierCount: earlier.length === 1 ? 'One earlier version' : `${earlier.length} earlier versions`,
        };
      }),
    });
  }

  /** Says of a version when and by whom it was published. */
  function publishingWords(): (one: Publishing) => { at: string; iso: string; by: string } {
    const zone = homeZone(services);
    return (one) => ({
      at: fullWhen(one.createdAt, zone, settings()),
      iso: new Date(one.createdAt).toISOString(),
      by: one.byName ? `by ${one.byName}` : isSample(one) ? 'as the sample that came with Waymeet' : '',
    });
  }

  function edit(request: FastifyRequest, reply: FastifyReply) {
    const kind = kindOf(request);
    const inForce = publishedInForce(db.q, kind);
    return form(request, reply, { kind, inForce, typed: { body: inForce.body, base: inForce.version } });
  }

  interface Shown {
    kind: TextKind;
    inForce: TextVersion;
    typed: TypedText;
    refused?: Refusal;
  }

  function form(request: FastifyRequest, reply: FastifyReply, { kind, inForce, typed, refused }: Shown) {
    const error = refused && sentence(refused, typed, inForce);
    const meanwhile = refused === 'published meanwhile';
    return page(request, error ? reply.code(422) : reply, 'coordinate/text', {
      ...shared(kind, inForce),
      title: `Edit: ${KINDS[kind].title}`,
      errorTitle: error !== undefined,
      body: typed.body,
      // From here on they have seen the newest version: what they send next is theirs over it.
      base: meanwhile || Number.isNaN(typed.base) ? inForce.version : typed.base,
      error,
      errors: error ? summary({ body: error }) : null,
      difference: meanwhile ? shownDifference(inForce.body, typed.body) : null,
    });
  }

  function preview(request: FastifyRequest, reply: FastifyReply, { kind, inForce, typed }: Shown) {
    const toCome = kind === 'waiver' ? signedToCome(db.q, inForce.id, now()) : null;
    return page(request, reply, 'texts/preview', {
      ...shared(kind, inForce),
      title: `Before you publish: ${KINDS[kind].title}`,
      next: inForce.version + 1,
      effects: effects(kind, inForce.version, toCome),
      html: toHtml(typed.body),
      difference: shownDifference(inForce.body, typed.body),
      ...typed,
    });
  }

  function shared(kind: TextKind, inForce: TextVersion) {
    return { about: KINDS[kind], action: `/coordinate/texts/${kind}`, version: inForce.version, said: publishingWords()(inForce) };
  }

  function sentence(refused: Refusal, { body }: TypedText, inForce: TextVersion): string {
    if (refused === 'empty') return 'Type the text.';
    const count = (characters: number) => characters.toLocaleString(settings().locale);
    if (refused === 'too long') return `Keep it to ${count(MOST_CHARACTERS)} characters: it has ${count(body.length)}.`;
    if (refused === 'nothing changed') return `Nothing has changed: this is version ${inForce.version}, word for word.`;
    const by = inForce.byName ? ` by ${inForce.byName}` : '';
    return `Version ${inForce.version} was published${by} while you were writing. See what differs from yours, then take over what you need or publish yours.`;
  }

  function post(request: FastifyRequest, reply: FastifyReply) {
    const kind = kindOf(request);
    const typed = readText(request.body as Typed);
    const intent = line(request.body as Typed, 'intent');
    if (intent === 'change') return form(request, reply, { kind, inForce: publishedInForce(db.q, kind), typed });
    const { inForce, refused } = intent === 'publish' ? publishNext(request, kind, typed) : checked(kind, typed);
    if (refused) return form(request, reply, { kind, inForce, typed, refused });
    if (intent === 'publish') return reply.redirect(`/coordinate/texts?saved=${kind}`, 303);
    return preview(request, reply, { kind, inForce, typed });
  }

  function checked(kind: TextKind, typed: TypedText, q = db.q) {
    const inForce = publishedInForce(q, kind);
    return { inForce, refused: refusal(typed, inForce) };
  }

  /** Looked over and written in one transaction: of two coordinators who publish at once the second is told of the first. */
  function publishNext(request: FastifyRequest, kind: TextKind, typed: TypedText) {
    const { person } = request.visitor;
    if (!person) throw new Error('the route does not declare that someone is signed in');
    return db.write((tx) => {
      const found = checked(kind, typed, tx);
      if (found.refused === null) {
        const next = { version: found.inForce.version + 1, body: typed.body };
        publish(tx, kind, next, { personId: person.id, now: now() });
      }
      return found;
    });
  }

  function version(request: FastifyRequest, reply: FastifyReply) {
    const kind = kindOf(request);
    const text = versionAsked(services, request, kind, TEXTS_LINK);
    const say = publishingWords();
    return page(request, reply, 'texts/version', {
      title: `${KINDS[kind].title}, version ${text.version}`,
      action: `/coordinate/texts/${kind}`,
      said: say(text),
      until: text.until === null ? null : say({ ...text, createdAt: text.until }),
      version: text.version,
      previous: text.version - 1,
      sha256: text.sha256,
      html: toHtml(text.body),
      difference: text.before === null ? null : shownDifference(text.before, text.body),
    });
  }

  return { list, edit, post, version };
}

/** The version that an address names. @throws Problem where there is none */
export function versionAsked(services: Services, request: FastifyRequest, kind: TextKind, link: { href: string; label: string }) {
  const { version } = request.params as { version: string };
  const text = /^[1-9]\d{0,8}$/.test(version) ? textVersion(services.db.q, kind, Number(version)) : undefined;
  if (!text) throw Problem.notFound('This text has no such version.', [link]);
  return text;
}

function kindOf(request: FastifyRequest): TextKind {
  const { kind } = request.params as { kind: string };
  if (!isTextKind(kind)) throw Problem.notFound('There is no such text.', [TEXTS_LINK]);
  return kind;
}

function isSample({ version, byName }: Publishing): boolean {
  return version === 1 && byName === null;
}
