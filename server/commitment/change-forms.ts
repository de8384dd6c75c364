import type { FastifyReply, FastifyRequest } from 'fastify';
import { monthOf } from '../calc/month.js';
import type { Services } from '../services.js';
import { signedIn } from '../walks/led-request.js';
import { type Faults, line, type Typed } from '../web/forms.js';
import { type By, changePledge, excuse, takeBackExcuse } from './change-store.js';
import { type Changer, isMonth, readExcuse, readPledge } from './changes.js';
import { recordsOf } from './store.js';
import { areaZoneOf } from './terms.js';

/** What was typed into which of the page's forms, and what is wrong with it. */
export interface Refused {
  typed: Typed;
  faults: Faults;
}

/** A page on which a commitment is changed: the leader's own, or the coordinator's of a leader. */
export interface ChangePage {
  by: Changer;
  /** The leader it is about. @throws Problem where there is none */
  leaderOf: (request: FastifyRequest) => number;
  /** Where the page is. */
  at: (personId: number) => string;
  show: (request: FastifyRequest, reply: FastifyReply, refused: Refused) => FastifyReply;
}

/** The posted forms of such a page: a new pledge, a month to be excused, one taken back. */
export function changeForms(services: Services, page: ChangePage) {
  const { db, now } = services;

  function around(personId: number) {
    const { terms, pledges } = recordsOf(db.q, personId).get(personId) ?? { terms: [], pledges: [] };
    const month = monthOf(now(), areaZoneOf(db.q, personId));
    return { by: page.by, now: month, pledges, since: terms[0]?.fromMonth ?? month };
  }

  /** 303 to the page once it is written, which says what was kept, or the page again with what to mend. */
  function answer<T extends object>(
    read: (typed: Typed, personId: number) => T | { faults: Faults },
    keep: Keep<T>,
    saved: (found: T) => Record<string, string>,
  ) {
    return (request: FastifyRequest, reply: FastifyReply): FastifyReply => {
      const personId = page.leaderOf(request);
      const typed = request.body as Typed;
      const found = read(typed, personId);
      if ('faults' in found) return page.show(request, reply, { typed, faults: found.faults });
      const by = { by: signedIn(request), now: now() };
      db.write((tx) => keep(tx, personId, found as T, by));
      return reply.redirect(`${page.at(personId)}?${new URLSearchParams(saved(found as T))}`, 303);
    };
  }

  return {
    pledge: answer(
      (typed, personId) => readPledge(typed, around(personId)),
      (tx, personId, { pledge }, by) => changePledge(tx, personId, pledge, by),
      () => ({ saved: 'pledge' }),
    ),
    excuse: answer(
      (typed, personId) => readExcuse(typed, around(personId)),
      (tx, personId, { excuse: one }, by) => excuse(tx, personId, one, by),
      ({ excuse: { month } }) => ({ saved: 'excuse', of: month }),
    ),
    /** Of a month that is over only a coordinator takes it back: what was agreed stays agreed. */
    takeBack: answer(
      (typed, personId) => ({ month: line(typed, 'month'), first: page.by === 'leader' ? around(personId).now : '' }),
      (tx, personId, { month, first }, by) => {
        if (isMonth(month) && month >= first) takeBackExcuse(tx, personId, month, by);
      },
      ({ month }) => ({ saved: 'back', of: month }),
    ),
  };
}

type Keep<T> = (tx: Services['db']['q'], personId: number, read: T, by: By) => void;
