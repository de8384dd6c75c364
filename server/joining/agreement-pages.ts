import type { FastifyReply, FastifyRequest } from 'fastify';
import { signedInPerson } from '../people/me-person.js';
import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import { traceOf } from '../signups/given.js';
import { toHtml } from '../texts/markdown.js';
import { textInForce } from '../texts/store.js';
import { isOwnName } from '../waivers/rules.js';
import { oweContext } from '../walks/save.js';
import { type Faults, line, summary, type Typed, ticked } from '../web/forms.js';
import { page } from '../web/page.js';
import type { Person } from '../web/visitor.js';
import { when } from '../web/when.js';
import { agreementOf, keepAgreement, lastAgreement } from './agreement-store.js';
import { copyLetter } from './letters.js';
import { oweLetter } from './owe.js';
import { signedOtherwise } from './progress.js';
import { oweReady } from './ready.js';
import { isPostingOpen, maySignNow, monthsLater } from './renewal.js';
import { dropDue } from './renewals.js';
import { openApplication } from './store.js';
import { AGREEMENT_CONSENT, AGREEMENT_INTENT } from './words.js';

const LABELS: Record<string, string> = { signature: 'Your signature', agree: 'The agreement' };

/** The page on which a leader, or someone who has applied to lead, signs the leader's agreement. */
export function agreementPages(services: Services) {
  const { db, settings, now } = services;
  const at = (ms: number) => when(ms, homeZone(services), settings());

  /** In whose name it is signed, and whether there is reason to; null for someone who neither leads nor has applied. */
  function signer(person: Person): { name: string; maySign: boolean; isLate: boolean } | null {
    const agreement = person.leader ? agreementOf(db.q, person) : undefined;
    if (agreement) return { name: person.name, maySign: maySignNow(agreement, now()), isLate: !isPostingOpen(agreement, now()) };
    const open = openApplication(db.q, person.id);
    if (!open) return null;
    const last = lastAgreement(db.q, person.email);
    const signedAt = last && !signedOtherwise(last, open) ? last.signedAt : null;
    const dueAt = signedAt === null ? now() : monthsLater(signedAt, settings().agreementMonths);
    return { name: open.name, maySign: maySignNow({ dueAt, signedAt }, now()), isLate: false };
  }

  function form(request: FastifyRequest, reply: FastifyReply) {
    return show(request, reply, {}, {});
  }

  function show(request: FastifyRequest, reply: FastifyReply, typed: Typed, faults: Faults) {
    const person = signedInPerson(request);
    const by = signer(person);
    if (!by) return reply.redirect('/lead/join', 303);
    const refused = Object.keys(faults).length > 0;
    const text = textInForce(db.q, 'agreement');
    const last = lastAgreement(db.q, person.email);
    const due = agreementOf(db.q, person)?.dueAt;
    return page(request, refused ? reply.code(422) : reply, 'joining/agreement', {
      title: "The leader's agreement",
      errorTitle: refused,
      narrow: true,
      noindex: true,
      text: { version: text.version, html: toHtml(text.body) },
      signerName: by.name,
      maySign: by.maySign,
      isLate: by.isLate,
      leads: person.leader,
      last: last ? { ...last, at: at(last.signedAt), href: `/me/waivers/${last.id}` } : null,
      due: due === undefined ? null : at(due),
      months: settings().agreementMonths,
      signature: line(typed, 'signature'),
      agreed: ticked(typed, 'agree'),
      agree: `${AGREEMENT_INTENT} ${AGREEMENT_CONSENT}`,
      faults,
      errors: summary(faults, (field) => LABELS[field] ?? ''),
    });
  }

  function sign(request: FastifyRequest, reply: FastifyReply) {
    const person = signedInPerson(request);
    const by = signer(person);
    // Signed already, in another tab or a moment ago: that one stands.
    if (!by?.maySign) return reply.redirect(by ? '/lead/join/agreement' : '/lead/join', 303);
    const text = textInForce(db.q, 'agreement');
    const typed = unreadTaken(request.body as Typed, text.version);
    const faults = faultsOf(typed, by.name, text.version);
    if (Object.keys(faults).length > 0) return show(request, reply, typed, faults);
    db.write((tx) => {
      const signature = line(typed, 'signature');
      const id = keepAgreement(tx, services, { person, name: by.name, signature, text, trace: traceOf(request) });
      const to = { name: by.name, email: person.email };
      const context = oweContext(services);
      oweLetter(tx, context, { kind: 'agreement-copy', event: `agreement-copy:${id}`, letter: copyLetter(person.id, id), to });
      dropDue(tx, person.id);
      oweReady(tx, context);
    });
    services.mailOwed();
    return reply.redirect(person.leader ? '/lead/join/agreement' : '/lead/join', 303);
  }

  return { form, sign };
}

/** Without tick and signature where the form showed another version than the one in force: they are given anew, under the words that count. Pure. */
function unreadTaken(typed: Typed, inForce: number): Typed {
  return isOlder(typed, inForce) ? { ...typed, signature: '', agree: '' } : typed;
}

function isOlder(typed: Typed, inForce: number): boolean {
  return line(typed, 'version') !== String(inForce);
}

function faultsOf(typed: Typed, name: string, inForce: number): Faults {
  if (isOlder(typed, inForce)) return { agree: 'The agreement was changed while this page was open: read it again before you sign.' };
  const faults: Faults = {};
  if (!isOwnName(name, line(typed, 'signature'))) faults.signature = `Type your name as it is here: ${name}.`;
  if (!ticked(typed, 'agree')) faults.agree = 'Read it and tick that you sign it.';
  return faults;
}
