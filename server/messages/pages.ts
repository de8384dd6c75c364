import type { FastifyReply, FastifyRequest } from 'fastify';
import { activeSignUps, contentFor, partyNames, type SignUpRow, toldWalk } from '../notices/compose.js';
import type { WrittenMessage } from '../notices/content.js';
import { mailMaker } from '../notices/mail.js';
import type { Services } from '../services.js';
import { led } from '../walks/led-request.js';
import type { WalkRow } from '../walks/ledby.js';
import { oweContext } from '../walks/save.js';
import { areaOf, walkById } from '../walks/store.js';
import { walkTitle } from '../walks/title.js';
import { meetFrame } from '../walks/walk-page.js';
import { weatherModel } from '../weather/model.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, lines, summary, type Typed } from '../web/forms.js';
import { page } from '../web/page.js';
import type { Views } from '../web/render.js';
import { when } from '../web/when.js';
import { type MessageForm, readMessage } from './form.js';
import { offeredStarts, type StartFacts, startText } from './starts.js';
import { messagesOf, sendMessage } from './store.js';

const FIELD_NAMES: Record<string, string> = { subject: 'Subject', text: 'Message' };

interface Shown {
  form: MessageForm;
  faults?: Faults;
  /** Show the mail as it will read. */
  preview?: boolean;
  sent?: boolean;
}

/** Writing to everyone signed up for a walk. */
export function messagePages(services: Services, views: Views) {
  const { db, settings, now } = services;
  const mails = mailMaker(services, views);

  function messageForm(request: FastifyRequest, reply: FastifyReply) {
    const { walk } = led(request);
    if (!isComing(walk)) throw tooLate(walk);
    const query = request.query as Typed;
    return show(request, reply, walk, { form: startText(line(query, 'start'), factsFor(walk)), sent: line(query, 'sent') !== '' });
  }

  function factsFor(walk: WalkRow): StartFacts {
    return { weather: weatherModel(db.q, walk, settings(), areaOf(db.q, walk.areaId).emergencyNumber) };
  }

  function show(request: FastifyRequest, reply: FastifyReply, walk: WalkRow, shown: Shown) {
    const { form, faults = {}, preview = false, sent = false } = shown;
    const refused = Object.keys(faults).length > 0;
    const signedUp = activeSignUps(db.q, walk.id);
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
      sent,
      isPreview: preview,
      mail: preview && signedUp[0] ? mailTo(signedUp[0], walk, { ...form, from: writer(request), at: now() }) : null,
      nobody: signedUp.length === 0,
      one: signedUp.length === 1,
      count: signedUp.length,
      coming: signedUp.filter((signUp) => signUp.state === 'confirmed').length,
      waiting: signedUp.filter((signUp) => signUp.state === 'waiting').length,
      starts: offeredStarts(factsFor(walk)),
      earlier: messagesOf(db.q, walk.id).map((message) => ({ ...message, at: when(message.at, walk.zone, settings()) })),
    });
  }

  function isComing(walk: WalkRow): boolean {
    return walk.state === 'posted' && walk.gatherAt > now();
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
    if (!isComing(walk)) throw tooLate(walk);
    const typed = request.body as Typed;
    const intent = line(typed, 'intent');
    const form = { subject: line(typed, 'subject'), text: lines(typed, 'text') };
    if (intent === 'change') return show(request, reply, walk, { form });
    const read = readMessage(typed);
    if ('faults' in read) return show(request, reply, walk, { form, faults: read.faults });
    if (intent !== 'send') return show(request, reply, walk, { form, preview: true });
    if (!sendMessage(services, walk.id, read.form, writer(request))) throw tooLate(walkById(db.q, walk.id) ?? walk);
    return reply.redirect(`/lead/walks/${walk.id}/message?sent=1`, 303);
  }

  return { messageForm, postMessage };
}

function writer(request: FastifyRequest): string {
  const { person } = request.visitor;
  if (!person) throw new Error('the route does not declare that someone is signed in');
  return person.name;
}

const TOO_LATE = { heading: 'This walk has begun or is over', sentence: 'Messages go to those who are still to come.' };

/** Why nobody can be written to. */
function tooLate({ id, state }: WalkRow): Problem {
  const links = [{ href: `/lead/walks/${id}`, label: 'Back to the walk' }];
  if (state === 'draft')
    return new Problem(409, { heading: 'This walk is not posted yet', sentence: 'Nobody can have signed up for it.', links });
  if (state === 'cancelled') return new Problem(409, { ...TOO_LATE, heading: 'This walk is cancelled', links });
  return new Problem(409, { ...TOO_LATE, links });
}
