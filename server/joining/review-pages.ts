import type { FastifyReply, FastifyRequest } from 'fastify';
import { allAreas } from '../areas/store.js';
import { addMonths } from '../calc/month.js';
import { signedInPerson } from '../people/me-person.js';
import type { Services } from '../services.js';
import { homeZone, monthNow } from '../settings/home.js';
import { oweContext } from '../walks/save.js';
import { Problem } from '../web/errors.js';
import { type Faults, line, lines, summary, type Typed, ticked } from '../web/forms.js';
import { page } from '../web/page.js';
import { aboutLeader } from './about-store.js';
import { approve, ask, decline } from './decide.js';
import { firstAid } from './first-aid.js';
import { MOST_CHARACTERS, readWords } from './form.js';
import { progressOfAll } from './progress.js';
import { applicationLine, applicationModel, decidedLine, missingWords } from './review-model.js';
import { applicantOf, applicationById, decidedApplications, type FoundApplication, openApplications } from './store.js';

const LABELS: Record<string, string> = {
  pledge: 'Walks a month',
  reason: 'Your reason',
  question: 'Your question',
  words: 'Your words',
};

/** Where coordinators see who would like to lead, and decide. */
export function reviewPages(services: Services) {
  const { db, settings, now } = services;
  const around = () => ({ now: now(), settings: settings(), zone: homeZone(services) });

  function list(request: FastifyRequest, reply: FastifyReply) {
    const waiting = openApplications(db.q);
    const progress = progressOfAll(db.q, around(), waiting.map(applicantOf));
    const open = waiting.flatMap((found, index) => {
      const own = progress[index];
      return own ? [applicationLine(found, own, around())] : [];
    });
    return page(request, reply, 'joining/applications', {
      title: 'Applications to lead',
      open: [...open.filter((one) => one.isReady), ...open.filter((one) => !one.isReady)],
      decided: decidedApplications(db.q).map((found) => decidedLine(found, around())),
    });
  }

  function one(request: FastifyRequest, reply: FastifyReply) {
    return show(request, reply, find(request), {}, {});
  }

  function find(request: FastifyRequest): FoundApplication {
    const id = Number((request.params as { application: string }).application);
    const found = Number.isSafeInteger(id) ? applicationById(db.q, id) : undefined;
    if (found) return found;
    throw Problem.notFound('There is no such application. Those that led nowhere are removed after a year.', [
      { href: '/coordinate/applications', label: 'See the applications' },
    ]);
  }

  function show(request: FastifyRequest, reply: FastifyReply, found: FoundApplication, typed: Typed, faults: Faults) {
    const refused = Object.keys(faults).length > 0;
    const names = allAreas(db.q).filter((area) => found.application.otherAreas.includes(area.id));
    const about = aboutLeader(db.q, found.application.personId);
    return page(request, refused ? reply.code(422) : reply, 'joining/application', {
      title: `${found.application.name} would like to lead`,
      errorTitle: refused,
      narrow: true,
      application: applicationModel(
        db.q,
        found,
        names.map((area) => area.name),
        around(),
      ),
      firstAid: about ? firstAid(about.firstAidUntil, around()) : null,
      form: {
        pledge: line(typed, 'pledge') || '1',
        although: ticked(typed, 'although'),
        reason: lines(typed, 'reason'),
        question: lines(typed, 'question'),
        words: lines(typed, 'words'),
      },
      isApproving: ['pledge', 'although', 'reason'].some((field) => field in faults),
      faults,
      errors: summary(faults, (field) => LABELS[field] ?? ''),
    });
  }

  /** A form from before somebody decided: the page says what was. */
  function isDecided({ application }: FoundApplication): boolean {
    return application.state !== 'open';
  }

  function back(reply: FastifyReply, found: FoundApplication) {
    services.mailOwed();
    return reply.redirect(`/coordinate/applications/${found.application.id}`, 303);
  }

  function postApprove(request: FastifyRequest, reply: FastifyReply) {
    const found = find(request);
    if (isDecided(found)) return back(reply, found);
    const typed = request.body as Typed;
    const faults: Faults = {};
    const pledge = Number(line(typed, 'pledge') || '1');
    if (!Number.isInteger(pledge) || pledge < 1 || pledge > 31) faults.pledge = 'A pledge is 1 to 31 walks a month.';
    const reason = lines(typed, 'reason');
    const isSaid = ticked(typed, 'although') && /[\p{L}\p{N}]/u.test(reason);
    if (reason.length > MOST_CHARACTERS) faults.reason = `Keep it under ${MOST_CHARACTERS} characters; it has ${reason.length}.`;
    if (Object.keys(faults).length > 0) return show(request, reply, found, typed, faults);
    const month = addMonths(monthNow(services), 1);
    const by = signedInPerson(request).id;
    const done = db.write((tx) =>
      approve(tx, oweContext(services), found.application.id, by, { pledge, month, although: isSaid ? reason : null }),
    );
    if (typeof done === 'string') return back(reply, found);
    const although = ticked(typed, 'although')
      ? { reason: 'Say why: it is kept in the log.' }
      : { although: `Still missing: ${missingWords(done.missing)}. Tick here and say why, or wait.` };
    return show(request, reply, found, typed, although);
  }

  function postAsk(request: FastifyRequest, reply: FastifyReply) {
    const found = find(request);
    if (isDecided(found)) return back(reply, found);
    const typed = request.body as Typed;
    const faults: Faults = {};
    const question = readWords(typed, 'question', 'Type what you would like to know.', faults);
    if (Object.keys(faults).length > 0) return show(request, reply, found, typed, faults);
    db.write((tx) => ask(tx, oweContext(services), found.application.id, question));
    return back(reply, found);
  }

  function postDecline(request: FastifyRequest, reply: FastifyReply) {
    const found = find(request);
    if (isDecided(found)) return back(reply, found);
    const typed = request.body as Typed;
    const faults: Faults = {};
    const words = readWords(typed, 'words', 'Say why in your own words: they are mailed to the applicant.', faults);
    if (Object.keys(faults).length > 0) return show(request, reply, found, typed, faults);
    const by = signedInPerson(request).id;
    db.write((tx) => decline(tx, oweContext(services), found.application.id, by, words));
    return back(reply, found);
  }

  return { list, one, postApprove, postAsk, postDecline };
}
