import type { FastifyReply, FastifyRequest } from 'fastify';
import { contentFor, partyNames, type SignUpRow, toldWalk } from '../notices/compose.js';
import type { WrittenMessage } from '../notices/content.js';
import { mailMaker } from '../notices/mail.js';
import { messageRecipients } from '../notices/owe-messages.js';
import { signedInPerson } from '../people/me-person.js';
import type { Services } from '../services.js';
import { led } from '../walks/led-request.js';
import type { WalkRow } from '../walks/ledby.js';
import { oweContext } from '../walks/save.js';
import { areaOf, walkById } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import { meetFrame } from '../walks/walk-page.js';
import { weatherModel } from '../weather/model.js';
import { type Faults, line, lines, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import type { Views } from '../web/render.js';
import { fullWhen } from '../web/when.js';
import { tooLate } from './closed.js';
import { type MessageForm, readMessage } from './form.js';
import { openGap } from './gaps.js';
import type { OpenMoment } from './moment.js';
import { sentBefore } from './shown.js';
import { startWalk } from './start-texts.js';
import { offeredStarts, type StartFacts, startText } from './starts.js';
import { momentNow, nextWalksIn, sendCopy, sendMessage } from './store.js';

const FIELD_NAMES: Record<string, string> = { subject: 'Subject', text: 'Message' };

interface Shown {
  form: MessageForm;
  facts: StartFacts;
  faults?: Faults;
  /** Show the mail as it will read. */
  preview?: boolean;
  sent?: boolean;
  /** A test copy was asked for: it goes, or one went a moment ago. */
  copy?: 'goes' | 'went';
}

/** Writing to everyone signed up for a walk. */
export function messagePages(services: Services, views: Views) {
  const { db, config, settings, now } = services;
  const mails = mailMaker(services, views);

  function messageForm(request: FastifyRequest, reply: FastifyReply) {
    const { walk } = led(request);
    const facts = factsFor(walk, openMoment(walk));
    const query = request.query as Typed;
    return show(request, reply, walk, { form: startText(line(query, 'start'), facts), facts, sent: line(query, 'sent') !== '' });
  }

  function openMoment(walk: WalkRow): OpenMoment {
    const moment = momentNow(services, walk);
    if ('closed' in moment) throw tooLate(walk.id, moment.closed);
    return moment;
  }

  function factsFor(walk: WalkRow, moment: OpenMoment): StartFacts {
    const { part } = toldWalk(db.q, oweContext(services), walk.id);
    const next = moment.hasSetOff ? nextWalksIn(db.q, walk.areaId, now()) : [];
    const lines = next.map(
      (one) => `${fullWhen(one.gatherAt, one.zone, settings())}: ${walkTitle(one, settings().units)}\n${config.baseUrl}/walks/${one.id}`,
    );
    const weather = moment.hasSetOff ? null : weatherModel(db.q, walk, settings(), areaOf(db.q, walk.areaId).emergencyNumber);
    return { moment, walk: startWalk(part, settings(), lines), weather };
  }

  function show(request: FastifyRequest, reply: FastifyReply, walk: WalkRow, shown: Shown) {
    const { form, facts, faults = {}, preview = false, sent = false, copy } = shown;
    const { audience, notBack } = facts.moment;
    const person = signedInPerson(request);
    const refused = Object.keys(faults).length > 0;
    const { signUps, absent } = messageRecipients(db.q, walk.id, { audience, withAbsent: notBack });
    const before = sentBefore(db.q, walk, settings);
    const isDone = sent && signUps.length > 0 && before.length > 0;
    return page(request, refused ? reply.code(422) : reply, 'lead/message', {
      title: `Write to everyone on the ${walkTitle(walk, settings().units)}`,
      errorTitle: refused,
      narrow: true,
      noindex: true,
      meet: meetFrame(walk, settings()),
      walk: { id: walk.id },
      form,
      faults,
      errors: summary(faults, (field) => FIELD_NAMES[field] ?? ''),
      sent: isDone || (sent && signUps.length === 0),
      copyTo: copy === undefined ? null : person.email,
      copyWent: copy === 'went',
      isPreview: preview,
      mail: preview && signUps[0] ? mailTo(signUps[0], walk, { ...form, from: person.name, byId: person.id, at: now() }) : null,
      answersTo: person.email,
      hasGap: !refused && openGap(form.text) !== undefined,
      nobody: signUps.length === 0,
      one: signUps.length === 1,
      count: signUps.length,
      afterwards: audience === 'confirmed',
      coming: signUps.filter((signUp) => signUp.state === 'confirmed').length,
      waiting: signUps.filter((signUp) => signUp.state === 'waiting').length,
      absent: absent.length === 0 ? null : absent.length === 1 ? '1 adult' : `${absent.length} adults`,
      starts: offeredStarts(facts),
      isDone,
      justSent: isDone ? before[0] : null,
      messages: { sent: isDone ? before.slice(1) : before },
    });
  }

  /** The mail as one of them will read it, without the link that is theirs alone. */
  function mailTo(signUp: SignUpRow, walk: WalkRow, message: WrittenMessage) {
    const content = contentFor(toldWalk(db.q, oweContext(services), walk.id), signUp, partyNames(db.q, signUp.id));
    const { subject, text } = mails.makeWithoutSecrets({
      kind: 'message',
      messageId: '',
      toName: signUp.name,
      toEmail: signUp.email,
      createdAt: now(),
      content: { walk: { ...content, message } },
    });
    return { subject, text, to: signUp.name };
  }

  function postMessage(request: FastifyRequest, reply: FastifyReply) {
    const { walk } = led(request);
    const facts = factsFor(walk, openMoment(walk));
    const typed = request.body as Typed;
    const intent = line(typed, 'intent');
    const form = { subject: line(typed, 'subject'), text: lines(typed, 'text') };
    if (intent === 'change') return show(request, reply, walk, { form, facts });
    const read = readMessage(typed);
    if ('faults' in read) return show(request, reply, walk, { form, facts, faults: read.faults });
    const person = signedInPerson(request);
    if (intent === 'test') {
      // What was typed is kept nowhere else: the answer shows it again. Posted twice, one copy goes.
      const copy = sendCopy(services, walk.id, read.form, person) ? 'goes' : 'went';
      return show(request, reply, walk, { form, facts, preview: true, copy });
    }
    if (intent !== 'send') return show(request, reply, walk, { form, facts, preview: true });
    if (!sendMessage(services, walk.id, read.form, person)) openMoment(walkById(db.q, walk.id) ?? walk);
    return reply.redirect(`/lead/walks/${walk.id}/message?sent=1`, 303);
  }

  return { messageForm, postMessage };
}
