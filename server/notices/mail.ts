import { eq } from 'drizzle-orm';
import { monthlyModel } from '../commitment/monthly-model.js';
import { mailsOffToken } from '../commitment/monthly-store.js';
import { notClosedModel, thanksModel } from '../day/mail-words.js';
import type { Tx } from '../db/open.js';
import { texts } from '../db/schema/index.js';
import { spacedCode } from '../people/code.js';
import { signInCode, signInToken } from '../people/links.js';
import { askLink } from '../proposals/link.js';
import { askModel } from '../proposals/mail-words.js';
import type { Services } from '../services.js';
import { mailedLink, signingLink } from '../signups/link.js';
import type { TogetherContent } from '../together/content.js';
import { offerLink } from '../together/link.js';
import { togetherModel } from '../together/words.js';
import { documentOfWaiver } from '../waivers/verify.js';
import { isolated } from '../web/isolated.js';
import type { Views } from '../web/render.js';
import type { JoiningContent, NoticeContent, NoticeKind, WalkContent } from './content.js';
import { invitation } from './invitation.js';
import { KINDS, lotSubject } from './kinds.js';
import { walkModels } from './mail-model.js';
import { answerTo, mailboxOf } from './reply-to.js';
import type { Mail } from './transport.js';

/** What of a notice's row its mail is made from. */
export interface Letter {
  kind: NoticeKind;
  messageId: string;
  toName: string;
  toEmail: string;
  createdAt: number;
  content: NoticeContent;
}

export interface MailMaker {
  /** The mail of a notice, with its private links. @throws where the content or a template is broken */
  make: (letter: Letter) => Mail;
  /** The same for a coordinator's eyes: the links that would let one act as the walker are left out. */
  makeWithoutSecrets: (letter: Letter) => Mail;
  /** The one mail of notices that go together, the oldest first: its Message-ID is that one's. Of one alone, its own mail. */
  makeLot: (letters: Lot) => Mail;
  makeLotWithoutSecrets: (letters: Lot) => Mail;
}

/** Notices of one kind to one address that go as one mail. */
export type Lot = [Letter, ...Letter[]];

const LEFT_OUT = '(left out here)';

/** Makes mails from notices. Secrets are worked out here, as the mail is made: no table holds them. */
export function mailMaker(services: Pick<Services, 'config' | 'sealer' | 'settings' | 'db' | 'now'>, views: Views): MailMaker {
  const { config, sealer, db } = services;
  const walkModel = walkModels(keptTexts(db.q));

  function make(letter: Letter, secrets: boolean): Mail {
    const { kind, content } = letter;
    const { walk, shown, written } = partOf(letter, secrets);
    const joining = 'joining' in content ? joiningModel(content.joining) : null;
    const subject = joining?.subject ?? KINDS[kind].subject(walk, services.settings(), content);
    const replyTo = answersOf(content);
    const answersTo = replyTo && isolated(replyTo.name);
    const model = { ...shared(letter, subject), ...shown, ...joining, answersTo, ...otherModel(content, secrets) };
    return {
      ...enveloped(letter, { view: kind, subject, written, model }),
      replyTo,
      calendar: calendarOf(letter, { walk, shown, written }),
      ...('commitment' in content && secrets ? { unsubscribe: mailsOffLink(content.commitment.personId) } : {}),
    };
  }

  /** Whom an answer reaches, where it reaches anybody. */
  function answersOf(content: NoticeContent): Mail['replyTo'] {
    if ('joining' in content) return content.joining.answersTo === undefined ? null : mailboxOf(db.q, content.joining.answersTo);
    return 'walk' in content && content.walk.message ? answerTo(db.q, content.walk.walkId, content.walk.message) : null;
  }

  /** What mail shows that is neither about a walk's sign-ups nor about becoming a leader. */
  function otherModel(content: NoticeContent, secrets: boolean): object {
    const settings = services.settings();
    if ('thanks' in content) return thanksModel(db.q, content.thanks, settings, { baseUrl: config.baseUrl, now: services.now() });
    if ('notClosed' in content) return notClosedModel(db.q, content.notClosed, settings, config.baseUrl);
    if ('together' in content) return togetherModel(content.together, settings, offerLinkOf(content.together, secrets));
    if ('ask' in content)
      return askModel(content.ask, secrets ? askLink(sealer, config.baseUrl, content.ask.letter) : LEFT_OUT, config.baseUrl);
    if ('commitment' in content) return monthlyModel(content.commitment, settings, config.baseUrl);
    return 'signIn' in content ? signInModel(content.signIn.linkId, secrets) : {};
  }

  function mailsOffLink(personId: number): string {
    return `${config.baseUrl}/monthly-mail/${mailsOffToken(sealer, personId)}`;
  }

  function joiningModel({ link, documentOf, quote = '', ...rest }: JoiningContent) {
    return {
      ...rest,
      quote,
      paragraphs: quote.split(/\n+/).filter((part) => part !== ''),
      document: documentOf === undefined ? null : documentOfWaiver(db.q, documentOf),
      link: { href: `${config.baseUrl}${link.href}`, label: link.label },
    };
  }

  /** All that one edit owes one address: a mail that says each walk's news, with a calendar file for each. */
  function makeLot(letters: Lot, secrets: boolean): Mail {
    const settings = services.settings();
    const [first] = letters;
    const parts = letters.map((letter) => ({ letter, ...partOf(letter, secrets) })).sort((a, b) => gatherAt(a.walk) - gatherAt(b.walk));
    const walks = parts.flatMap(({ walk }) => (walk ? [walk] : []));
    const subject = lotSubject(first.kind, walks, settings);
    const written = Math.max(...parts.map((part) => part.written));
    const model = {
      ...shared(first, subject),
      count: parts.length,
      walks: parts.map(({ shown }) => shown),
      cancelled: walks[0]?.cancelled,
    };
    const attached = parts.map(({ letter, ...part }) => calendarOf(letter, part)).filter((part) => part !== null);
    return { ...enveloped(first, { view: `lots/${first.kind}`, subject, written, model }), calendar: null, attached };
  }

  /** A letter's walk in words, with its private links. */
  function partOf({ content, toEmail, createdAt }: Letter, secrets: boolean) {
    const walk = 'walk' in content ? content.walk : null;
    const absent = walk && absentOf(walk);
    // A link by which someone signs goes to nobody else.
    if (absent && absent.email !== toEmail) throw new Error('a signing link is not for this address');
    const shown = walk ? { ...walkModel(walk, services.settings()), ...links(walk, secrets) } : null;
    return { walk, shown, written: walk?.writtenAt ?? createdAt };
  }

  type Part = ReturnType<typeof partOf>;

  function calendarOf(letter: Letter, { walk, shown, written }: Part): Mail['calendar'] {
    if (!walk || !shown) return null;
    const attendee = { name: letter.toName, email: letter.toEmail };
    const invited = { kind: letter.kind, walk, shown, privateLink: shown.privateLink, attendee, stamp: written };
    return invitation(invited, { settings: services.settings(), config });
  }

  function shared(letter: Letter, subject: string) {
    const { locale, groupName } = services.settings();
    const keepsMail = config.smtpUrl === undefined;
    return { subject, lang: locale, groupName, name: letter.toName, home: config.baseUrl, keepsMail };
  }

  function enveloped(letter: Letter, { view, subject, written, model }: { view: string; subject: string; written: number; model: object }) {
    const body = views.render(`mail/${view}.html`, model);
    return {
      messageId: letter.messageId,
      date: new Date(written),
      from: config.mailFrom,
      to: { name: letter.toName, address: letter.toEmail },
      replyTo: null,
      subject,
      text: views.render(`mail/${view}.txt`, model),
      html: views.render('mail/parts/layout.html', { ...model, body }),
    };
  }

  function links(walk: WalkContent, secrets: boolean) {
    const absent = absentOf(walk);
    return {
      walkLink: `${config.baseUrl}/walks/${walk.walkId}`,
      privateLink: secrets ? mailedLink(sealer, config.baseUrl, walk.signUp.id) : LEFT_OUT,
      signLink: absent && secrets ? signingLink(sealer, config.baseUrl, absent.memberId, absent.email) : LEFT_OUT,
    };
  }

  function offerLinkOf({ offer }: TogetherContent, secrets: boolean): string {
    return offer && secrets ? offerLink(sealer, config.baseUrl, offer) : LEFT_OUT;
  }

  function signInModel(linkId: number, secrets: boolean) {
    return {
      signInLink: secrets ? `${config.baseUrl}/sign-in/${signInToken(sealer, linkId)}` : LEFT_OUT,
      code: secrets ? spacedCode(signInCode(sealer, linkId)) : LEFT_OUT,
    };
  }

  const makeAny = (letters: Lot, secrets: boolean) => (letters.length === 1 ? make(letters[0], secrets) : makeLot(letters, secrets));
  return {
    make: (letter) => make(letter, true),
    makeLot: (letters) => makeAny(letters, true),
    makeWithoutSecrets: (letter) => make(letter, false),
    makeLotWithoutSecrets: (letters) => makeAny(letters, false),
  };
}

/** The absent adult whom a mail asks to sign, or gives news. */
function absentOf(walk: WalkContent) {
  return walk.toSign ?? walk.member;
}

function gatherAt(walk: WalkContent | null): number {
  return walk?.facts.gatherAt ?? 0;
}

/** Texts by number. A version never changes, so each is read once. */
function keptTexts(q: Tx): (id: number) => { body: string } {
  const read = new Map<number, { body: string }>();
  return (id) => {
    const text = read.get(id) ?? q.select({ body: texts.body }).from(texts).where(eq(texts.id, id)).get();
    if (!text) throw new Error(`text ${id} is missing`);
    read.set(id, text);
    return text;
  };
}
