import { eq } from 'drizzle-orm';
import { monthlyModel } from '../commitment/monthly-model.js';
import { mailsOffToken } from '../commitment/monthly-store.js';
import type { Tx } from '../db/open.js';
import { texts } from '../db/schema/index.js';
import { spacedCode } from '../people/code.js';
import { signInCode, signInToken } from '../people/links.js';
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
import { KINDS } from './kinds.js';
import { walkModels } from './mail-model.js';
import { answerTo } from './reply-to.js';
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
}

const LEFT_OUT = '(left out here)';

/** Makes mails from notices. Secrets are worked out here, as the mail is made: no table holds them. */
export function mailMaker(services: Pick<Services, 'config' | 'sealer' | 'settings' | 'db'>, views: Views): MailMaker {
  const { config, sealer, db } = services;
  const walkModel = walkModels(keptTexts(db.q));

  function make(letter: Letter, secrets: boolean): Mail {
    const { kind, content } = letter;
    const settings = services.settings();
    const walk = 'walk' in content ? content.walk : null;
    const absent = walk && absentOf(walk);
    // A link by which someone signs goes to nobody else.
    if (absent && absent.email !== letter.toEmail) throw new Error('a signing link is not for this address');
    const together = 'together' in content ? content.together : null;
    const joining = 'joining' in content ? joiningModel(content.joining) : null;
    const subject = joining?.subject ?? KINDS[kind].subject(walk, settings, content);
    const written = walk?.writtenAt ?? letter.createdAt;
    const shown = walk ? { ...walkModel(walk, settings), ...links(walk, secrets) } : null;
    const attendee = { name: letter.toName, email: letter.toEmail };
    const replyTo = walk?.message ? answerTo(db.q, walk.walkId, walk.message) : null;
    const model = {
      subject,
      lang: settings.locale,
      groupName: settings.groupName,
      name: letter.toName,
      home: config.baseUrl,
      keepsMail: config.smtpUrl === undefined,
      ...shown,
      answersTo: replyTo && isolated(replyTo.name),
      ...(together ? togetherModel(together, settings, offerLinkOf(together, secrets)) : {}),
      ...('commitment' in content ? monthlyModel(content.commitment, settings, config.baseUrl) : {}),
      ...joining,
      ...('signIn' in content ? signInModel(content.signIn.linkId, secrets) : {}),
    };
    const body = views.render(`mail/${kind}.html`, model);
    return {
      messageId: letter.messageId,
      date: new Date(written),
      from: config.mailFrom,
      to: { name: letter.toName, address: letter.toEmail },
      replyTo,
      subject,
      text: views.render(`mail/${kind}.txt`, model),
      html: views.render('mail/parts/layout.html', { ...model, body }),
      calendar:
        walk && shown
          ? invitation({ kind, walk, shown, privateLink: shown.privateLink, attendee, stamp: written }, { settings, config })
          : null,
      ...('commitment' in content && secrets ? { unsubscribe: mailsOffLink(content.commitment.personId) } : {}),
    };
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

  return { make: (letter) => make(letter, true), makeWithoutSecrets: (letter) => make(letter, false) };
}

/** The absent adult whom a mail asks to sign, or gives news. */
function absentOf(walk: WalkContent) {
  return walk.toSign ?? walk.member;
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
