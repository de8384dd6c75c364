import type { FastifyReply, FastifyRequest } from 'fastify';
import { allAreas } from '../areas/store.js';
import { endLeading } from '../leaders/leaving.js';
import { comingCountOf, comingWalksOf, comingWords } from '../leaders/walk-store.js';
import { signedInPerson } from '../people/me-person.js';
import type { Services } from '../services.js';
import { homeZone } from '../settings/home.js';
import { oweContext } from '../walks/save.js';
import { shownDate } from '../walks/shown-date.js';
import { type Faults, line, summary, type Typed, ticked } from '../web/forms.js';
import { page } from '../web/page.js';
import { type About, aboutLeader, saveAbout } from './about-store.js';
import { firstAid } from './first-aid.js';
import { placeAndDays, readAbout, typedLength } from './form.js';
import { leftLetter } from './letters.js';
import { oweCoordinators } from './owe.js';

const LABELS: Record<string, string> = {
  area: 'Home area',
  longest: 'Longest',
  shortest: 'Shortest',
  firstAidUntil: 'First-aid certificate',
};

/** What a leader says of themself as one, and how they stop. */
export function aboutPages(services: Services) {
  const { db, settings, now } = services;

  function own(request: FastifyRequest): About {
    const about = aboutLeader(db.q, signedInPerson(request).id);
    if (!about) throw new Error('the route let in somebody who does not lead');
    return about;
  }

  function form(request: FastifyRequest, reply: FastifyReply) {
    return show(request, reply, typedFrom(own(request)), {});
  }

  function typedFrom(about: About): Typed {
    const areas = allAreas(db.q);
    const slugOf = (id: number) => areas.find((area) => area.id === id)?.slug ?? '';
    const { units } = settings();
    return {
      area: slugOf(about.areaId),
      otherAreas: about.otherAreas.map(slugOf),
      days: about.days.map(String),
      longest: typedLength(about.longestMetres, units),
      shortest: typedLength(about.shortestMetres, units),
      firstAidUntil: about.firstAidUntil ?? '',
      offersFirst: about.offersFirst ? 'yes' : '',
    };
  }

  function show(request: FastifyRequest, reply: FastifyReply, typed: Typed, faults: Faults) {
    const refused = Object.keys(faults).length > 0;
    const kept = own(request).firstAidUntil;
    return page(request, refused ? reply.code(422) : reply, 'joining/about', {
      title: 'About you as a leader',
      errorTitle: refused,
      narrow: true,
      saved: line(request.query as Typed, 'saved') !== '',
      form: {
        ...Object.fromEntries(['longest', 'shortest', 'firstAidUntil'].map((field) => [field, line(typed, field)])),
        offersFirst: ticked(typed, 'offersFirst'),
      },
      firstAid: firstAid(kept, { now: now(), settings: settings(), zone: homeZone(services) }),
      ...placeAndDays(typed, allAreas(db.q), settings().units),
      faults,
      errors: summary(faults, (field) => LABELS[field] ?? ''),
    });
  }

  function save(request: FastifyRequest, reply: FastifyReply) {
    const typed = request.body as Typed;
    const read = readAbout(typed, { areas: allAreas(db.q), units: settings().units });
    if ('faults' in read) return show(request, reply, typed, read.faults);
    db.write((tx) => saveAbout(tx, signedInPerson(request).id, read.form));
    return reply.redirect('/lead/about?saved=1', 303);
  }

  function leaving(request: FastifyRequest, reply: FastifyReply) {
    const { id: personId } = signedInPerson(request);
    const walks = comingWalksOf(db.q, { personId }, now());
    const count = comingCountOf(db.q, personId, now());
    return page(request, reply, 'joining/leave', {
      title: 'Stop leading?',
      narrow: true,
      still: count === 1 ? 'a coming walk' : comingWords(count),
      more: count - walks.length,
      walks: walks.map((walk) => ({
        href: `/lead/walks/${walk.id}/together`,
        label: walk.routeName,
        date: shownDate(walk.gatherAt, walk.zone, settings(), now()),
      })),
    });
  }

  /** Stands the leader down at their own wish; the coordinators hear of it. */
  function leave(request: FastifyRequest, reply: FastifyReply) {
    const person = signedInPerson(request);
    const { areaId } = own(request);
    db.write((tx) => {
      const count = comingCountOf(tx, person.id, now());
      const areaName = allAreas(tx).find((area) => area.id === areaId)?.name ?? '';
      endLeading(tx, oweContext(services), person.id, person.id);
      const walks = count === 0 ? '' : comingWords(count);
      const letter = leftLetter({ personId: person.id, name: person.name, areaName }, walks);
      oweCoordinators(tx, oweContext(services), { kind: 'leader-left', event: `leader-left:${person.id}:${now()}`, letter });
    });
    services.mailOwed();
    return reply.redirect('/lead/join?left=1', 303);
  }

  return { form, save, leaving, leave };
}
